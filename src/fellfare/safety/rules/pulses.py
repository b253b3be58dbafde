"""Are raw beans and lentils really cooked?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.safety.case import Case, Event, Part
from fellfare.safety.clock import is_discarded
from fellfare.safety.reading import hazards, said, short
from fellfare.safety.rule import Hit, rule

#: Soak in water that is poured away, and boil in fresh water [min] [FDA-BAD-BUG-BOOK].
SOAK_MINUTES: Final = 300.0
BOIL_MINUTES: Final = 30.0
#: Above it water boils under 90 °C and no published boiling time was found (own judgement) [m].
NO_TIME_ABOVE_M: Final = 3000.0
#: A 'boil' said to be cooler than this is none: a slow cooker can raise the toxicity [°C].
LEAST_BOIL_C: Final = 90.0


@rule(
    "raw-lectin-pulse",
    "error",
    "[FDA-BAD-BUG-BOOK] 2nd ed. 2012, phytohaemagglutinin: soak 5 h, discard, boil 30 min; "
    "no boiling time above 3000 m found (own judgement)",
    "Raw beans with lectin that are not soaked 5 h, drained, and then boiled 30 min.",
)
def raw_lectin_pulse(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        if "lectin-pulse" not in hazards(part.food):
            continue
        lacking = _lacking(case, part)
        if lacking:
            yield Hit(
                "error",
                f"Raw {short(part.food)}: poisonous (lectin) unless soaked 5 h, the water poured "
                f"away, and then boiled 30 min at a full boil; here {'; '.join(lacking)}.  Take "
                "precooked, instant or canned ones instead.",
                said(part),
            )
        elif case.altitude_m is None and any(_is_camp_boil(e, part) for e in case.events):
            yield Hit(
                "caution",
                f"{short(part.food)}: the 30 min hold for water near 100 °C and the altitude of "
                "the camp is not known.  Above 3000 m take precooked ones or a pressure cooker.",
                said(part),
            )


@rule(
    "raw-pulse",
    "error",
    "[FDA-BAD-BUG-BOOK] 2nd ed. 2012 for beans; that lentils, split peas and chickpeas are "
    "boiled too is common practice, no source",
    "Other raw pulses that no step boils, or boils for less than their usual time.",
)
def raw_pulse(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        if "raw-pulse" not in hazards(part.food):
            continue
        boils = [e for e in case.events if e.has(part) and _is_boil(e, "simmer")]
        if not boils:
            yield Hit(
                "error",
                f"Raw {short(part.food)} must be boiled; soaking or hot water poured on does not "
                "do.  Boil, or take precooked ones.",
                said(part),
            )
            continue
        longest = max((e.step.minutes or 0.0 for e in boils), default=0.0)
        usual = [s.minutes for s in part.food.soaks if s.way == "boil"]
        if not longest > 0.0:
            yield Hit(
                "caution",
                f"{short(part.food)}: it is not said how long they boil; until soft throughout.",
                said(part, *boils),
            )
        elif usual and longest < min(usual):
            yield Hit(
                "caution",
                f"{short(part.food)}: {longest:g} min on the boil is shorter than the usual "
                f"{min(usual):g} min.",
                said(part, *boils),
            )


def _is_boil(event: Event, *acts: str) -> bool:
    at_c = event.step.at_c
    return event.step.act in ("boil", *acts) and (at_c is None or at_c >= LEAST_BOIL_C)


def _is_camp_boil(event: Event, part: Part) -> bool:
    under_pressure = event.step.at_c is not None and event.step.at_c >= 100.0
    camp = event.step.where == "camp" and not under_pressure
    return camp and event.has(part) and _is_boil(event)


def _lacking(case: Case, part: Part) -> tuple[str, ...]:
    """What the published treatment asks and the recipe does not say."""
    boils = [e for e in case.events if e.has(part) and _is_boil(e)]
    if not boils:
        return ("no step boils it",)
    long = [e for e in boils if (e.step.minutes or 0.0) >= BOIL_MINUTES]
    if not long:
        told = max((e.step.minutes or 0.0 for e in boils), default=0.0)
        return (f"it boils {told:g} min" if told > 0 else "it is not said how long it boils",)
    before = [
        e
        for e in case.events
        if e.step.act == "soak" and e.has(part) and e.number < long[-1].number
    ]
    lacking = []
    if not any((e.step.minutes or 0.0) >= SOAK_MINUTES for e in before):
        lacking.append("no soak of 5 h before it")
    elif not any(is_discarded(case, e) for e in before if (e.step.minutes or 0.0) >= SOAK_MINUTES):
        lacking.append("the soaking water is not poured away")
    high = case.altitude_m is not None and case.altitude_m > NO_TIME_ABOVE_M
    if high and all(_is_camp_boil(e, part) for e in long):
        lacking.append("above 3000 m no boiling time is published")
    return tuple(lacking)
