"""Do the steps make it fit to eat, with a sensible amount of water?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.pantry.food import Form, Group, Hazard, Way
from fellfare.safety.case import Case, Part
from fellfare.safety.pot import Pot, done, pots
from fellfare.safety.reading import hazards, names, said
from fellfare.safety.rule import Hit, rule

#: Hazards whose own rule already asks for the heat that is missing.
_ASKED_ELSEWHERE: Final[frozenset[Hazard]] = frozenset(
    {
        "lectin-pulse", "raw-pulse", "raw-flour", "raw-meat", "raw-fish", "raw-egg", "raw-milk",
        "sprouts",
    }
)  # fmt: skip
#: Of these a mouthful uncooked spoils the meal and may harm; the rest only fails to set or
#: to taste: own judgement.
_FILLING: Final[tuple[Group, ...]] = (
    "grain", "bread", "pulse", "soy", "vegetable", "mushroom", "fruit", "nut", "seed", "egg",
    "meat", "fish", "ready", "soup",
)  # fmt: skip
#: Taken out of the pot, or eaten with it without harm.
_SEASONING: Final[tuple[Group, ...]] = ("herb", "spice")
#: Below it a food seasons or thickens and does not feed: own judgement [g].
SEASONING_G: Final = 10.0
#: What is stirred in at the last is ready when it takes no longer than this [min].
STIRRED_IN_MINUTES: Final = 5.0

_NEEDS: Final[dict[Way, str]] = {
    "cold-soak": "soaked",
    "hot-pour": "covered with boiling water",
    "boil": "boiled",
}


@rule(
    "not-made-edible",
    "caution",
    "the pantry's own ways to prepare each food: common practice, no source; severity: own "
    "judgement",
    "Food that is not eaten dry, and no step soaks, steeps or boils it as it needs.",
)
def not_made_edible(case: Case) -> Iterator[Hit]:
    seen = pots(case)
    lacking: dict[tuple[str, str, bool], list[Part]] = {}
    for part in case.parts:
        needs = needed_ways(part)
        if not needs:
            continue
        got = _got(case, seen, part)
        if got & set(needs):
            continue
        light = part.mass_g is not None and part.mass_g < SEASONING_G
        if light and max(_per_g(part), default=0.0) > SWELLS_ML_PER_G:
            continue  # stock and miso powder season as well dry
        grave = part.food.group in _FILLING and not light
        how = " or ".join(_NEEDS[way] for way in _NEEDS if way in needs)
        lacking.setdefault((how, _said_of(got), grave), []).append(part)
    for (how, got_words, grave), parts in lacking.items():
        yield Hit(
            "caution" if grave else "note",
            f"{names(parts)}: not eaten dry; must be {how}, but {got_words}.",
            said(*parts),
        )


def needed_ways(part: Part) -> tuple[Way, ...]:
    """What would make the part fit to eat; empty when it is, or another rule asks for it."""
    food = part.food
    if food.group in _SEASONING or _ASKED_ELSEWHERE & set(hazards(food)):
        return ()
    if food.group == "baking" and not food.soaks:
        return ()  # raising agents work in the dough, whatever is done to it
    if not food.ways and food.form == "raw-dry":
        return ("boil",)
    return () if "dry" in food.ways else food.ways


def _got(case: Case, seen: tuple[Pot, ...], part: Part) -> frozenset[Way]:
    """What the steps do for the part, alone or in a pot."""
    boiled = any(soak.way == "boil" for soak in part.food.soaks)
    got: set[Way] = set()
    for event in case.events:
        if not event.has(part) or (
            event.step.act == "fry" and part.food.form == "raw-dry" and boiled
        ):
            continue
        got |= done(event)
        if event.step.act == "serve" and seen and _is_quick(part):
            got |= seen[-1].warmth
    for pot in seen:
        got |= pot.of(part)
    return frozenset(got)


def _is_quick(part: Part) -> bool:
    """Whether it is ready as soon as it is stirred in."""
    return any(soak.minutes <= STIRRED_IN_MINUTES for soak in part.food.soaks)


def _said_of(got: frozenset[Way]) -> str:
    if not got:
        return "no step does it"
    return "the steps only pour hot water on it" if "hot-pour" in got else "the steps only soak it"


#: Far from the table: below half of the least, or above three times the most: own judgement.
LEAST_SHARE: Final = 0.5
MOST_SHARE: Final = 3.0
#: More than dried vegetables take up; for those of which nobody tells [mL/g].
UNTOLD_ML_PER_G: Final = 10.0
#: With more water than this the food is dissolved or drunk and does not swell [mL/g].
SWELLS_ML_PER_G: Final = 6.0
_DRY: Final[tuple[Form, ...]] = (
    "raw-dry", "precooked", "instant", "dried", "freeze-dried", "powder", "baked",
)  # fmt: skip
#: Foods that bring water of their own along.
_MOIST_PERCENT: Final = 40.0


@rule(
    "water-doubtful",
    "caution",
    "uptake of the cooked food by the dry-matter balance of USDA SR28 [SR28] where it is known, "
    "else the pantry's common practice, no source; half and three times: own judgement",
    "The water of a pot is below half of the least that its food takes up, or, soaked or steeped, "
    "above three times the most.",
)
def water_doubtful(case: Case) -> Iterator[Hit]:
    for pot in pots(case):
        if pot.water_ml is None or pot.drained or not pot.parts:
            continue
        if any(event.step.where == "home" for event in pot.events):
            continue  # a home kitchen has water enough
        need = _need(pot.parts)
        swelling = [part for part in pot.parts if _is_swelling(part)]
        if need is None or not swelling:
            continue
        least_ml, most_ml, own_ml = need
        on_fire = any(event.step.act in ("boil", "simmer") for event in pot.events)
        if pot.water_ml + own_ml < LEAST_SHARE * least_ml:
            dry = [part for part in swelling if "dry" not in part.food.ways]
            yield Hit(
                "caution",
                f"{names(dry)}: {pot.water_ml:.0f} mL of water is little; {least_ml:.0f} mL or "
                "more is taken up.  It stays hard, or sticks and burns.",
                said(pot.events[0], *dry),
            )
        elif pot.water_ml > MOST_SHARE * most_ml and not on_fire and not _is_drink(case):
            yield Hit(
                "caution",
                f"{names(swelling)}: {pot.water_ml:.0f} mL of water is much; {most_ml:.0f} mL is "
                "taken up at most.  Is the figure right?",
                said(pot.events[0], *swelling),
            )


def _is_swelling(part: Part) -> bool:
    """Whether it must take up water to be eaten, and does not dissolve."""
    per_g = _per_g(part)
    return (
        part.food.group in _FILLING
        and bool(per_g)
        and max(per_g) <= SWELLS_ML_PER_G
        and (part.mass_g is None or part.mass_g >= SEASONING_G)
    )


def _per_g(part: Part) -> tuple[float, ...]:
    """Every figure for the water that it takes up or is made with [mL/g]."""
    food = part.food
    found = [soak.water_ml_per_g for soak in food.soaks if soak.way != "dry"]
    return tuple(one for one in (*found, food.uptake_ml_per_g) if one is not None)


def _need(parts: tuple[Part, ...]) -> tuple[float, float, float] | None:
    """(least, most, brought along) [mL]; None when a mass that counts is not known."""
    least = most = own = 0.0
    for part in parts:
        per_g = _per_g(part)
        if not per_g and part.food.form not in _DRY:
            water = part.food.per_100g.water_g
            if water is not None and water > _MOIST_PERCENT:
                if part.mass_g is None:
                    return None
                own += part.mass_g * water / 100
            continue
        if part.mass_g is None:
            if _is_swelling(part):
                return None
            most += SEASONING_G * UNTOLD_ML_PER_G  # salt and spices to taste
            continue
        most += part.mass_g * (max(per_g) if per_g else UNTOLD_ML_PER_G)
        if per_g and "dry" not in part.food.ways and _is_swelling(part):
            least += part.mass_g * min(per_g)
    return least, most, own


def _is_drink(case: Case) -> bool:
    return case.recipe.meals == ("drink",)
