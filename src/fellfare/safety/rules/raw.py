"""Does everything raw meet heat that kills?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from fellfare.pantry.food import Hazard
from fellfare.safety.case import Case, Part
from fellfare.safety.reading import best_kill, dried_at_home, hazards, kills, said, short
from fellfare.safety.rule import Hit, Rule, rule

#: Core temperature for each [°C].  Meat: poultry, the strictest, because the
#: kind is not told (FSIS 165 °F; Food Code 3-401.11).  Egg dishes: FSIS 160 °F.
#: Fish: FSIS 145 °F.  Milk: 72 °C for 15 s, Pasteurized Milk Ordinance (from
#: memory).  Flour and sprouts: no home figure published; the poultry one by analogy.
CORE_C: Final[Mapping[Hazard, float]] = {
    "raw-meat": 74.0,
    "raw-egg": 71.0,
    "raw-fish": 63.0,
    "raw-milk": 72.0,
    "raw-flour": 74.0,
    "sprouts": 74.0,
}
_FSIS: Final = "[USDA-FSIS-TEMPS]; [FDA-FOOD-CODE] 3-401.11"


def _never_hot(case: Case, hazard: Hazard, why: str) -> Iterator[Hit]:
    core_c = CORE_C[hazard]
    for part in case.parts:
        if hazard not in hazards(part.food) or _preheated(case, part):
            continue
        best = best_kill(case, part, core_c)
        if best == "no":
            yield Hit(
                "error",
                f"{short(part.food)}: {why}, and no step boils, fries or bakes it or heats it to "
                f"{core_c:g} °C throughout.",
                said(part),
            )
        elif best == "unsaid":
            yield Hit(
                "caution",
                f"{short(part.food)}: {why}; it is not said how long the heat lasts.  It must "
                f"reach {core_c:g} °C throughout.",
                said(part),
            )


def _preheated(case: Case, part: Part) -> bool:
    """Heated before drying, on the author's word."""
    return part.line.preheated is True and dried_at_home(case, part) is not None


def _raw(hazard: Hazard, source: str, why: str) -> Rule[Case]:
    """One rule per raw food: the same question, each with its own temperature and source."""

    def look(case: Case) -> Iterator[Hit]:
        return _never_hot(case, hazard, why)

    meaning = f"{why[0].upper()}{why[1:]} in a recipe without a step that heats it through."
    return Rule(id=hazard, severity="error", source=source, meaning=meaning, look=look)


raw_flour: Final = _raw(
    "raw-flour",
    "[FDA-FLOUR] flour is a raw food; heat treatment at home is not reliable",
    "raw flour, meal or batter mix can carry E. coli and Salmonella, and toasting it at home "
    "does not reliably help",
)
raw_egg: Final = _raw("raw-egg", _FSIS, "raw egg can carry Salmonella")
raw_meat: Final = _raw("raw-meat", _FSIS, "raw meat can carry Salmonella, E. coli and parasites")
raw_fish: Final = _raw("raw-fish", _FSIS, "raw fish can carry parasites, Vibrio and Listeria")
raw_milk: Final = _raw(
    "raw-milk",
    "[FDA-PMO] 72 °C for 15 s (from memory)",
    "milk that was not pasteurised can carry Listeria, E. coli and Campylobacter",
)
sprouts: Final = _raw(
    "sprouts",
    "[FDA-FOOD-CODE] 1-201.10(B): raw seed sprouts need time and temperature control",
    "raw sprouts can carry Salmonella and E. coli",
)


@rule(
    "core-temperature",
    "caution",
    f"{_FSIS}: poultry 74, egg dishes 71, fish 63 °C",
    "Raw meat, fish or egg is cooked by the clock alone, without a core temperature.",
)
def core_temperature(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        found = [h for h in ("raw-meat", "raw-fish", "raw-egg") if h in hazards(part.food)]
        for hazard in found[:1]:
            core_c = CORE_C[hazard]
            hot = [e for e in case.events if e.has(part) and kills(case, e, core_c) == "yes"]
            if hot and all(e.step.act != "heat" for e in hot):
                yield Hit(
                    "caution",
                    f"{short(part.food)}: the clock does not prove it.  The thickest piece must "
                    f"reach {core_c:g} °C; a thin probe thermometer weighs 20 g.",
                    said(part, *hot),
                )


@rule(
    "dried-meat",
    "error",
    "[USDA-FSIS-JERKY] heat meat to 71 °C, poultry to 74 °C before drying",
    "Meat or fish dried at home that was not heated through before drying, or of which that "
    "is not said.",
)
def dried_meat(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        found = hazards(part.food)
        drying = dried_at_home(case, part)
        raw = [h for h in ("raw-meat", "raw-fish") if h in found]
        at_home = drying is not None or part.line.home_made is True
        if "dried-meat" not in found and not (raw and drying is not None):
            continue
        if part.line.preheated is True:
            continue
        core_c = CORE_C[raw[0]] if raw else CORE_C["raw-meat"]
        before = None if drying is None else drying.number
        if drying is not None and best_kill(case, part, core_c, before) == "yes":
            continue
        if at_home:
            told = "was not" if part.line.preheated is False else "is not said to have been"
            yield Hit(
                "error",
                f"{short(part.food)}, dried at home, {told} heated to {core_c:g} °C before drying: "
                "the dryer alone leaves germs that later heat kills badly.",
                said(part),
            )
        elif part.line.home_made is None:
            yield Hit(
                "caution",
                f"{short(part.food)}: say whether it is bought or dried at home "
                "(home_made = true and preheated = true once it was heated through first).",
                said(part),
            )
