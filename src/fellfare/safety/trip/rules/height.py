"""What do height and cold do to cook, gas and sleeper?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec.structs import replace

from fellfare.camp.cooking import cooking_minutes
from fellfare.camp.fuel.fuels import FUELS
from fellfare.camp.fuel.vapour import gas_in_cold
from fellfare.mistake import Finding
from fellfare.safety.rule import Hit, rule
from fellfare.safety.rules.keeping import HIGH_M
from fellfare.safety.trip.facts import DayFacts, TripCase
from fellfare.safety.trip.reading import burning, camp_said, days_said, heats_at, listed, stoves

#: No published boiling time for raw pulses was found above it [m, own judgement].
PULSE_M: Final = 3000.0
#: Where acute mountain sickness begins to be common, and the climb from camp to camp above
#: 3 000 m that guidelines advise against (Wilderness Medical Society, from memory) [m].
SLEEP_M: Final = 2500.0
CLIMB_FROM_M: Final = 3000.0
CLIMB_M: Final = 500.0


def gas_findings(case: TripCase) -> tuple[Finding, ...]:
    """What the camp's rule ``gas-too-cold`` says, asked here where nobody has asked it."""
    if case.gas is not None:
        return case.gas
    if "gas" in case.reckoned:
        return ()
    found: list[Finding] = []
    for kitchen in burning(case, "gas"):
        for day in case.nights():
            if day.camp_m is None or day.night_c is None or not heats_at(case, day, kitchen):
                continue
            fuel = FUELS.get(kitchen.fuel or "")
            if fuel is not None and fuel.mix:
                there = gas_in_cold(fuel, day.camp_m, day.night_c).findings
                found += [replace(one, about=(day.said, *one.about)) for one in there]
    return tuple(dict.fromkeys(found))


@rule(
    "gas-cold-untold",
    "caution",
    "[NIST-WEBBOOK] vapour pressures; own judgement: what is not known is not harmless",
    "A gas stove is carried and the cold of a night, or the height of its camp, is not known.",
)
def gas_cold_untold(case: TripCase) -> Iterator[Hit]:
    if not burning(case, "gas"):
        return
    nights = [
        day
        for day in case.nights()
        if (day.night_c is None or day.camp_m is None)
        and any(heats_at(case, day, kitchen) for kitchen in burning(case, "gas"))
    ]
    if nights:
        yield Hit(
            "caution",
            "Whether gas still boils was not looked at, as cold or height is not known: "
            f"{listed([camp_said(night) for night in nights])}.",
            days_said(nights),
        )


def _high(case: TripCase, above_m: float) -> list[DayFacts]:
    return [day for day in case.nights() if day.camp_m is not None and day.camp_m > above_m]


@rule(
    "high-cooking",
    "caution",
    "[IAPWS-R7-97], [USSA-1976] for the boiling point; z = 33 to 52 K for doneness (see "
    "fellfare.camp.cooking)",
    "Something is heated at a camp above 1500 m.",
)
def high_cooking(case: TripCase) -> Iterator[Hit]:
    camps = [
        day for day in _high(case, HIGH_M) if any(heats_at(case, day, k) for k in stoves(case))
    ]
    if camps:
        top = max(camps, key=lambda day: day.camp_m or 0.0)
        time = cooking_minutes(1.0, top.camp_m or 0.0)
        yield Hit(
            "caution",
            f"At {camp_said(top)} water boils at about {top.boils_c:.0f} °C: what is simmered "
            f"takes {time.low_minutes:.1f} to {time.high_minutes:.1f} times as long (doneness "
            "only; for meat, egg and beans the core temperature counts).",
            days_said(camps),
        )


@rule(
    "high-pulses",
    "error",
    "own judgement: above 3000 m (boiling under 90 °C) no published boiling time for raw pulses "
    "was found; [FDA-BAD-BUG-BOOK] for their poison",
    "Raw pulses are to be cooked at a camp above 3000 m (error), or nobody tells (caution).",
)
def high_pulses(case: TripCase) -> Iterator[Hit]:
    camps = _high(case, PULSE_M)
    if not camps or case.raw_pulses is False:
        return
    where = listed([camp_said(day) for day in camps])
    if case.raw_pulses:
        yield Hit(
            "error",
            f"Raw beans and other pulses cannot be counted on to cook at {where}: take precooked "
            "or canned and dried ones.",
            days_said(camps),
        )
    else:
        yield Hit(
            "caution",
            f"Whether raw pulses are to be cooked at {where} is not told; only precooked ones up "
            "there.",
            days_said(camps),
        )


@rule(
    "high-sleep",
    "caution",
    "Wilderness Medical Society guidelines on acute altitude illness (from memory); appetite "
    "falls with height (from memory)",
    "A night is slept above 2500 m, or 500 m higher than the last above 3000 m.",
)
def high_sleep(case: TripCase) -> Iterator[Hit]:
    camps = _high(case, SLEEP_M)
    if not camps:
        return
    steep = []
    for before, day in zip(case.days, case.days[1:], strict=False):
        if before.camp_m is None or day.camp_m is None or not day.sleeps_out:
            continue
        if day.camp_m > CLIMB_FROM_M and day.camp_m - before.camp_m > CLIMB_M:
            steep.append(day)
    climb = (
        f"  Climb of more than 500 m between camps: {listed([camp_said(d) for d in steep])}."
        if (steep)
        else ""
    )
    yield Hit(
        "caution",
        f"Sleeping above 2500 m ({listed([camp_said(d) for d in camps])}): appetite falls, and "
        f"height can make ill.{climb}  Headache with sickness, staggering or breathlessness at "
        "rest: go down.  Ask a doctor before the walk; this is no medical advice.",
        days_said(camps),
    )
