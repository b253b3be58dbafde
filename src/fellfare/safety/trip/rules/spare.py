"""What is left when it takes longer?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import TripCase

#: From so many days on a walk counts as long [own judgement].
LONG_TRIP_DAYS: Final = 4


@rule(
    "no-spare-day",
    "note",
    "one emergency meal on a short walk, one whole day on a long one: common practice, no source",
    "A walk of four days or more carries no whole spare day of food, a shorter one nothing spare.",
)
def no_spare_day(case: TripCase) -> Iterator[Hit]:
    spare, days = case.trip.rules.spare_days, len(case.days)
    if days >= LONG_TRIP_DAYS and spare < 1.0:
        yield Hit(
            "note",
            f"{days} days and {spare:g} spare days of food: common practice is one whole day more, "
            "edible cold, for storm, flood or a twisted foot.",
            ("rules.spare_days",),
        )
    elif days < LONG_TRIP_DAYS and spare <= 0.0:
        yield Hit(
            "note",
            "No spare food: common practice is one meal more, edible cold.",
            ("rules.spare_days",),
        )
