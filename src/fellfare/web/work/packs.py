"""How foods are sold and what is in the cupboard, as a menu minds it: as the command does.

Of several packs of one food the one that is cheapest for a gram; the cupboard is free.
"""

from __future__ import annotations

from typing import Final

from fellfare.book import Book
from fellfare.menu.pool import Pack
from fellfare.pantry.pantry import Pantry
from fellfare.web.documents import own_of

#: Name of a cupboard that came from a folder with one trip.
COMMON: Final = "provision"


def packs_text(book: Book, trip: str) -> str:
    """The text of the trip's cupboard, or of the only trip's common one; '' = nothing is told."""
    names = book.names("provision")
    if trip in names:
        return book.get("provision", trip).text
    if COMMON in names and len(book.names("trip")) == 1:
        return book.get("provision", COMMON).text
    return ""


def packs_of_text(text: str, pantry: Pantry) -> tuple[Pack, ...]:
    """Packs with a price, and what is at home.

    Raises
    ------
    Mistake
        As :func:`fellfare.web.documents.own_of`.
    """
    if not text:
        return ()
    own = own_of(text, pantry)
    packs = {}
    for food, sold in own.packs.items():
        priced = [(float(one.price) / one.size_g, one) for one in sold if one.price is not None]
        if priced:
            _, best = min(priced, key=lambda each: each[0])
            packs[food] = Pack(food=food, size_g=best.size_g, price=float(best.price or 0))
    for food, grams in own.at_home.items():
        if food not in packs and grams > 0:
            packs[food] = Pack(food=food, size_g=grams, price=0.0, most=1)
    return tuple(packs.values())
