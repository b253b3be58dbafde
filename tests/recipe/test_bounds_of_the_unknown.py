"""What is unknown has an upper end: a food cannot hold more of a thing than it weighs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.pantry.nutrients import NUTRIENTS, Nutrients, ceiling
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.panel.by_line import eu_ends
from fellfare.recipe.panel.dish import panels
from fellfare.recipe.sheet import make_sheet

PANTRY = shipped_pantry()
WHOLE = [food for food in PANTRY if None not in food.per_100g.in_order]
BOUNDED = [name for name in NUTRIENTS if name.endswith("_g") or name == "energy_kcal"]


def a_dish(*foods: str) -> Recipe:
    return Recipe(title="t", serves=1, lines=tuple(Line(food=one, amount="50 g") for one in foods))


def test_there_are_foods_to_try_it_on() -> None:
    assert len(WHOLE) > 200


@given(st.sampled_from(WHOLE), st.sampled_from(BOUNDED))
def test_the_true_total_lies_between_the_two_ends(food: object, nutrient: str) -> None:
    # The oracle is SR28 itself: a figure that we know is struck out, and must
    # then lie inside the bounds that the rest of its row leaves (SR28's rows
    # balance to about a gram in 100 g, seldom less well).
    from fellfare.pantry.food import Food

    assert isinstance(food, Food)
    truth = make_sheet(a_dish(food.id, "salt"), PANTRY).total(nutrient)
    struck = replace(food, per_100g=replace(food.per_100g, **{nutrient: None}))
    found = make_sheet(a_dish(food.id, "salt"), PANTRY.with_foods([struck])).total(nutrient)
    assert found.unknown == (food.id,)
    assert found.most is not None
    assert found.value <= truth.value <= found.most + 3.5


@pytest.mark.parametrize(
    ("known", "nutrient", "most"),
    [
        (Nutrients(), "protein_g", 100.0),
        (Nutrients(water_g=60, fat_g=10), "protein_g", 30.0),
        (Nutrients(carbohydrate_g=12), "fibre_g", 12.0),
        (Nutrients(fat_g=8), "saturated_g", 8.0),
        (Nutrients(), "energy_kcal", 910.0),
        (Nutrients(), "sodium_mg", None),
        (Nutrients(sodium_mg=5), "sodium_mg", 5.0),
        (Nutrients(water_g=80, carbohydrate_g=30), "fat_g", 0.0),
    ],
)
def test_ceilings_worked_by_hand(known: Nutrients, nutrient: str, most: float | None) -> None:
    assert ceiling(known, nutrient) == most


def test_what_may_be_fibre_is_not_counted_as_sugar_and_as_fibre() -> None:
    # 100 g hold at most 100 g: 4 kcal for each gram of carbohydrate, or 2 kcal as fibre
    # (Regulation (EU) 1169/2011, Annex XIV), beside 40 g of water and 10 g of fat at 9 kcal.
    per_100g = Nutrients(water_g=40, fat_g=10, protein_g=0, alcohol_g=0)
    food = replace(PANTRY.food("couscous"), per_100g=per_100g, available_carbohydrate_g=None)
    low, high = eu_ends([(food, 100.0)])["energy_kcal"]
    assert (low, high) == pytest.approx((90.0, 90.0 + 4 * 50.0))


def test_an_unmeasured_line_leaves_no_upper_end() -> None:
    recipe = Recipe(
        title="t",
        serves=1,
        lines=(Line(food="couscous", amount="90 g"), Line(food="olive-oil", amount="to taste")),
    )
    energy = make_sheet(recipe, PANTRY).energy
    assert energy.unknown == ("olive-oil",)
    assert energy.most is None


def test_a_pinch_of_an_unknown_spice_does_not_blur_the_panels() -> None:
    # 2.5 g of sumac (in none of the tables searched) beside 90 g of couscous.
    recipe = Recipe(
        title="t",
        serves=1,
        lines=(Line(food="couscous", amount="90 g"), Line(food="sumac", amount="2.5 g")),
    )
    sheet = make_sheet(recipe, PANTRY)
    assert sheet.energy.most is not None
    assert sheet.energy.most - sheet.energy.value == pytest.approx(2.5 * 9.1)
    us, eu = panels(sheet)
    calories = next(row for row in us.rows if row.nutrient == "energy_kcal")
    assert calories.kind == "between"
    carbohydrate = next(row for row in eu.per_100g if row.nutrient == "carbohydrate_g")
    assert carbohydrate.kind == "between"
    assert carbohydrate.amount is not None
