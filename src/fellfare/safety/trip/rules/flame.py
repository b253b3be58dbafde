"""Who could be hurt by the stove?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import TripCase
from fellfare.safety.trip.reading import burning, listed, stoves, stoves_said

#: Younger than this, somebody else pours [years, own judgement].
YOUTH_Y: Final = 16.0
#: From here down a tent is tempting [°C, own judgement].
FROST_C: Final = 0.0
#: Fuels that hold methanol, or may.
_METHANOL: Final = ("methanol", "denatured-spirit")


@rule(
    "cooking-inside",
    "error",
    "[MMWR-48-32] 1999, deaths in tents; a volunteer study found 21.5 % carboxyhaemoglobin "
    "after 2 h beside a stove in a small tent (Am J Emerg Med 22:204, 2004, abstract)",
    "Cooking in a tent, hut porch or vehicle is planned (error), or not ruled out in frost or "
    "strong wind (caution).",
)
def cooking_inside(case: TripCase) -> Iterator[Hit]:
    kitchens = stoves(case)
    if not kitchens or case.cooking_inside is False:
        return
    about = stoves_said(kitchens)
    if case.cooking_inside:
        yield Hit(
            "error",
            "No stove burns in a tent, porch or vehicle: carbon monoxide kills without smell, "
            "and tents burn in seconds.  Cook outside, or eat cold.",
            about,
        )
        return
    hard = any(
        day.wind == "strong" or day.night_c is None or day.night_c <= FROST_C
        for day in case.nights()
    )
    yield Hit(
        "caution" if hard else "note",
        "It is not told where the stove burns"
        f"{', and frost or wind (or an unknown night) makes the tent tempting' if hard else ''}: "
        "never inside, for carbon monoxide has no smell.  Headache, dizziness, sickness: out into "
        "the air, and call for help.",
        about,
    )


@rule(
    "spirit-flame",
    "caution",
    "common practice, no source; poison of methanol: product labels (from memory)",
    "A spirit stove is carried.",
)
def spirit_flame(case: TripCase) -> Iterator[Hit]:
    kitchens = burning(case, "spirit")
    if not kitchens:
        return
    poison = any(kitchen.fuel in _METHANOL for kitchen in kitchens)
    yield Hit(
        "caution",
        "Spirit burns with a flame that daylight hides: refuel only when the stove is out and "
        "cold, never pour from the bottle onto it, and keep fuel apart from food and drink."
        + (
            "  The fuel is methanol or may hold it: poison to drink and through the skin."
            if poison
            else "  Denatured spirit may hold methanol, a poison: read its label."
        ),
        stoves_said(kitchens),
    )


@rule(
    "petrol-flare",
    "caution",
    "common practice, no source; the stove's own instructions",
    "A pressure stove for liquid fuel is carried.",
)
def petrol_flare(case: TripCase) -> Iterator[Hit]:
    kitchens = burning(case, "petrol")
    if kitchens:
        yield Hit(
            "caution",
            "A liquid-fuel stove flares while it is primed: in the open, face and tent away, "
            "refuel cold.  Keep fuel apart from food; what smells of fuel is not eaten.",
            stoves_said(kitchens),
        )


@rule(
    "scald-youth",
    "caution",
    "own judgement",
    "Somebody under 16 eats where a stove burns.",
)
def scald_youth(case: TripCase) -> Iterator[Hit]:
    near = {name for kitchen in stoves(case) for name in kitchen.walkers}
    young = [
        walker.name
        for walker in case.trip.walkers
        if walker.name in near and (walker.age_y < YOUTH_Y or "young-child" in walker.high_risk)
    ]
    if young:
        yield Hit(
            "caution",
            f"{listed(young)}: an adult lights the stove and pours boiling water; stove on firm "
            "ground, nobody eats or cooks on the lap, feet and play away from the pot.  Scald: "
            "20 min under cool water, and help.",
            tuple(young),
        )
