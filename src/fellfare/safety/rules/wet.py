"""What happens once water is on the food?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.safety.case import Case, Event, Part
from fellfare.safety.clock import Hold, hold, minutes_of
from fellfare.safety.reading import first_wetting, hazards, names, said, said_lines
from fellfare.safety.rule import Hit, rule
from fellfare.safety.water_treatment import boil_minutes

#: (caution above, error above) [min]: USDA FSIS 2 h, Food Code 3-501.19 4 h; and half of
#: each above 32 °C (FSIS 1 h; the 2 h by the same halving).
USUAL_LIMITS: Final = (120.0, 240.0)
HOT_LIMITS: Final = (60.0, 120.0)
HOT_AIR_C: Final = 32.0
#: Food Code 3-501.19(C): never longer, even in the cool [min].
NEVER_MINUTES: Final = 360.0

_HOLD: Final = (
    "[USDA-FSIS-OUTDOORS] 2 h, 1 h above 32 °C; [FDA-FOOD-CODE] 3-501.19, 4 h and 6 h, by "
    "analogy: the code covers no food that is wetted warm"
)


@rule(
    "wet-hold",
    "error",
    _HOLD,
    "The time from wetting to eating, outside heat and cold, passes 2 h (caution) or 4 h "
    "(error); 1 h and 2 h above 32 °C.",
)
def wet_hold(case: Case) -> Iterator[Hit]:
    found = hold(case)
    if found is None:
        return
    hot = case.air_c is not None and case.air_c > HOT_AIR_C
    doubt, limit = HOT_LIMITS if hot else USUAL_LIMITS
    about = said_lines(case, found.parts)
    if not found.minutes <= limit:
        never = "  Past 6 h nothing allows it." if found.minutes > NEVER_MINUTES else ""
        yield Hit(
            "error",
            f"The food stands wet for {_minutes(found)} between 5 and 57 °C; the limit is "
            f"{limit / 60:g} h{' above 32 °C' if hot else ''}.  Cooking it again does not help: "
            f"some toxins stand boiling.{never}",
            about,
        )
    elif found.minutes > doubt:
        yield Hit(
            "caution",
            f"The food stands wet for {_minutes(found)} between 5 and 57 °C; the advice is "
            f"{doubt / 60:g} h{' above 32 °C' if hot else ''}.  Soak later, or colder.",
            about,
        )
    elif case.air_c is None and found.minutes > HOT_LIMITS[0]:
        yield Hit(
            "caution",
            f"The food stands wet for {_minutes(found)} and the warmth of the air is not known; "
            "above 32 °C the advice is 1 h.",
            about,
        )
    if found.untold:
        yield Hit(
            "caution",
            "It is not said how long the food stands wet in "
            f"{', '.join(e.said for e in found.untold)}; 2 h from wetting to the last bite, 1 h "
            "above 32 °C.",
            said(*found.untold),
        )
    elif not found.written and found.minutes <= doubt and not _is_drink(case, found):
        yield Hit(
            "note",
            "The clock starts when water touches the food: eat within 2 h, within 1 h above "
            "32 °C; throw the rest out.",
            about,
        )


def _is_drink(case: Case, found: Hold) -> bool:
    """A drink, stirred and drunk: nothing is soaked or cooked, and all of it is a drink's."""
    if case.recipe.meals == ("drink",):
        return True
    acts = {event.step.act for event in case.events if any(event.has(p) for p in found.parts)}
    groups = {part.food.group for part in found.parts}
    beside = {"drink", "sweet", "spice"}
    return "drink" in groups and groups <= beside and acts <= {"mix", "steep", "rest", "serve"}


def _minutes(found: Hold) -> str:
    return f"{found.minutes:g} min"


