"""A plan, seen with the eyes of the trip's rules."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypedDict, Unpack

from fellfare.safety.trip.case import trip_case
from fellfare.safety.trip.facts import RECKONED, CarriedFood, Jar, TripCase, WaterFact
from fellfare.safety.water_treatment import Agency, Treatment
from fellfare.trip.plan import TripPlan


class MoreFacts(TypedDict, total=False):
    """What no plan knows; see :func:`~fellfare.safety.trip.case.trip_case`."""

    fat_kg: Mapping[str, float] | None
    jars: Sequence[Jar]
    treatment: Sequence[Treatment] | None
    agency: Agency
    box_warmest_c: Mapping[str, float | None] | None
    box_fuels: Mapping[str, Sequence[str]] | None
    foods: Sequence[CarriedFood] | None
    cooking_inside: bool | None
    raw_pulses: bool | None
    own_pot: Sequence[str]
    flies: bool | None
    stops_asked: Sequence[str]
    health_asked: bool | None


def case_of_plan(
    plan: TripPlan, *, sources: Sequence[WaterFact] = (), **more: Unpack[MoreFacts]
) -> TripCase:
    """The case of a plan: its days, camps, weather, fire, needs, targets and stops.

    What the plan tells of itself (water between sources, dates of boxes, gas in the cold,
    energy gaps) is not told again: print ``plan.findings`` beside those of
    :func:`~fellfare.safety.trip.registry.check_trip`.  Where the plan leaves a stove off under
    a fire rule, its walkers count as eating cold on that day.

    Parameters
    ----------
    plan
        From :func:`fellfare.trip.plan.plan_trip`.
    sources
        What is known of water points (cloudy, chemicals), before the plan's own word on them.
    more
        What no plan knows.

    Raises
    ------
    Mistake
        As :func:`~fellfare.safety.trip.case.trip_case`.
    """
    kitchens = plan.trip.kitchens
    given = {source.name for source in sources}
    springs = {spring.name: spring for day in plan.days for spring in day.water.springs}
    return trip_case(
        plan.trip,
        days=len(plan.days),
        camps={camp.day: camp.name for camp in plan.camps},
        camp_m={camp.day: camp.height_m for camp in plan.camps},
        day_c={day.day: day.stage.day_c for day in plan.days},
        night_c={day.day: day.stage.night_c for day in plan.days},
        fire={day.day: day.fire for day in plan.days},
        cold={
            day.day: [
                name
                for kitchen, hot in zip(kitchens, day.can_heat, strict=True)
                if not hot and not kitchen.stoveless
                for name in kitchen.walkers
            ]
            for day in plan.days
        },
        need_kcal={one.walker: [day.kcal for day in one.need.days] for one in plan.walkers},
        target_kcal={one.walker: list(one.target_kcal) for one in plan.walkers},
        sources=(
            *sources,
            *(
                WaterFact(name=name, reliability=spring.reliability)
                for name, spring in springs.items()
                if name not in given
            ),
        ),
        stop_days={placed.stop.name: placed.day for placed in plan.laid.stops},
        reckoned=RECKONED,
        **more,
    )
