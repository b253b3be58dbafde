"""What a dish tastes of, by its foods: common practice, no source."""

from __future__ import annotations

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.composing.taste import names_of, taste_findings, taste_of_dish, tastes_of

PANTRY = shipped_pantry()


@pytest.mark.parametrize(
    ("food", "tastes"),
    [
        ("citric-acid", {"sour"}),
        ("lemon-juice-powder", {"sour", "fresh"}),
        ("olive-oil", {"rich"}),
        ("sesame-oil", {"rich"}),
        ("salt", {"salty"}),
        ("honey", {"sweet"}),
        ("chilli-flakes", {"hot"}),
        ("cashew-roasted", {"crisp", "rich"}),
        ("red-bell-pepper-dried", {"sweet"}),
        ("couscous", set()),
        ("spearmint-dried", {"fresh"}),
    ],
)
def test_what_a_food_brings(food: str, tastes: set[str]) -> None:
    assert tastes <= set(names_of(tastes_of(PANTRY.food(food))))
    if not tastes:
        assert not names_of(tastes_of(PANTRY.food(food)))


def test_oils_are_never_crisp_and_sweet_peppers_never_hot() -> None:
    for food in PANTRY:
        tastes = names_of(tastes_of(food))
        if food.form == "oil":
            assert "crisp" not in tastes, food.id
        if "bell-pepper" in food.id:
            assert "hot" not in tastes, food.id


def test_a_plain_dish_is_told_what_it_lacks_and_a_whole_one_is_not() -> None:
    plain = taste_of_dish([(PANTRY.food("couscous"), 90.0)])
    (finding,) = taste_findings(plain)
    assert finding.severity == "note"
    assert "sour" in finding.text
    assert "crisp" in finding.text
    whole = taste_of_dish(
        [
            (PANTRY.food("couscous"), 80.0),
            (PANTRY.food("tomato-powder"), 15.0),
            (PANTRY.food("olive-oil"), 15.0),
            (PANTRY.food("salt"), 1.5),
            (PANTRY.food("almond-salted"), 15.0),
            (PANTRY.food("citric-acid"), 0.5),
        ]
    )
    assert taste_findings(whole) == ()


def test_a_trace_is_not_tasted() -> None:
    dish = [(PANTRY.food("couscous"), 1000.0), (PANTRY.food("citric-acid"), 0.1)]
    assert "sour" not in names_of(taste_of_dish(dish))