@rule(
    "cold-by-word",
    "caution",
    "[FDA-FOOD-CODE] 3-501.16, 5 °C; own judgement on who keeps it there",
    "A soak longer than 2 h is said to be at or under 5 °C, and nothing keeps it there.",
)
def cold_by_word(case: Case) -> Iterator[Hit]:
    found = hold(case)
    for event in found.cold_by_word if found is not None else ():
        if (minutes_of(event) or 0.0) > USUAL_LIMITS[0]:
            yield Hit(
                "caution",
                f"{event.said} counts as cold on the author's word: it must stay at or under "
                "5 °C from wetting to eating, and the air is not known.",
                said(event),
            )


@rule(
    "animal-powder-wet",
    "caution",
    "[FDA-FOOD-CODE] 1-201.10(B): animal food needs time and temperature control once wet",
    "Milk, egg, cheese or meat, dried, is wetted and not eaten within the hour.",
)
def animal_powder_wet(case: Case) -> Iterator[Hit]:
    parts = [
        part
        for part in case.parts
        if {"animal-powder", "dried-meat"} & set(hazards(part.food))
        and first_wetting(case, part) is not None
    ]
    if parts:
        yield _once_wet(
            hold(case),
            f"{names(parts)}: perishable from the moment it is wet; eat at once, keep nothing.",
            said(*parts),
        )


@rule(
    "starch-leftovers",
    "caution",
    "Wang et al. (Foodborne Pathogens and Disease; abstract): the emetic toxin of Bacillus "
    "cereus stands 100 °C for 2 h [WANG-BCEREUS]",
    "Cooked rice, pasta, other grain or potato is kept for longer than an hour.",
)
def starch_leftovers(case: Case) -> Iterator[Hit]:
    parts = [
        part for part in case.parts if _is_starchy(part) and first_wetting(case, part) is not None
    ]
    if parts:
        yield _once_wet(
            hold(case),
            f"{names(parts)}: no leftovers for later.  Bacillus cereus outlives cooking, and "
            "heating up again does not undo its toxin.",
            said(*parts),
        )


def _is_starchy(part: Part) -> bool:
    """Grain, and potato in any form: where Bacillus cereus is found most."""
    return part.food.group == "grain" or "potato" in part.food.id.split("-")


def _once_wet(found: Hold | None, text: str, about: tuple[str, ...]) -> Hit:
    """A note while the recipe stays under every published limit, else a caution."""
    short = found is not None and found.minutes <= HOT_LIMITS[0] and not found.untold
    return Hit("note" if short else "caution", text, about)


@rule(
    "untreated-water",
    "error",
    "[CDC-EID-2025] Emerging Infectious Diseases 31(8), 25-0208, table of agencies; cold-soak "
    "water is treated before soaking",
    "Food is soaked or mixed at camp with unboiled water that was not treated, or of which that "
    "is not said.",
)
def untreated_water(case: Case) -> Iterator[Hit]:
    for event in case.events:
        step = event.step
        cold = step.act == "soak" or (
            step.water is not None and step.act in ("mix", "rest", "heat", "serve", "pack")
        )
        if not cold or step.where != "camp" or step.water_treated is True:
            continue
        if _is_boiled_later(case, event):
            continue
        if step.water_treated is False:
            yield Hit(
                "error",
                f"{event.said}: the water is not treated and is never boiled afterwards.  Treat "
                "it first: boil 1 min (3 min from 1524 m), or filter and disinfect as the label "
                "says.",
                said(event),
            )
        else:
            yield Hit(
                "caution",
                f"{event.said}: it is not said whether the water is treated; treat it before "
                "it touches the food.",
                said(event),
            )


def _is_boiled_later(case: Case, event: Event) -> bool:
    needed = boil_minutes(case.altitude_m)
    return bool(event.parts) and all(
        any(
            later.number > event.number
            and later.has(part)
            and later.step.act in ("boil", "simmer")
            and later.step.at_c is None
            and (later.step.minutes or 0.0) >= needed
            for later in case.events
        )
        for part in event.parts
    )
