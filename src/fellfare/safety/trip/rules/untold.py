"""What has nobody told, without which other rules cannot look?"""

from __future__ import annotations

from collections.abc import Iterator

from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import TripCase
from fellfare.safety.trip.reading import camp_said, days_said, listed

_OWN = "own judgement: what is not known is not harmless"


@rule("days-untold", "caution", _OWN, "The days of the walk are not known.")
def days_untold(case: TripCase) -> Iterator[Hit]:
    if not case.days:
        yield Hit(
            "caution",
            "The days of the walk are not known: no rule looked at camps, cold, heat or fire.",
            (case.trip.title,),
        )


@rule("kitchen-untold", "caution", _OWN, "Nobody tells who cooks on what.")
def kitchen_untold(case: TripCase) -> Iterator[Hit]:
    if case.trip.kitchens:
        fed = {name for kitchen in case.trip.kitchens for name in kitchen.walkers}
        left = [walker.name for walker in case.trip.walkers if walker.name not in fed]
    else:
        left = [walker.name for walker in case.trip.walkers]
    if left:
        yield Hit(
            "caution",
            f"It is not told on what the food of {listed(left)} is cooked, or that it is eaten "
            "cold: no rule looked at a flame, or at the time that food stands wet.",
            tuple(left),
        )


@rule("altitude-untold", "caution", _OWN, "The height of a camp is not known.")
def altitude_untold(case: TripCase) -> Iterator[Hit]:
    nights = [day for day in case.nights() if day.camp_m is None]
    if nights:
        yield Hit(
            "caution",
            f"The height of the camp is not known for {listed([camp_said(n) for n in nights])}: "
            "boiling point, cooking time, gas and the height's own ills were not looked at.",
            days_said(nights),
        )
