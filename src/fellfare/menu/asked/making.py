"""How is a dish made in camp: dry, with cold water, with boiling water, on the fire?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Way
from fellfare.recipe.document import Recipe, Step
from fellfare.recipe.sheet import Sheet
from fellfare.recipe.watering import WateredStep

#: What needs a flame under the food itself.
_ON_FIRE: Final = ("boil", "simmer", "fry", "toast", "bake")
#: Minutes of these go on, without a flame, until the dish is ready.
_STANDING: Final = ("soak", "steep", "rest")
#: A soak is written for water of a room where the author does not say [°C] (judgement).
WRITTEN_FOR_C: Final = 20.0


class Making(Struct, frozen=True, kw_only=True):
    """What a dish asks of the camp, for one serving."""

    #: The hardest thing that it needs: dry < cold-soak < hot-pour < boil.
    way: Way
    #: Unheated water on it, from first wetting until it is ready [min]; None = not told.
    soak_minutes: float | None
    #: On the flame, at sea level [min]; None = not told.
    flame_minutes: float | None
    #: Water that is heated, and all water [mL].
    hot_ml: float
    water_ml: float
    #: Some step takes water and nobody told how much.
    water_unknown: bool


def making_of(sheet: Sheet) -> Making:
    """From the steps that are done in camp; steps at home ask nothing of it."""
    steps = [step for step in sheet.steps if step.step.where == "camp"]
    acts = [step.step for step in steps]
    if any(_flame(step) for step in acts):
        way: Way = "boil"
    elif any(_pours(step) for step in acts):
        way = "hot-pour"
    elif any(step.act == "soak" or _takes_water(sheet, step) for step in acts):
        way = "cold-soak"
    else:
        way = "dry"
    eaters = sheet.eaters
    hot = sum(s.water_ml or 0.0 for s in steps if _flame(s.step) or _pours(s.step))
    return Making(
        way=way,
        soak_minutes=_minutes(steps, lambda step: step.act in _STANDING)
        if any(step.act == "soak" for step in acts)
        else 0.0,
        flame_minutes=_minutes(steps, _flame) if way == "boil" else 0.0,
        hot_ml=hot / eaters,
        water_ml=sum(step.water_ml or 0.0 for step in steps) / eaters,
        water_unknown=any(step.water_unknown for step in steps),
    )


def kinds_of(recipe: Recipe, making: Making) -> tuple[str, ...]:
    """At which eating times it is served: its own word, else one by how it is made.

    Without ``meals`` a dish that is wetted or cooked in camp counts as a dinner, one that is
    eaten as it is as a snack (judgement).
    """
    return recipe.meals or (("snack",) if making.way == "dry" else ("dinner",))


def _flame(step: Step) -> bool:
    return step.act in _ON_FIRE or (step.act == "heat" and bool(step.bags))


def _pours(step: Step) -> bool:
    """Boiling water is poured on; 'heat' without food is the kettle."""
    if step.act in ("steep", "heat"):
        return True
    return step.water is not None and step.at_c is not None and step.at_c >= 50.0


def _takes_water(sheet: Sheet, step: Step) -> bool:
    made = next(one for one in sheet.steps if one.step is step)
    return step.act != "drain" and (bool(made.water_ml) or made.water_unknown)


def _minutes(steps: list[WateredStep], asked: Callable[[Step], bool]) -> float | None:
    total = 0.0
    for one in steps:
        if not asked(one.step):
            continue
        minutes = one.most_minutes if one.most_minutes is not None else one.minutes
        if minutes is None:
            return None
        total += minutes
    return total
