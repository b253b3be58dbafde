"""Fuel and water of each carry."""

from __future__ import annotations

from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.provision.planned import Planned
from fellfare.provision.supplies import MealUse, supplies, uses_of


def meal(day: int, fuel_g: float | None, water_ml: float | None, leg: int = 1) -> MealUse:
    return MealUse(day=day, time="dinner", leg=leg, fuel_g=fuel_g, water_ml=water_ml)


def test_a_worked_carry() -> None:
    told = supplies(
        [meal(1, 12, 500), meal(1, 8, 250), meal(2, 20, 600), meal(3, 40, 900, leg=2)], reserve=0.15
    )
    assert [one.leg for one in told] == [1, 2]
    first = told[0]
    assert (first.fuel_g, first.water_ml) == (40, 1350)
    assert (first.most_day, first.most_ml) == (1, 750)
    # 46 g with the reserve: one 100 g canister
    smallest = min(first.choices, key=lambda one: one.size.net_g)
    assert (smallest.size.net_g, smallest.count) == (100, 1)


@given(
    st.lists(
        st.tuples(st.integers(1, 9), st.integers(0, 200), st.integers(0, 3000), st.integers(1, 3)),
        min_size=1,
        max_size=12,
    )
)
def test_the_carries_sum_to_the_meals(told: list[tuple[int, int, int, int]]) -> None:
    meals = [meal(day, fuel, water, leg) for day, fuel, water, leg in told]
    legs = supplies(meals)
    assert sum(one.fuel_g for one in legs) == pytest.approx(sum(m.fuel_g or 0 for m in meals))
    assert sum(one.water_ml for one in legs) == pytest.approx(sum(m.water_ml or 0 for m in meals))
    for one in legs:
        for choice in one.choices:
            # EN 417 net fill and 15 % reserve, reckoned again
            assert choice.count == ceil(round(one.fuel_g * 1.15 / choice.size.net_g, 9))


def test_unknown_is_carried_on() -> None:
    (one,) = supplies([meal(1, None, None), meal(2, 10, 100)])
    assert one.fuel_unknown == ("day 1 dinner",)
    assert one.water_unknown == ("day 1 dinner",)
    assert one.fuel_g == 10


def test_no_fuel_no_canister() -> None:
    (one,) = supplies([meal(1, 0, 300)])
    assert one.choices == ()
    (spirit,) = supplies([meal(1, 30, 300)], gas=False)
    assert spirit.choices == ()


def test_dishes_bring_their_water(plan: tuple[Planned, ...]) -> None:
    meals = uses_of(plan, [10.0] * len(plan))
    told = supplies(meals)
    assert sum(one.water_ml for one in told) == pytest.approx(
        250 * (3 + 3 + 2.25) + 150 * (3 + 2 + 3)
    )
    assert [one.stop for one in told] == ["", "Upper Hut box"]


@pytest.mark.parametrize("figures", [(-1.0, 1.0), (float("nan"), 1.0), (1.0, float("inf"))])
def test_impossible_supplies_are_refused(figures: tuple[float, float]) -> None:
    with pytest.raises(Mistake, match="supply-out-of-range"):
        supplies([meal(1, *figures)])
