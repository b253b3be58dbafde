"""From a combination to a recipe: lines, bags and steps."""

from __future__ import annotations

from typing import Final

from fellfare.pantry.food import Food, Form, Way
from fellfare.recipe.composing.question import Composition
from fellfare.recipe.composing.sweeping import Dish
from fellfare.recipe.document import Act, Bag, Line, Recipe, Step

_ACT: Final[dict[Way, Act]] = {"cold-soak": "soak", "hot-pour": "steep", "boil": "simmer"}
#: Travel on their own: they leak, and wet or grease what lies beside them.
_APART: Final[frozenset[Form]] = frozenset({"oil", "liquid", "paste"})


def recipe_of(dish: Dish, asked: Composition, number: int | None = None) -> Recipe:
    """The dish as a recipe document for one eater; its minutes and water come from the foods."""
    lines: list[Line] = []
    pot: list[str] = []
    end: list[str] = []
    screws: list[str] = []
    for part, filling in zip(asked.parts, dish.fillings, strict=True):
        for portion in filling:
            bag = _bag(portion.food, part.name, at_the_end=part.at_the_end)
            lines.append(Line(food=portion.food.id, amount=portion.amount, bag=bag))
            dry = asked.way == "dry"
            (end if part.at_the_end or bag == "oil" or dry else pot).append(bag)
            if bag == "oil":
                screws.append(bag)
    steps = []
    act = _ACT.get(asked.way)
    if act is not None and pot:
        steps.append(Step(act=act, bags=tuple(dict.fromkeys(pot))))
    if end:
        text = "Stir in and eat." if steps else "Eat as it is."
        steps.append(Step(act="serve", bags=tuple(dict.fromkeys(end)), text=text))
    return Recipe(
        title=title_of(dish, asked, number),
        serves=1,
        lines=tuple(lines),
        steps=tuple(steps),
        bags=tuple(Bag(name=name, packing="screw") for name in dict.fromkeys(screws)),
        meals=asked.meals,
        about="Composed by the figures; taste it at home before it goes on a walk.",
        system=asked.system,
        origin="composed",
    )


def title_of(dish: Dish, asked: Composition, number: int | None = None) -> str:
    """'Couscous, tomato powder, olive oil, cashew': its foods in the order of the parts."""
    names = [portion.food.name for filling in dish.fillings for portion in filling]
    told = ", ".join(names)
    told = told[:1].upper() + told[1:]
    return told if number is None else f"{asked.title} {number}: {told}"


def _bag(food: Food, part: str, *, at_the_end: bool) -> str:
    if food.form in _APART:
        return "oil"
    return part if at_the_end else "pot"
