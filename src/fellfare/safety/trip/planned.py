"""A plan, seen with the eyes of the trip's rules."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, TypedDict, Unpack

from fellfare.mistake import SEVERITIES, Finding
from fellfare.safety.reading import COLD_HOLD_C
from fellfare.safety.rules.wet import HOT_AIR_C, HOT_LIMITS, NEVER_MINUTES, USUAL_LIMITS
from fellfare.safety.trip.case import trip_case
from fellfare.safety.trip.facts import RECKONED, CarriedFood, Jar, TripCase, WaterFact
from fellfare.safety.trip.registry import check_trip
from fellfare.safety.water_treatment import Agency, Treatment
from fellfare.trip.plan import TripPlan
from fellfare.trip.trip import Trip
from fellfare.trip.way import WaterSource


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
    """The case of a plan: its days, camps, weather, fire, needs, targets, stops and answers.

    What the plan tells of itself (water between sources, dates of boxes, gas in the cold,
    energy gaps) is not told again: print ``plan.findings`` beside those of
    :func:`~fellfare.safety.trip.registry.check_trip`, or both by :func:`findings_of_plan`.
    Where the plan leaves a stove off under a fire rule, its walkers count as eating cold on
    that day.

    Parameters
    ----------
    plan
        From :func:`fellfare.trip.plan.plan_trip`.
    sources
        What is known of water points (cloudy, chemicals), before the document's own word.
    more
        What the document does not say, or says otherwise; see
        :func:`~fellfare.safety.trip.case.trip_case`.

    Raises
    ------
    Mistake
        As :func:`~fellfare.safety.trip.case.trip_case`.
    """
    kitchens = plan.trip.kitchens
    given = {source.name for source in sources}
    said = MoreFacts(**(_answers(plan.trip) | more))
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
        sources=(*sources, *(one for one in _waters(plan) if one.name not in given)),
        stop_days={placed.stop.name: placed.day for placed in plan.laid.stops},
        reckoned=RECKONED,
        **said,
    )


def hold_minutes_of(day_c: float | None) -> float:
    """Longest advised time from wetting to the last bite on a day [min]: 2 h, 1 h above 32 °C.

    As :func:`~fellfare.safety.trip.rules.hold.hold_limit`; a day of unknown warmth counts hot.
    On a day that gets no warmer than 5 °C the jar stays cold by itself and is not under that
    clock (:func:`~fellfare.safety.trip.rules.hold.jar_hold`); six hours, past which nothing
    allows it on any day, are given then: longer than any usual soak.
    """
    if day_c is not None and day_c <= COLD_HOLD_C:
        return NEVER_MINUTES
    hot = day_c is None or day_c > HOT_AIR_C
    return HOT_LIMITS[0] if hot else USUAL_LIMITS[0]


def _answers(trip: Trip) -> MoreFacts:
    """What the document settles beforehand."""
    flames = [kitchen.cooking_place for kitchen in trip.kitchens if not kitchen.stoveless]
    boxes = [stop for stop in trip.stops if stop.kind == "box"]
    return MoreFacts(
        treatment=trip.care.water_treatment,
        agency=trip.care.water_agency,
        cooking_inside=True if "inside" in flames else None if None in flames else False,
        own_pot=[name for kitchen in trip.kitchens for name in kitchen.own_pot],
        flies=trip.care.flies,
        raw_pulses=trip.care.raw_pulses,
        health_asked=trip.care.health_asked,
        stops_asked=[stop.name for stop in trip.stops if stop.asked],
        box_warmest_c={box.name: box.warmest_c for box in boxes},
        box_fuels={box.name: box.fuels for box in boxes if box.fuels is not None},
    )


def _waters(plan: TripPlan) -> Iterator[WaterFact]:
    """Every source of the way, as the document tells of it."""
    care = plan.trip.care
    told = {source.name: source for source in plan.trip.water}
    springs = {spring.name: spring for day in plan.days for spring in day.water.springs}
    for name, spring in springs.items():
        own = told.get(name, WaterSource(name=name))
        yield WaterFact(
            name=name,
            reliability=spring.reliability,
            cloudy=care.water_cloudy if own.cloudy is None else own.cloudy,
            chemicals=care.water_chemicals if own.chemicals is None else own.chemicals,
        )


#: The same said twice: where the rule on the left has spoken, the one on the right is left out.
_SAID_BY: Final = {
    "high-risk-walker": "ask-first",  # the rule also says whom to ask, and what
    "fire-rule-unknown": "fire-rule-untold",  # the plan also says what to write
}


def findings_of_plan(plan: TripPlan, **more: Unpack[MoreFacts]) -> tuple[Finding, ...]:
    """All that the plan and the trip's rules say, each thing once, gravest first.

    Parameters
    ----------
    plan, more
        As for :func:`case_of_plan`.

    Raises
    ------
    Mistake
        As :func:`~fellfare.safety.trip.case.trip_case`.
    """
    both = (*plan.findings, *check_trip(case_of_plan(plan, **more)))
    spoken = {finding.rule for finding in both}
    twice = {right for left, right in _SAID_BY.items() if left in spoken}
    undated = {name for one in both if one.rule == "box-undated" for name in one.about}
    kept = [
        finding
        for finding in both
        if finding.rule not in twice
        and not (finding.rule == "box-wait" and undated & set(finding.about))
    ]
    return tuple(sorted(kept, key=lambda finding: SEVERITIES.index(finding.severity)))
