"""Until when does the quality of a bag last?"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from math import floor

from msgspec import Struct

from fellfare.pantry.food import Food
from fellfare.safety.shelf import Q10_LEAST, Q10_MOST, life_days


class KeepBy(Struct, frozen=True, kw_only=True):
    """Until when the quality of a bag lasts, as far as that is known."""

    #: Earliest date or day count over its foods; None = nothing known.
    until: date | None
    days: int | None
    #: Food that ends first.
    food: str
    #: Foods whose keeping nobody has told.
    unknown: tuple[str, ...]


def keep_by(
    foods: Iterable[Food], packed_on: date | None, storage_c: float | None = None
) -> KeepBy:
    """Until when the quality lasts: the food that ends first, at its shortest figure.

    The table's days are carried to ``storage_c`` with a Q10 of 3 when warmer
    and of 2 when cooler, both cautious; foods that spoil by germs are not
    stretched by cool.  Quality only.
    """
    ends: list[tuple[int, str]] = []
    unknown: list[str] = []
    for food in foods:
        of = food.keeping
        if of is None or of.unopened_days is None or of.unopened_days[0] <= 0:
            unknown.append(food.name)
            continue
        days = float(of.unopened_days[0])
        if storage_c is not None and not (of.ends == "bacteria" and storage_c <= of.at_c):
            q10 = Q10_MOST if storage_c > of.at_c else Q10_LEAST
            days = life_days(days, of.at_c, storage_c, q10)
        ends.append((floor(days), food.name))
    days_left, food_name = min(ends, default=(None, ""))
    last = None
    if days_left is not None and packed_on is not None:
        last = packed_on + timedelta(days=min(days_left, 36500))
    return KeepBy(until=last, days=days_left, food=food_name, unknown=tuple(dict.fromkeys(unknown)))


def keeps_said(keeps: KeepBy) -> str:
    """'quality until 2027-03-01 (walnut); not known: sumac'; '' when nothing is in it."""
    parts = []
    if keeps.until is not None:
        parts.append(f"quality until {keeps.until.isoformat()} ({keeps.food})")
    elif keeps.days is not None:
        parts.append(f"quality for {keeps.days} days ({keeps.food})")
    if keeps.unknown:
        parts.append(f"keeping not known: {', '.join(keeps.unknown)}")
    return "; ".join(parts)
