"""Without a fire a poured-on dish is soaked cold, where its foods can be; nothing is invented.

The minutes are the pantry's own: rice-instant 45 min in cold water (common practice).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from tests.menu.trips import RECIPES, STEEP, asked, recipe, written

from fellfare.files.shipped import shipped_pantry
from fellfare.menu.asked import Asked
from fellfare.menu.of_trip import menu_of_trip
from fellfare.menu.pool import Repeat
from fellfare.menu.trying import Trying
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.leaving_out import recipe_named, recipe_of
from fellfare.recipe.soaked_cold import hot_name, name_cold, soaked_cold, soaks_cold

BAN = (('fire = "none"', 'fire = "no-flame"'),)
COLD = "coverage = 0.9\ncold_instead = true"
RICE = "rice-soaked-cold"


def barred(question: Asked, dish: str) -> set[str]:
    return {why for (name, _, time), why in question.barred.items() if name == dish}


def test_under_a_ban_a_poured_on_dish_is_soaked_cold(tmp_path: Path) -> None:
    question = asked(written(tmp_path, rules=COLD, change=BAN))
    cold = question.dish(RICE)
    assert cold.making.way == "cold-soak"
    assert cold.cold_instead
    pantry = shipped_pantry()
    slowest = max(
        soak.most_minutes or soak.minutes
        for line in question.dish("rice").recipe.lines
        for soak in pantry.food(line.food).soaks
        if soak.way == "cold-soak"
    )
    assert cold.making.soak_minutes == pytest.approx(slowest)
    assert cold.dish.mass_g == pytest.approx(question.dish("rice").dish.mass_g, abs=0.5)
    assert "needs heat" in next(iter(barred(question, "rice")))
    menu = menu_of_trip(question, Trying(gap=0.02, seconds=10.0))
    dishes = {meal.dish for day in menu.days for meal in day.meals if meal.time == "dinner"}
    assert dishes <= {"couscous", RICE, "chicken-soaked-cold"}
    # 20 °C minutes are longer in that day's water: the rice takes too long there, and is told
    assert any("120 min" in why for why in barred(question, RICE))
    for day in menu.days:
        for meal in day.meals:
            if meal.cold_instead:
                assert "Wet it" in meal.wet
                assert meal.title.endswith("soaked cold")


def test_where_the_stove_burns_it_stays_poured_on(tmp_path: Path) -> None:
    question = asked(written(tmp_path, rules=COLD))
    assert barred(question, RICE) == {"it is poured on there, and needs no cold soak"}


def test_it_is_not_offered_unasked(tmp_path: Path) -> None:
    question = asked(written(tmp_path, change=BAN))
    assert RICE not in {one.id for one in question.dishes}


def test_a_recipe_may_say_so_itself(tmp_path: Path) -> None:
    told = RECIPES | {"rice": RECIPES["rice"].replace('"vegan"', '"vegan", "soaks-cold-too"')}
    question = asked(written(tmp_path, recipes=told, change=BAN))
    names = {one.id for one in question.dishes}
    assert RICE in names
    assert "chicken-soaked-cold" not in names


def test_a_food_without_a_cold_soak_keeps_the_dish_hot(tmp_path: Path) -> None:
    # dried pasta as sold is raw: no cold water cooks it
    pasta = recipe("Pasta", "dinner", {"pasta": "110 g", "olive-oil": "30 g"}, STEEP)
    question = asked(written(tmp_path, recipes=RECIPES | {"pasta": pasta}, rules=COLD, change=BAN))
    assert not soaks_cold(shipped_pantry().food("pasta"))
    assert "pasta-soaked-cold" not in {one.id for one in question.dishes}


def test_raw_pulses_are_never_soaked_cold() -> None:
    for food in shipped_pantry():
        if {"lectin-pulse", "raw-pulse", "raw-flour"} & set(food.hazards):
            assert not soaks_cold(food), food.id


def test_both_ways_are_one_dish_for_repeats(tmp_path: Path) -> None:
    question = asked(written(tmp_path, rules=COLD, change=BAN))
    assert question.dish(RICE).dish.id == RICE
    dish = next(one for one in question.base.dishes if one.id == RICE)
    assert dish.same_as == "rice"
    assert recipe_of(RICE) == recipe_of("rice-without-cashew-salted") == recipe_of("rice") == "rice"


def test_a_fixed_dish_is_kept_in_its_cold_way(tmp_path: Path) -> None:
    fixed = '[[fixed]]\nday = 1\neating = "dinner"\ndish = "chicken"\n'
    question = asked(written(tmp_path, rules=COLD, change=BAN, more=fixed))
    assert [lock.dish for lock in question.base.locks] == ["chicken-soaked-cold"]
    assert not [one for one in question.findings if one.rule == "fixed-dish-barred"]


def test_its_name_makes_it_again() -> None:
    pantry = shipped_pantry()
    rice = Recipe(
        title="Rice",
        serves=1,
        lines=(Line(food="rice-instant", amount="100 g", bag="pot"),),
        steps=(
            Step(act="heat", text="Put the kettle on"),
            Step(act="steep", bags=("pot",), water="200 ml", minutes=8, text="Pour on"),
        ),
    )
    made = recipe_named(name_cold("rice"), {"rice": rice}, pantry)
    assert made == soaked_cold(rice, pantry)
    assert made is not None
    assert [(step.act, step.water, step.minutes) for step in made.steps] == [
        ("soak", "200 ml", None)
    ]
    assert hot_name("rice") is None
    assert soaked_cold(replace(rice, steps=(Step(act="simmer", bags=("pot",)),)), pantry) is None


def test_repeats_count_the_ways_together() -> None:
    from tests.menu.test_against_enumeration import agrees, small

    question = small(3)
    dishes = tuple(
        replace(dish, same_as="supper0") if dish.id == "supper1" else dish
        for dish in question.dishes
    )
    again = Repeat(wish="w", key="dish", within_days=2, times=("supper",))
    agrees(replace(question, dishes=dishes, repeats=(again,)))
