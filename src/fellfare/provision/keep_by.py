"""Until when does the quality of a bag last?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from math import floor, inf

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


class Filling(Struct, frozen=True, kw_only=True):
    """When the bags of one place are filled, and how they lie until they are eaten."""

    #: None = not known.
    packed_on: date | None = None
    #: (days, temperature [°C]) one after the other from filling: at home, in the box.
    stays: tuple[tuple[float, float], ...] = ()
    #: How warm they lie after these stays [°C]; None = as each food's own figure says.
    storage_c: float | None = None
    #: Day from which the stays are counted, where that may be before ``packed_on``: a box
    #: that may be posted earlier.  None = from ``packed_on``.
    counted_from: date | None = None


def kept(foods: Iterable[Food], filling: Filling) -> KeepBy:
    """Until when the quality of these lasts in a bag so filled."""
    since = filling.counted_from or filling.packed_on
    return keep_by(foods, since, filling.storage_c, filling.stays)


def share_of_a_day(food: Food, at_c: float) -> float | None:
    """Share of its life that a food spends in a day at this temperature; None = not told.

    At the shortest published figure; Q10 of 3 above the table's temperature and of 2 below it
    (both cautious).  Food that germs end is not stretched by cool beyond its table, and is
    spent at once (infinite) where it is warmer than that.  Quality only; [LABUZA-1982].

    Raises
    ------
    Mistake
        ``life-out-of-range`` (too hot or cold).
    """
    of = food.keeping
    if of is None or of.unopened_days is None or of.unopened_days[0] <= 0:
        return None
    if of.ends == "bacteria" and at_c > of.at_c:
        return inf
    q10 = Q10_MOST if at_c > of.at_c else 1.0 if of.ends == "bacteria" else Q10_LEAST
    return 1.0 / life_days(of.unopened_days[0], of.at_c, at_c, q10)


def keep_by(
    foods: Iterable[Food],
    packed_on: date | None,
    storage_c: float | None = None,
    stays: Sequence[tuple[float, float]] = (),
) -> KeepBy:
    """Until when the quality lasts: the food that ends first, at its shortest figure.

    The table's days are carried to ``storage_c`` with a Q10 of 3 when warmer
    and of 2 when cooler, both cautious; foods that spoil by germs are not
    stretched by cool.  Quality only.  ``stays`` (days, °C) come first, as
    :func:`share_of_a_day` reckons them for the box list.
    """
    ends: list[tuple[int, str]] = []
    unknown: list[str] = []
    for food in foods:
        of = food.keeping
        if of is None or of.unopened_days is None or of.unopened_days[0] <= 0:
            unknown.append(food.name)
            continue
        days = float(of.unopened_days[0])
        if stays:
            days = _after(food, stays, of.at_c if storage_c is None else storage_c)
        elif storage_c is not None and not (of.ends == "bacteria" and storage_c <= of.at_c):
            q10 = Q10_MOST if storage_c > of.at_c else Q10_LEAST
            days = life_days(days, of.at_c, storage_c, q10)
        ends.append((floor(days + 1e-9), food.name))
    days_left, food_name = min(ends, default=(None, ""))
    last = None
    if days_left is not None and packed_on is not None:
        last = packed_on + timedelta(days=min(days_left, 36500))
    return KeepBy(until=last, days=days_left, food=food_name, unknown=tuple(dict.fromkeys(unknown)))


def _after(food: Food, stays: Sequence[tuple[float, float]], storage_c: float) -> float:
    """Days until its life is spent, through the stays and then at ``storage_c``."""
    gone, left = 0.0, 1.0
    for days, at_c in (*((max(0.0, days), at_c) for days, at_c in stays), (inf, storage_c)):
        pace = share_of_a_day(food, at_c) or 0.0
        if days > 0.0 and pace * days >= left:
            return gone + left / pace
        gone += days
        left -= pace * days
    return gone


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
