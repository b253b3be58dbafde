"""The load through the day, and food that must carry itself."""

from __future__ import annotations

import csv
from itertools import pairwise
from math import sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.walk.carry import compound_food_kcal, settle, settle_by_sweeps
from fellfare.walk.demand import (
    Demand,
    demand_of,
    load_kg,
    need_kcal,
    need_parts,
    slope_kcal_per_kg,
)
from fellfare.walk.effort import effort_of
from fellfare.walk.legs import Legs, legs_of
from fellfare.walk.load import (
    DayLoad,
    Meal,
    Resupply,
    Stretches,
    Water,
    stretches_of,
    usual_day,
)
from fellfare.walk.load_line import load_line
from fellfare.walk.rest_of_day import SECOND, DayFrame
from fellfare.walk.walker import Walker

TABLE = Path(__file__).parents[1] / "reference" / "walk-carry-fixed-points.csv"


def man(age: float = 35, pace: float = 1.0) -> Walker:
    return Walker(
        name="Ash", sex="male", age_y=age, height_cm=178, mass_kg=75, base_pack_kg=8.0,
        capacity_ml_per_kg_min=90.0, pace_factor=pace,
    )  # fmt: skip


def same_days(count: int, eta: float = 1.1) -> Legs:
    return legs_of(
        [10_000, 2_000, 8_000] * count,
        [0.10, 0.0, -0.10] * count,
        eta,
        np.repeat(np.arange(1, count + 1), 3),
    )


def frames(count: int) -> tuple[DayFrame, ...]:
    return tuple(DayFrame(day=d) for d in range(1, count + 1))


def usual_walk(count: int, stops: tuple[Resupply, ...] = ()) -> Stretches:
    loads = tuple(usual_day(d, 20_000.0) for d in range(1, count + 1))
    return stretches_of(same_days(count), loads, stops)


