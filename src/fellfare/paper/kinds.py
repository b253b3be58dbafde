"""The papers of a trip by their names."""

from __future__ import annotations

from typing import Final

#: Kind → file name; 'csv' is several files.
KINDS: Final = {
    "labels": "bag-labels.pdf",
    "packing": "packing-list.pdf",
    "prep": "prep-list.pdf",
    "shopping": "shopping-list.pdf",
    "carrying": "who-carries-what.pdf",
    "boxes": "box-lists.pdf",
    "trail": "trail-card.pdf",
    "days": "day-sheets.pdf",
    "allergens": "allergen-card.pdf",
    "cards": "recipe-cards.pdf",
    "html": "trail-card.html",
    "csv": "*.csv",
}
