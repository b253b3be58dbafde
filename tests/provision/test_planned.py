"""A planned dish is judged as it is written, not as it might be made."""

from __future__ import annotations

from msgspec.structs import replace

from fellfare.pantry.pantry import Pantry
from fellfare.provision.planned import Planned, Share, findings_for
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.sheet import make_sheet

DISH = Recipe(
    title="Couscous with seeds",
    serves=1,
    lines=(
        Line(food="couscous", amount="90 g"),
        Line(food="sunflower-seeds", amount="20 g", swap=("walnut", "no-such-food")),
    ),
)


def planned(recipe: Recipe, pantry: Pantry) -> Planned:
    ada = Share(name="Ada", avoids=("walnut",))
    return Planned(day=1, time="lunch", sheet=make_sheet(recipe, pantry), eaters=(ada,), air_c=20.0)


def test_a_swap_that_nobody_made_troubles_nobody(pantry: Pantry) -> None:
    with_swap = findings_for(planned(DISH, pantry))
    plain = replace(DISH, lines=tuple(replace(line, swap=()) for line in DISH.lines))
    assert with_swap == findings_for(planned(plain, pantry))
    assert not any(one.rule == "unknown-swap" for one in with_swap)


def test_the_same_food_in_the_dish_is_an_error(pantry: Pantry) -> None:
    eaten = replace(DISH, lines=(DISH.lines[0], Line(food="walnut", amount="20 g")))
    assert any(one.severity == "error" for one in findings_for(planned(eaten, pantry)))