def carried(count: int, own: list[float]) -> np.ndarray:
    """Share of each day's food aboard when nothing is eaten between the given shares."""
    per_day = len(own)
    aboard = np.zeros((count * per_day, count))
    for s in range(count * per_day):
        aboard[s, s // per_day] = own[s % per_day]
        aboard[s, s // per_day + 1 :] = 1.0
    return aboard


def case_p(count: int) -> Demand:
    loads = tuple(
        DayLoad(day=d, meals=(Meal(at_m=20_000.0, share=1.0),), water=())
        for d in range(1, count + 1)
    )
    walk = stretches_of(same_days(count), loads)
    demand = demand_of(
        (man(pace=sqrt(1.1)),), walk, frames(count), load_slowing=0.0
    )  # the factor undoes the slowing by terrain
    return replace(demand, aboard=carried(count, [0.7]), fixed_kg=np.full((1, count), 8.0))


def case_q(count: int) -> Demand:
    loads = tuple(
        DayLoad(
            day=d,
            meals=(
                Meal(at_m=10_000.0, share=0.0),
                Meal(at_m=12_000.0, share=0.0),
                Meal(at_m=20_000.0, share=1.0),
            ),
            water=(),
        )
        for d in range(1, count + 1)
    )
    walk = stretches_of(same_days(count, 1.2), loads)
    demand = demand_of((man(40),), walk, frames(count), load_slowing=0.0, reading=SECOND)
    speed = np.array([3.0, 4.5, 4.0] * count)[None, :] / 3.6
    hours = np.array([10 / 3, 2 / 4.5, 2.0])
    middle = (np.cumsum(hours) - hours / 2) / hours.sum()
    return replace(
        demand,
        effort=effort_of(walk, speed, eta_on_grade=False, base=1.1),
        aboard=carried(count, list(1 - 0.6 * middle)),
        fixed_kg=np.full((1, 3 * count), 7.5),
    )


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize(
    "row", rows(), ids=lambda r: f"{r['case']}-{r['days']}-{r['kcal_per_g']}-{r['coverage']}"
)
def test_fixed_point_of_two_independent_calculations(row: dict[str, str]) -> None:
    count, tolerance = int(row["days"]), float(row["relative_tolerance"])
    demand = case_p(count) if row["case"] == "P" else case_q(count)
    settled = settle(demand, kcal_per_g=float(row["kcal_per_g"]), coverage=float(row["coverage"]))
    assert float(settled.food_kg.sum()) == pytest.approx(float(row["total_kg"]), rel=tolerance)
    if row["first_kcal"]:
        assert settled.need_kcal[0, 0] == pytest.approx(float(row["first_kcal"]), rel=tolerance)
        assert settled.need_kcal[0, -1] == pytest.approx(float(row["last_kcal"]), rel=tolerance)


def test_slopes_of_an_independent_calculation() -> None:
    # 19.9 / 25.5 / 30.7 kcal per kg and day at 6 / 12 / 20 kg, walking alone (case Q).
    demand = case_q(1)
    for load, slope in ((6, 19.9), (12, 25.5), (20, 30.7)):
        at = replace(demand, fixed_kg=np.full((1, 3), float(load)))
        assert slope_kcal_per_kg(at, np.zeros((1, 1)))[0, 0] == pytest.approx(slope, abs=0.15)


def test_day_by_load_of_an_independent_calculation() -> None:
    # Case P, walking energy at 0/6/12/18/24 kg: 1668/1750/1880/2035/2211 kcal, along the slope.
    demand = case_p(1)
    for load, kcal in ((0, 1668), (6, 1750), (12, 1880), (18, 2035), (24, 2211)):
        at = replace(demand, fixed_kg=np.full((1, 1), float(load)))
        walking = need_parts(at, np.zeros((1, 1))).walking[0, 0]
        assert walking == pytest.approx(kcal, rel=0.006)


@settings(max_examples=25, deadline=None)
@given(
    count=st.integers(1, 12),
    density=st.floats(2.5, 6),
    coverage=st.floats(0.3, 1.3),
    stop=st.integers(2, 12),
)
def test_backward_pass_meets_the_forward_fixed_point(
    count: int, density: float, coverage: float, stop: int
) -> None:
    stops = (Resupply(day=stop, at_m=7_000.0),) if stop <= count else ()
    walkers = (man(), replace(man(), name="Bree", mass_kg=60.0, base_pack_kg=6.0))
    demand = demand_of(walkers, usual_walk(count, stops), frames(count))
    back = settle(demand, kcal_per_g=density, coverage=coverage)
    swept = settle_by_sweeps(demand, kcal_per_g=density, coverage=coverage)
    assert np.abs(back.food_kg - swept.food_kg).max() < 1e-9
    assert back.residual_kg < 1e-9
    assert back.rounds <= 8
    assert back.food_kg * 1000 * density == pytest.approx(coverage * back.need_kcal, rel=1e-9)


@pytest.mark.parametrize("count", [5, 8, 14])
def test_closed_form_is_near_the_backward_pass(count: int) -> None:
    # Independent calculation: compound interest against the true curve, 0.2 % apart.
    demand = case_p(count)
    k = float(slope_kcal_per_kg(replace(demand, fixed_kg=demand.fixed_kg + 3.5),
                                np.zeros((1, count)))[0, 0])  # fmt: skip
    bare = float(need_kcal(demand, np.zeros((1, count)))[0, 0])
    closed = compound_food_kcal(
        need_kcal=bare, slope_kcal_per_kg=k, kcal_per_kg=4500, days=count, own_share=0.7
    )
    true = float(settle(demand, kcal_per_g=4.5).need_kcal.sum())
    assert closed == pytest.approx(true, rel=0.004)


def test_closed_form_of_an_independent_calculation() -> None:
    # k 28, rho 4500, m 0.7: kappa 0.00626, and 5/8/14 days give 19 204/31 018/55 319 kcal.
    one = compound_food_kcal(
        need_kcal=1.0, slope_kcal_per_kg=28, kcal_per_kg=4500, days=1, own_share=0.7
    )
    for count, kcal in ((5, 19_204), (14, 55_319)):
        many = compound_food_kcal(
            need_kcal=1.0, slope_kcal_per_kg=28, kcal_per_kg=4500, days=count, own_share=0.7
        )
        eight = compound_food_kcal(
            need_kcal=1.0, slope_kcal_per_kg=28, kcal_per_kg=4500, days=8, own_share=0.7
        )
        assert many / eight == pytest.approx(kcal / 31_018, rel=1e-3)
        assert many > count * one


def test_closed_form_refuses_what_never_settles() -> None:
    with pytest.raises(Mistake, match="need-does-not-settle"):
        compound_food_kcal(
            need_kcal=3000, slope_kcal_per_kg=28, kcal_per_kg=10, days=5, own_share=0.7
        )


def test_later_food_burdens_earlier_days_only() -> None:
    demand = demand_of((man(),), usual_walk(5), frames(5))
    food = np.full((1, 5), 0.8)
    base = need_kcal(demand, food)
    for day in range(5):
        heavier = food.copy()
        heavier[0, day] += 1.0
        change = need_kcal(demand, heavier) - base
        assert (change[0, : day + 1] > 0).all()
        assert np.abs(change[0, day + 1 :]).max(initial=0.0) < 1e-9  # rounding of sums


@given(st.floats(0, 5), st.floats(0.01, 5))
def test_need_rises_with_load(extra: float, more: float) -> None:
    demand = demand_of((man(),), usual_walk(2), frames(2))
    food = np.full((1, 2), 0.8)
    assert (need_kcal(demand, food, extra + more) > need_kcal(demand, food, extra)).all()


def test_food_falls_at_meals_and_rises_where_it_is_taken_up() -> None:
    loads = (
        DayLoad(day=1, meals=(Meal(at_m=0, share=0.25), Meal(at_m=5000, share=0.25),
                              Meal(at_m=9000, share=0.5)), water=()),
        DayLoad(day=2, meals=(Meal(at_m=0, share=0.5), Meal(at_m=8000, share=0.5)), water=()),
    )  # fmt: skip
    legs = legs_of([10_000, 8_000], [0.0, 0.0], 1.0, [1, 2])
    walk = stretches_of(legs, loads, (Resupply(day=1, at_m=7000.0),))
    ends = list(zip(walk.day.tolist(), walk.to_m.tolist(), strict=True))
    assert ends == [(0, 5000), (0, 7000), (0, 9000), (0, 10_000), (1, 8000)]
    # Food of the last meal of day 1 and of day 2 comes aboard at 7 000 m only.
    assert walk.aboard.tolist() == [[0.25, 0.0], [0.0, 0.0], [0.5, 1.0], [0.0, 1.0], [0.0, 0.5]]


def test_water_is_a_saw_tooth() -> None:
    load = DayLoad(
        day=1,
        meals=(Meal(at_m=0, share=1.0),),
        water=(Water(at_m=0, leaves_with_ml=2000), Water(at_m=6000, leaves_with_ml=1000)),
    )
    walk = stretches_of(legs_of([4000, 6000], [0.1, 0.0]), (load,))
    assert walk.water_start_kg.tolist() == [2.0, 1.0]
    assert walk.water_end_kg == pytest.approx(np.array([0.25, 0.25]))
    assert walk.water_kg == pytest.approx(np.array([1.125, 0.625]))


def test_unknown_water_is_a_litre_and_not_nothing() -> None:
    assert (usual_walk(1).water_kg == 1.0).all()


def test_the_load_line_joins_what_the_need_is_reckoned_with() -> None:
    water = (Water(at_m=0, leaves_with_ml=1500), Water(at_m=11_000, leaves_with_ml=1500))
    loads = tuple(usual_day(d, 20_000.0, water) for d in (1, 2))
    walk = stretches_of(same_days(2), loads)
    demand = demand_of((man(),), walk, frames(2))
    food = np.array([[0.9, 0.7]])
    line = load_line(demand, walk, food, 0)
    assert [step.mean_kg for step in line] == pytest.approx(load_kg(demand, food)[0].tolist())
    assert line[0].start_kg == pytest.approx(8.0 + 1.5 + 0.9 * 0.78 + 0.7)
    for one, other in pairwise(line):
        if one.day == other.day:  # between stretches food falls or water rises
            assert one.to_m == other.from_m


@given(cuts=st.lists(st.floats(100, 19_900), max_size=6))
def test_cutting_the_way_changes_no_need(cuts: list[float]) -> None:
    # Meals of no share cut the way and nothing else.
    plain = DayLoad(day=1, meals=(Meal(at_m=0, share=1.0),), water=())
    cut = DayLoad(
        day=1, meals=(Meal(at_m=0, share=1.0), *(Meal(at_m=at, share=0.0) for at in cuts)), water=()
    )
    food = np.array([[0.8]])
    needs = [
        need_kcal(demand_of((man(),), stretches_of(same_days(1), (day,)), frames(1)), food)[0, 0]
        for day in (plain, cut)
    ]
    assert needs[0] == pytest.approx(needs[1], rel=1e-12)


def test_many_walkers_need_what_each_needs_alone() -> None:
    walkers = tuple(
        replace(man(), name=f"walker {n}", mass_kg=55.0 + 3 * n, base_pack_kg=5.0 + n)
        for n in range(5)
    )
    walk = usual_walk(4, (Resupply(day=3),))
    together = settle(demand_of(walkers, walk, frames(4)), kcal_per_g=4.4)
    for n, walker in enumerate(walkers):
        alone = settle(demand_of((walker,), walk, frames(4)), kcal_per_g=4.4)
        assert together.need_kcal[n] == pytest.approx(alone.need_kcal[0], rel=1e-12)


def test_denser_food_is_less_food() -> None:
    demand = demand_of((man(),), usual_walk(6), frames(6))
    light = settle(demand, kcal_per_g=5.0).food_kg.sum()
    heavy = settle(demand, kcal_per_g=4.0).food_kg.sum()
    assert light < heavy * 4.0 / 5.0  # less than in proportion: less to carry, less needed


@pytest.mark.parametrize(
    ("density", "coverage", "code"),
    [
        (0.0, 1.0, "density-out-of-range"),
        (125.0, 1.0, "density-out-of-range"),
        (float("nan"), 1.0, "density-out-of-range"),
        (4.4, -0.1, "coverage-out-of-range"),
        (4.4, 80.0, "coverage-out-of-range"),
        (4.4, float("nan"), "coverage-out-of-range"),
    ],
)
def test_density_and_coverage_out_of_range(density: float, coverage: float, code: str) -> None:
    demand = demand_of((man(),), usual_walk(2), frames(2))
    with pytest.raises(Mistake, match=code):
        settle(demand, kcal_per_g=density, coverage=coverage)


def test_days_meals_water_and_stops_out_of_order() -> None:
    with pytest.raises(Mistake, match="meals-not-whole"):
        DayLoad(day=1, meals=(Meal(at_m=0, share=0.5),))
    with pytest.raises(Mistake, match="water-out-of-range"):
        DayLoad(day=1, meals=(Meal(at_m=0, share=1),), water=(Water(at_m=0, leaves_with_ml=-1),))
    with pytest.raises(Mistake, match="place-out-of-range"):
        DayLoad(day=1, meals=(Meal(at_m=float("nan"), share=1),))
    day = usual_day(1, 20_000.0)
    with pytest.raises(Mistake, match="days-not-in-order"):
        stretches_of(same_days(2), (day,))
    with pytest.raises(Mistake, match="days-not-in-order"):
        stretches_of(same_days(1), (replace(day, day=2),))
    with pytest.raises(Mistake, match="stop-off-the-walk"):
        stretches_of(same_days(1), (day,), (Resupply(day=2),))
    walk = stretches_of(same_days(1), (day,))
    with pytest.raises(Mistake, match="days-not-in-order"):
        demand_of((man(),), walk, frames(2))
    with pytest.raises(Mistake, match="party-empty"):
        demand_of((), walk, frames(1))
    with pytest.raises(Mistake, match="names-not-unlike"):
        demand_of((man(), man()), walk, frames(1))
    with pytest.raises(Mistake, match="load-out-of-range"):
        demand_of((man(),), walk, frames(1), shared_kg=-20.0)
    with pytest.raises(Mistake, match="pace-out-of-range"):
        demand_of((man(),), walk, frames(1), load_slowing=float("nan"))
