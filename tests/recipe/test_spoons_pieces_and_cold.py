"""Back from grams to spoons and pieces; and a poured-on dish in cold water."""

from __future__ import annotations

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.household import counted, household
from fellfare.recipe.sheet import make_sheet
from fellfare.recipe.soaked_cold import soaked_cold

PANTRY = shipped_pantry()


@pytest.mark.parametrize(
    ("food", "amount", "eaters", "told"),
    [
        ("garlic", "2 cloves", 2, "2 cloves"),
        ("garlic", "2 cloves", 5, "5 cloves"),
        ("garlic", "2 cloves", 1, "1 clove"),
        ("date", "3", 4, "6"),
        ("garlic", "6 g", 2, None),
    ],
)
def test_counted_things_are_scaled_and_a_bare_number_has_no_noun(
    food: str, amount: str, eaters: int, told: str | None
) -> None:
    recipe = Recipe(title="t", serves=2, lines=(Line(food=food, amount=amount),))
    (line,) = make_sheet(recipe, PANTRY, eaters).lines
    assert counted(line) == told


def test_a_spoonful_is_told_by_the_weight_of_a_spoon_and_a_cupful_by_that_of_a_cup() -> None:
    # USDA SR28, grated Parmesan: a tablespoon weighs 5 g, a cup of sixteen of them 100 g.
    parmesan = PANTRY.food("parmesan-grated")
    few, many = household(parmesan, 10.0, "us"), household(parmesan, 100.0, "us")
    assert few is not None
    assert many is not None
    assert (few.text, many.text) == ("2 tbsp", "1 cup")


def test_what_is_done_at_home_stays_and_what_is_done_in_camp_decides() -> None:
    lines = (Line(food="couscous", amount="90 g"),)
    steep = Step(act="steep", water="130 ml", minutes=10.0)
    toast = Step(act="toast", bags=("couscous",), minutes=5.0)
    at_home = Step(act="toast", bags=("couscous",), minutes=5.0, where="home")
    cold = soaked_cold(Recipe(title="t", serves=1, lines=lines, steps=(at_home, steep)), PANTRY)
    assert cold is not None
    assert cold.steps[0] == at_home
    assert (cold.steps[1].act, cold.steps[1].water) == ("soak", "130 ml")
    for steps in ((toast, steep), (at_home,)):
        assert soaked_cold(Recipe(title="t", serves=1, lines=lines, steps=steps), PANTRY) is None
