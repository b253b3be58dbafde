"""A rule of a trip document, in the words of the trip's own form."""

from __future__ import annotations

import re
from typing import Final

from fellfare.web.pages.trips.fields import PART_OF

_RULE: Final = re.compile(r"\b([a-z_0-9]+) = (\[[^\]]*\]|[^\s:;,]+)")
_FIELDS: Final = {one.key: one for one in PART_OF["rules"].fields}


def in_words(text: str) -> str:
    """'most_food_kg = 3.2: …' → 'Food on one back at most (3.2 kg): …'; the rest stays."""

    def said(found: re.Match[str]) -> str:
        field = _FIELDS.get(found[1])
        if field is None:
            return found[0]
        value = found[2].strip("[]").replace(", ", " to ")
        unit = field.unit(us=False)
        return f"{field.label} ({value}{'' if unit is None else ' ' + unit.word})"

    return _RULE.sub(said, text)
