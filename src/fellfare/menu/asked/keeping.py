"""For how many days of a carry does a dish keep?"""

from __future__ import annotations

from collections.abc import Iterable
from math import inf
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Food
from fellfare.safety.shelf import Q10_LEAST, Q10_MOST, life_days
from fellfare.safety.trip.stays import FAT_MOST_USED, MOST_USED, Stay, life_used_over
from fellfare.trip.laying import PlacedStop
from fellfare.trip.plan import TripPlan

#: Bags for the start are filled so long before the walk [days] (judgement).
PACKED_DAYS: Final = 3.0
#: A box whose warmth nobody told, and one whose way nobody told [°C], [days] (judgement).
UNTOLD_BOX_C: Final = 30.0
UNTOLD_BOX_DAYS: Final = 30.0
#: Food that nobody vouches for keeps so long where it is dry throughout (judgement) [days].
DRY_DAYS: Final = 60.0


class Kept(Struct, frozen=True, kw_only=True):
    """How long a dish may wait."""

    #: Whole days after the first day of the carry; inf = longer than any walk, None = not known.
    days: float | None
    #: The food that ends it, or of which nothing is known.
    food: str


def stays_before(plan: TripPlan, stop: PlacedStop | None) -> tuple[Stay, ...]:
    """Where the food of a carry lies until it is taken up."""
    if stop is None:
        return (Stay(days=PACKED_DAYS, c=None, where="home"),)
    if stop.stop.kind != "box":
        return ()
    there = plan.trip.date_of(stop.day)
    warm = UNTOLD_BOX_C if stop.stop.warmest_c is None else stop.stop.warmest_c
    days = UNTOLD_BOX_DAYS
    if there is not None and stop.stop.posted is not None:
        days = float(max((there - stop.stop.posted).days, 0))
    return (Stay(days=1.0, c=None, where="home"), Stay(days=days, c=warm, where="mail"))


def kept(foods: Iterable[Food], before: tuple[Stay, ...], air_c: float | None) -> Kept:
    """Days after the first of the carry on which it still has not used up its life.

    Fat may use 80 % of its shortest published life, anything else all of it; warmth by Q10
    of 2 to 3 (see :mod:`fellfare.safety.trip.stays`), except what bacteria end, which no cool
    air stretches.  Quality, beside the rules of safety.  A dry food of which nobody tells
    how long it keeps counts for 60 days, any other one as unknown.
    """
    least = Kept(days=inf, food="")
    for food in foods:
        days = _food_days(food, before, air_c)
        if days is None:
            return Kept(days=None, food=food.name)
        if least.days is not None and days < least.days:
            least = Kept(days=days, food=food.name)
    return least


def _food_days(food: Food, before: tuple[Stay, ...], air_c: float | None) -> float | None:
    of = food.keeping
    if of is None or of.unopened_days is None or of.unopened_days[0] <= 0:
        if not (food.is_dry or food.form in ("crystal", "powder", "freeze-dried")):
            return None
        return DRY_DAYS - sum(stay.days for stay in before)
    life = float(of.unopened_days[0])
    if of.ends == "bacteria":
        return life - sum(stay.days for stay in before)
    most = FAT_MOST_USED if of.ends == "fat" else MOST_USED
    used = life_used_over(before, life, of.at_c).high if before else 0.0
    at_c = of.at_c if air_c is None else air_c
    q10 = Q10_MOST if at_c > of.at_c else Q10_LEAST
    return (most - used) * life_days(life, of.at_c, at_c, q10)
