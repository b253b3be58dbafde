"""Dishes of our own for the tests of this room."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.pantry.pantry import Pantry
from fellfare.provision.planned import Planned, Share, in_order
from fellfare.recipe.document import Bag, Line, Recipe, Step
from fellfare.recipe.sheet import make_sheet

PORRIDGE = Recipe(
    title="Oats with raspberry and walnut",
    serves=1,
    meals=("breakfast",),
    lines=(
        Line(food="rolled-oats", amount="60 g", bag="oats"),
        Line(food="milk-powder-whole", amount="20 g", bag="oats"),
        Line(food="raspberry-freeze-dried", amount="8 g", bag="oats"),
        Line(food="walnut", amount="25 g", bag="nuts"),
    ),
    steps=(
        Step(act="steep", bags=("oats",), water="250 ml", minutes=5),
        Step(act="serve", bags=("nuts",), text="Scatter the nuts over."),
    ),
)

POT = Recipe(
    title="Couscous pot",
    serves=2,
    meals=("dinner",),
    lines=(
        Line(food="couscous", amount="180 g", bag="pot"),
        Line(food="red-bell-pepper-dried", amount="20 g", bag="pot"),
        Line(food="garlic-powder", amount="2 g", bag="pot"),
        Line(food="salt", amount="to taste", bag="pot"),
        Line(food="cheddar", amount="60 g"),
        Line(food="olive-oil", amount="30 g"),
    ),
    steps=(
        Step(act="steep", bags=("pot",), water="300 ml", minutes=7),
        Step(act="mix", bags=("olive-oil", "cheddar")),
    ),
)

RECIPES = {"porridge": PORRIDGE, "pot": POT}
ADA = Share(name="Ada", avoids=("tree-nut",), without=("walnut",))
ADA_POT = Share(name="Ada", avoids=("tree-nut",))
BO = Share(name="Bo", servings=1.25)
CY = Share(name="Cy", servings=0.75)


@pytest.fixture(scope="session")
def pantry() -> Pantry:
    return shipped_pantry()


@pytest.fixture(scope="session")
def dish(pantry: Pantry) -> Callable[..., Planned]:
    """``dish("pot", day=2, eaters=(BO, CY))``."""

    def make(name: str, *, eaters: tuple[Share, ...] = (BO, CY), **rest: object) -> Planned:
        sheet = make_sheet(RECIPES[name], pantry, len(eaters))
        told = {"day": 1, "time": RECIPES[name].meals[0], **rest}
        return Planned(sheet=sheet, eaters=eaters, **told)  # type: ignore[arg-type]

    return make


@pytest.fixture(scope="session")
def plan(dish: Callable[..., Planned]) -> tuple[Planned, ...]:
    """Three days, three eaters, a box from day 3 on."""
    three, pot = (ADA, BO, CY), (ADA_POT, BO, CY)
    return in_order(
        (
            dish("porridge", day=1, eaters=three),
            dish("pot", day=1, eaters=pot),
            dish("porridge", day=2, eaters=three),
            dish("pot", day=2, eaters=(BO, CY), apart=True),
            dish("porridge", day=3, eaters=(ADA, BO), leg=2, stop="Upper Hut box"),
            dish("pot", day=3, eaters=pot, leg=2, stop="Upper Hut box"),
        )
    )


@pytest.fixture
def bottled() -> Recipe:
    """A dish without a single bag named."""
    return Recipe(
        title="Loose",
        serves=1,
        lines=tuple(Line(food=line.food, amount=line.amount) for line in POT.lines),
        steps=(Step(act="steep", water="150 ml", minutes=5),),
        bags=(Bag(name="pot"),),
    )
