"""What is a poured-on recipe when there is no fire: the same foods, soaked in cold water?

Only where every food of it is eaten as it is or has a cold soak of its own in the pantry; the
minutes are those of the slowest, and nothing is invented.  What is raw stays raw in cold water,
so nothing raw is soaked so.
"""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe, Step

#: The author's word that a poured-on dish may be soaked cold as well.
TAG: Final = "soaks-cold-too"
_COLD: Final = "-soaked-cold"
#: Poured-on water is at least so hot [°C]; warmer than any cold soak.
_HOT_C: Final = 50.0
#: What needs a flame under the food: no cold way then.
_ON_FIRE: Final = ("boil", "simmer", "fry", "toast", "bake")


def name_cold(name: str) -> str:
    """Name of a recipe when it is soaked cold."""
    return f"{name}{_COLD}"


def hot_name(name: str) -> str | None:
    """Name of the recipe that is soaked cold under this name; None = it is none such."""
    return name.removesuffix(_COLD) if name.endswith(_COLD) and name != _COLD else None


def soaks_cold(food: Food) -> bool:
    """Whether it is fit to eat out of cold water, by the pantry's own figures."""
    if food.form == "raw-dry" or any(
        hazard in food.hazards for hazard in ("lectin-pulse", "raw-pulse", "raw-flour", "raw-egg")
    ):
        return False
    return "dry" in food.ways or any(soak.way == "cold-soak" for soak in food.soaks)


def soaked_cold(recipe: Recipe, pantry: Pantry) -> Recipe | None:
    """The recipe with a cold soak instead of boiling water; None = it has no such way.

    The water stays as written, the minutes are left to the foods; a kettle is no longer put on.
    """
    camp = [step for step in recipe.steps if step.where == "camp"]
    hot = [step for step in camp if _poured(step)]
    if not hot or any(step.act in _ON_FIRE for step in camp):
        return None
    if not all(soaks_cold(pantry.food(line.food)) for line in recipe.lines):
        return None
    steps = tuple(
        _cold(step) if step in hot else step
        for step in recipe.steps
        if step.where != "camp" or step.act != "heat" or step.bags
    )
    return replace(recipe, title=f"{recipe.title}, soaked cold", steps=steps)


def _poured(step: Step) -> bool:
    """Boiling or hot water meets the food."""
    if step.act == "steep" or (step.act == "heat" and bool(step.bags)):
        return True
    return step.water is not None and step.at_c is not None and step.at_c >= _HOT_C


def _cold(step: Step) -> Step:
    return replace(step, act="soak", minutes=None, at_c=None, text="")
