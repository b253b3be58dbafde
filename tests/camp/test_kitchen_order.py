"""One stove, one pot, several dishes."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise, permutations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fellfare.camp.fuel.fuels import find_fuel
from fellfare.camp.heat import Pot, heat_needed
from fellfare.camp.kitchen import Dish, KitchenPlan, kitchen_plan
from fellfare.camp.water import boil_at
from fellfare.mistake import Mistake

NAN = float("nan")


def plan(*dishes: Dish, **more: Any) -> KitchenPlan:
    settings_: dict[str, Any] = {
        "start_c": 10.0,
        "altitude_m": 2000.0,
        "fuel": find_fuel("gas"),
        "efficiency": 0.5,
        "net_w": 900.0,
    }
    return kitchen_plan(dishes, **(settings_ | more))


TEA = Dish(name="tea", water_g=300, rest_minutes=3)
COUSCOUS = Dish(name="couscous", water_g=120, rest_minutes=12)
PASTA = Dish(name="pasta", water_g=400, food_g=100, simmer_minutes=9)


def test_the_clock_by_hand() -> None:
    # 120 g from 10 to 93.3 C: 41.85 kJ at 900 W = 0.775 min; then it stands 12 min.
    told = plan(COUSCOUS)
    assert [step.act for step in told.steps] == ["boil", "rest"]
    assert told.steps[0].end_min == pytest.approx(0.775, abs=0.001)
    assert told.all_ready_min == pytest.approx(12.775, abs=0.001)


def test_the_longest_stander_goes_first() -> None:
    told = plan(PASTA, TEA, COUSCOUS)
    assert told.order == ("couscous", "tea", "pasta")
    assert plan(PASTA, TEA, COUSCOUS, keep_order=True).order == ("pasta", "tea", "couscous")


dishes = st.lists(
    st.builds(
        Dish,
        name=st.sampled_from("abcdef"),
        water_g=st.floats(50, 800),
        food_g=st.floats(0, 200),
        simmer_minutes=st.floats(0, 15),
        rest_minutes=st.floats(0, 20),
        rests_in_pot=st.booleans(),
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=30, deadline=None)
@given(dishes)
def test_no_other_order_is_done_earlier(some: list[Dish]) -> None:
    best = min(plan(*order, keep_order=True).all_ready_min for order in permutations(some))
    assert plan(*some).all_ready_min == pytest.approx(best, abs=1e-6)


@settings(max_examples=30, deadline=None)
@given(dishes)
def test_one_pot_does_one_thing_at_a_time(some: list[Dish]) -> None:
    held = [step for step in plan(*some).steps if step.holds_pot]
    for before, after in pairwise(held):
        assert after.start_min >= before.end_min - 1e-9


@settings(max_examples=30, deadline=None)
@given(dishes)
def test_fuel_is_the_sum_of_the_dishes(some: list[Dish]) -> None:
    alone = [plan(dish) for dish in some]
    together = plan(*some)
    assert together.fuel.fuel_g == pytest.approx(sum(p.fuel.fuel_g for p in alone))
    assert together.boiled_off_g == pytest.approx(sum(p.boiled_off_g for p in alone))


def test_heat_of_a_boil_and_a_simmer_by_hand() -> None:
    pot = Pot(material="titanium", mass_g=100)
    told = plan(PASTA, pot=pot)
    boils = boil_at(2000).boils_c
    boil = heat_needed(400, 10, boils, pot=pot, food_g=100).total_kj
    # 100 W for 9 min are 54 kJ, all of it steam.
    assert told.fuel.heat_kj == pytest.approx(boil + 54)
    assert told.fuel.heat.evaporation_kj == pytest.approx(54)


def test_rice_that_a_tramper_weighed() -> None:
    # Kitchen scale of one tramper, seen in a public copy: 200 g of rice in 480 mL,
    # 20 min, 12 g of gas.  Ours with efficiencies of 0.4 to 0.6 must hold it.
    rice = Dish(name="rice", water_g=480, food_g=200, simmer_minutes=17)
    grams = [plan(rice, altitude_m=0, efficiency=eta).fuel.fuel_g for eta in (0.6, 0.4)]
    assert grams[0] < 12 < grams[1]


def test_nonsense_is_refused() -> None:
    calls: tuple[tuple[Callable[[], object], str], ...] = (
        (lambda: plan(), "no-dishes"),
        (lambda: plan(TEA, net_w=0), "stove-power-out-of-range"),
        (lambda: plan(TEA, net_w=NAN), "stove-power-out-of-range"),
        (lambda: plan(TEA, simmer_w=2000), "stove-power-out-of-range"),
        (lambda: plan(TEA, change_minutes=-1), "kitchen-minutes-out-of-range"),
        (
            lambda: plan(Dish(name="x", water_g=1, simmer_minutes=NAN)),
            "kitchen-minutes-out-of-range",
        ),
        (lambda: plan(Dish(name="x", water_g=-1)), "heat-input-out-of-range"),
        (
            lambda: plan(Dish(name="x", water_g=10, simmer_minutes=60)),
            "more-boiled-off-than-there-is",
        ),
    )
    for call, code in calls:
        with pytest.raises(Mistake) as told:
            call()
        assert told.value.code == code
