"""Findings of many dishes on a screen: one person's foods of one kind in one breath."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from msgspec.structs import replace

from fellfare.mistake import Finding

#: 'Ada: sesame seeds may contain traces of almond; read the label.'
_SAID: Final = re.compile(r"([^:]+): (.+?) ((?:contains|may contain|may or may not contain)\b.*)")
#: So many dishes are named.
_MOST: Final = 3


def gathered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The same findings, with those on allergens put together where only the food differs."""
    groups: dict[tuple[str, ...], list[tuple[Finding, str]]] = {}
    for one in findings:
        found = _SAID.fullmatch(one.text) if one.rule == "allergen" else None
        if found is None:
            groups[one.severity, one.rule, one.text] = [(one, "")]
        else:
            key = (one.severity, one.rule, found[1], found[3])
            groups.setdefault(key, []).append((one, found[2]))
    return tuple(_one(key, some) for key, some in groups.items())


def _one(key: tuple[str, ...], some: list[tuple[Finding, str]]) -> Finding:
    first = some[0][0]
    dishes = tuple(dict.fromkeys(dish for one, _ in some for dish in one.about))
    more = len(dishes) - _MOST
    if more > 0 and first.rule == "allergen":
        dishes = (*dishes[:_MOST], f"and {more} more")
    if len(some) == 1:
        return replace(first, about=dishes)
    foods = "; ".join(dict.fromkeys(food for _, food in some))
    return replace(first, text=f"{key[2]}: {foods}: {key[3]}", about=dishes)
