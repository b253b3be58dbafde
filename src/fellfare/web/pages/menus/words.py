"""A rule of a trip document, in the words of the trip's own form."""

from __future__ import annotations

import re
from typing import Final

from fellfare.web.pages.trips.fields import PART_OF

_RULE: Final = re.compile(r"\b([a-z_0-9]+) = (\[[^\]]*\]|[^\s:;,]+)")
_LABELS: Final = {one.key: one.label for one in PART_OF["rules"].fields}


def in_words(text: str) -> str:
    """'most_food_kg = 3.2: …' → 'Food on one back at most (3.2): …'; the rest stays."""

    def said(found: re.Match[str]) -> str:
        label = _LABELS.get(found[1])
        value = found[2].strip("[]").replace(", ", " to ")
        return found[0] if label is None else f"{label} ({value})"

    return _RULE.sub(said, text)
