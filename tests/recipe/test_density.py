"""What moves the energy density: reckoned again by making the other dish."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.density import energy_shares, pulls
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.sheet import make_sheet

PANTRY = shipped_pantry()
TOLD = sorted(food.id for food in PANTRY if food.per_100g.energy_kcal is not None)
DISHES = st.dictionaries(st.sampled_from(TOLD), st.integers(1, 300), min_size=1, max_size=7)


def density(masses_g: dict[str, float]) -> float | None:
    """kcal per 100 g of a dish made of these, by its sheet."""
    lines = tuple(Line(food=food, amount=f"{mass:.9g} g") for food, mass in masses_g.items())
    if not lines:
        return None
    return make_sheet(Recipe(title="other", serves=1, lines=lines), PANTRY).energy_kcal_per_100g


@given(DISHES)
def test_a_pull_is_what_the_other_dish_would_have(dish: dict[str, int]) -> None:
    masses = {food: float(mass) for food, mass in dish.items()}
    lines = tuple(Line(food=food, amount=f"{mass} g") for food, mass in dish.items())
    found = pulls(make_sheet(Recipe(title="dish", serves=1, lines=lines), PANTRY))
    assert {pull.food for pull in found} == set(dish)
    for pull in found:
        assert pull.as_is == pytest.approx(density(masses))
        assert pull.own == pytest.approx(density({pull.food: 100.0}))
        left = {food: mass for food, mass in masses.items() if food != pull.food}
        assert pull.without == pytest.approx(density(left))
        more = masses | {pull.food: masses[pull.food] + 10}
        assert pull.with_more == pytest.approx(density(more))
        assert pull.lifts == (pull.with_more > pull.as_is)


@given(DISHES)
def test_the_heaviest_drag_comes_first(dish: dict[str, int]) -> None:
    assume(len(dish) > 1)
    lines = tuple(Line(food=food, amount=f"{mass} g") for food, mass in dish.items())
    found = pulls(make_sheet(Recipe(title="dish", serves=1, lines=lines), PANTRY))
    gains = [(pull.without or 0.0) - pull.as_is for pull in found]
    assert gains == sorted(gains, reverse=True)


def test_a_line_of_unknown_energy_is_left_out_of_both() -> None:
    lines = (
        Line(food="bulgur", amount="100 g"),
        Line(food="garam-masala", amount="100 g"),  # no table that we use gives its energy
        Line(food="salt", amount="to taste"),
    )
    found = pulls(make_sheet(Recipe(title="dish", serves=1, lines=lines), PANTRY))
    assert [(pull.line, pull.food) for pull in found] == [(1, "bulgur")]
    assert found[0].as_is == pytest.approx(342)  # SR28 20012
    assert found[0].without is None


def test_oil_lifts_and_an_apple_holds_down() -> None:
    lines = (Line(food="olive-oil", amount="20 g"), Line(food="apple", amount="100 g"))
    found = pulls(make_sheet(Recipe(title="dish", serves=1, lines=lines), PANTRY))
    assert [(pull.food, pull.lifts) for pull in found] == [("apple", False), ("olive-oil", True)]


@given(DISHES)
def test_the_shares_of_the_energy_make_a_whole(dish: dict[str, int]) -> None:
    lines = tuple(Line(food=food, amount=f"{mass} g") for food, mass in dish.items())
    shares = energy_shares(make_sheet(Recipe(title="dish", serves=1, lines=lines), PANTRY))
    if shares is not None:
        parts = (shares.fat, shares.protein, shares.carbohydrate, shares.alcohol)
        assert sum(part.low for part in parts) <= 1 + 1e-9
        if not shares.unknown:
            assert sum(part.low for part in parts) == pytest.approx(1)
            assert all(part.known for part in parts)


def test_the_shares_go_by_the_general_factors() -> None:
    # 21 CFR 101.9(c)(1)(i)(B): 4, 4 and 9 kcal/g.  SR28 12155 walnuts, 100 g: protein 15.23,
    # fat 65.21, carbohydrate 13.71 g.
    line = Line(food="walnut", amount="100 g")
    shares = energy_shares(make_sheet(Recipe(title="dish", serves=1, lines=(line,)), PANTRY))
    assert shares is not None
    whole = 4 * 15.23 + 9 * 65.21 + 4 * 13.71
    assert shares.fat.low == pytest.approx(9 * 65.21 / whole)
    assert shares.protein.high == pytest.approx(4 * 15.23 / whole)


def test_a_share_with_an_unknown_part_has_two_ends_that_hold_the_truth() -> None:
    # 50 g of olive oil (SR28 04053: all fat) beside 20 g of sumac, of which nobody knows a thing:
    # the sumac holds at most 20 g of anything, so fat is at least 450 / (450 + 160) of it.
    lines = (Line(food="olive-oil", amount="50 g"), Line(food="sumac", amount="20 g"))
    shares = energy_shares(make_sheet(Recipe(title="dish", serves=1, lines=lines), PANTRY))
    assert shares is not None
    assert shares.unknown == ("sumac",)
    assert shares.carbohydrate.low == 0
    assert shares.carbohydrate.high == pytest.approx(80 / 530)
    assert not shares.carbohydrate.known
    assert shares.fat.low == pytest.approx(450 / 610)
    assert shares.fat.high == 1
