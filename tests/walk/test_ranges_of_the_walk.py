"""Ranges as the docstrings and mends state them: the ends are inside, a little more is outside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from fellfare.mistake import Mistake
from fellfare.walk.carry import compound_food_kcal, settle, settle_by_sweeps
from fellfare.walk.deficit import planned_deficit
from fellfare.walk.demand import demand_of
from fellfare.walk.energy.compendium import met_kcal
from fellfare.walk.legs import legs_of
from fellfare.walk.load import DayLoad, Meal, Water, stretches_of, usual_day
from fellfare.walk.pace.arrival import arrival_band
from fellfare.walk.pace.plan import planned_speed_m_s, power_cap_w_per_kg
from fellfare.walk.ration import RULES, bulk_mass_g, club_energy_kj, season_rule
from fellfare.walk.rest_of_day import DayFrame
from fellfare.walk.stages.table import slopes_of_table
from fellfare.walk.terrain import TERRAINS, snow_factor
from fellfare.walk.track import distances_m
from fellfare.walk.walker import AppetiteStep, Walker


def walker(**more: Any) -> Walker:
    given = {"name": "A", "sex": "male", "age_y": 35, "height_cm": 178, "mass_kg": 75,
             "base_pack_kg": 8.0}  # fmt: skip
    return Walker(**{**given, **more})


def day_load(**more: Any) -> DayLoad:
    given: dict[str, Any] = {"meals": (Meal(at_m=0.0, share=1.0),)}
    return DayLoad(day=1, **{**given, **more})


STRETCHES = stretches_of(legs_of([10_000], [0.0], 1.1, [1]), (usual_day(1, 10_000.0),))


def demand(mass_kg: float = 75, **more: Any) -> Any:
    return demand_of((walker(mass_kg=mass_kg),), STRETCHES, (DayFrame(day=1),), **more)


#: What is asked, a good value at the end of its range, and one outside of it.
ENDS: list[tuple[Callable[[Any], object], Any, Any]] = [
    (lambda x: bulk_mass_g(x, 1, 1), 50, 49.9),
    (lambda x: bulk_mass_g(x, 1, 1), 2000, 2001),
    (lambda x: bulk_mass_g(700, x, 1), 1, 0),
    (lambda x: bulk_mass_g(700, x, 1), 10_000, 10_001),
    (lambda x: bulk_mass_g(700, 1, x), 0.1, 0),
    (lambda x: bulk_mass_g(700, 1, x), 1000, 1000.5),
    (lambda x: club_energy_kj(sex="male", age_y=30, height_cm=180, mass_kg=80,
                              activity_factor=x), 1.0, 0.99),
    (lambda x: club_energy_kj(sex="male", age_y=30, height_cm=180, mass_kg=80,
                              activity_factor=x), 3.0, 3.01),
    (lambda x: met_kcal(x, 70, 1), 0.8, 0.79),
    (lambda x: met_kcal(x, 70, 1), 25, 25.1),
    (lambda x: met_kcal(5, 70, x), 24, 24.1),
    (lambda x: met_kcal(5, 70, x), 0, -0.1),
    (lambda x: met_kcal(5, x, 1), 15, 14.9),
    (lambda x: snow_factor(depth_cm=x), 0, -1),
    (lambda x: snow_factor(depth_cm=x), 300, 301),
    (lambda x: snow_factor(depth_cm=20, density_g_per_cm3=x), 0.03, 0.029),
    (lambda x: snow_factor(depth_cm=20, density_g_per_cm3=x), 0.9, 0.91),
    (lambda x: DayFrame(day=1, hours=x, sleep_hours=0), 24, 24.1),
    (lambda x: DayFrame(day=1, hours=x, sleep_hours=0), 0.1, 0),
    (lambda x: DayFrame(day=1, hours=8, sleep_hours=x), 8, 8.1),
    (lambda x: DayFrame(day=1, sleep_hours=x), 0, -0.1),
    (lambda x: DayFrame(day=1, height_m=x), -500, -501),
    (lambda x: DayFrame(day=1, height_m=x), 9000, 9001),
    (lambda x: DayFrame(day=1, air_c=x), -60, -60.1),
    (lambda x: DayFrame(day=1, air_c=x), 55, 55.1),
    (lambda x: walker(age_y=x), 5, 4.9),
    (lambda x: walker(age_y=x), 100, 101),
    (lambda x: walker(height_cm=x), 80, 79),
    (lambda x: walker(height_cm=x), 230, 231),
    (lambda x: walker(mass_kg=x), 15, 14.9),
    (lambda x: walker(mass_kg=x), 250, 251),
    (lambda x: walker(base_pack_kg=x), 0, -0.1),
    (lambda x: walker(base_pack_kg=x), 60, 60.1),
    (lambda x: walker(pace_factor=x), 0.3, 0.29),
    (lambda x: walker(pace_factor=x), 2.0, 2.01),
    (lambda x: walker(pace_factor_sd=x), 1.0, 1.01),
    (lambda x: walker(pace_factor_sd=x), 0.0, -0.01),
    (lambda x: walker(energy_factor=x), 0.5, 0.49),
    (lambda x: walker(energy_factor=x), 2.0, 2.01),
    (lambda x: walker(energy_factor_sd=x), 0.5, 0.51),
    (lambda x: walker(capacity_ml_per_kg_min=x), 15, 14.9),
    (lambda x: walker(capacity_ml_per_kg_min=x), 90, 90.1),
    (lambda x: walker(appetite=(AppetiteStep(from_day=1, share=x),)), 0.2, 0.19),
    (lambda x: walker(appetite=(AppetiteStep(from_day=1, share=x),)), 2.0, 2.01),
    (lambda x: walker(appetite=(AppetiteStep(from_day=x, share=1.0),)), 1, 2),
    (lambda x: planned_deficit((3000,), (2000,), fat_kg=x), 1, 0.9),
    (lambda x: planned_deficit((3000,), (2000,), fat_kg=x), 150, 151),
    (lambda x: planned_deficit((x,), (2000,)), 20_000, 20_001),
    (lambda x: planned_deficit((3000,), (x,)), 0, -1),
    (lambda x: arrival_band(x), 48, 48.1),
    (lambda x: arrival_band(5.0, pace_sd=x), 1, 1.01),
    (lambda x: arrival_band(5.0, moving_share=x), 0.3, 0.29),
    (lambda x: arrival_band(5.0, moving_share=x), 1, 1.01),
    (lambda x: planned_speed_m_s(grade=0.0, pace_factor=x), 0.3, 0.29),
    (lambda x: planned_speed_m_s(grade=0.0, pace_factor=x), 2.0, 2.01),
    (lambda x: planned_speed_m_s(grade=0.0, load_share=x), 0, -0.01),
    (lambda x: planned_speed_m_s(grade=0.0, load_share=x), 2.0, 2.01),
    (lambda x: power_cap_w_per_kg(x), 15, 14.9),
    (lambda x: power_cap_w_per_kg(x), 90, 90.1),
    (lambda x: power_cap_w_per_kg(45, share=x), 0.2, 0.19),
    (lambda x: power_cap_w_per_kg(45, share=x), 0.9, 0.91),
    (lambda x: power_cap_w_per_kg(45, height_m=x), 9000, 9001),
    (lambda x: day_load(water=(Water(at_m=0.0, leaves_with_ml=x),)), 20_000, 20_001),
    (lambda x: day_load(water=(Water(at_m=0.0, leaves_with_ml=x),)), 0, -1),
    (lambda x: day_load(meals=(Meal(at_m=x, share=1.0),)), 1e6, 1e6 + 1),
    (lambda x: day_load(meals=(Meal(at_m=x, share=1.0),)), 0, -1),
    (lambda x: day_load(meals=(Meal(at_m=0, share=0.5), Meal(at_m=9, share=x))), 0.5, 0.501),
    (lambda x: day_load(meals=(Meal(at_m=0, share=1.0 - x), Meal(at_m=9, share=x))), 0, -0.1),
    (lambda x: legs_of([10], [x], 1.1, [1]), 1.0, 1.01),
    (lambda x: legs_of([10], [x], 1.1, [1]), -1.0, -1.01),
    (lambda x: legs_of([10], [0.0], x, [1]), 1.0, 0.99),
    (lambda x: legs_of([10], [0.0], x, [1]), 6.0, 6.01),
    (lambda x: demand(load_slowing=x), 1.0, 1.01),
    (lambda x: demand(load_slowing=x), 0.0, -0.01),
    (lambda x: settle(demand(), kcal_per_g=x), 0.5, 0.49),
    (lambda x: settle(demand(), kcal_per_g=x), 9.0, 9.01),
    (lambda x: settle(demand(), kcal_per_g=4.4, coverage=x), 2.0, 2.01),
    (lambda x: settle(demand(), kcal_per_g=4.4, coverage=x), 0.0, -0.01),
    (lambda x: compound_food_kcal(need_kcal=3000, slope_kcal_per_kg=20, kcal_per_kg=4400,
                                  days=x, own_share=0.7), 0, -1),
    (lambda x: compound_food_kcal(need_kcal=3000, slope_kcal_per_kg=x, kcal_per_kg=4400,
                                  days=3, own_share=1.0), 4399, 4400),
]  # fmt: skip


@pytest.mark.parametrize(("ask", "good", "bad"), ENDS, ids=range(len(ENDS)))
def test_the_end_of_a_range_is_inside_and_more_is_not(
    ask: Callable[[Any], object], good: Any, bad: Any
) -> None:
    ask(good)
    with pytest.raises(Mistake):
        ask(bad)
    with pytest.raises(Mistake):
        ask(type(bad)("nan") if isinstance(bad, float) else float("nan"))


def test_a_load_of_150_kg_is_the_most() -> None:
    water = float(STRETCHES.water_kg.max())
    demand(mass_kg=100, shared_kg=150.0 - 8.0 - water - 1e-9)
    with pytest.raises(Mistake, match="load-out-of-range"):
        demand(mass_kg=100, shared_kg=150.0 - 8.0 - water + 0.5)


def test_to_the_antipode_is_half_the_earth_round() -> None:
    # Half a great circle is 20 003.9 km over the poles (WGS 84).  The chord through the ellipsoid
    # may exceed twice its mean radius (equator), and over the poles the formula is 4.2 % short.
    assert float(distances_m(0.0, 0.0, 0.0, 180.0)[()]) == pytest.approx(20_003_931, rel=6e-3)
    assert float(distances_m(90.0, 0.0, -90.0, 0.0)[()]) == pytest.approx(20_003_931, rel=0.043)


def test_sweeps_cover_the_whole_need_as_settling_does() -> None:
    usual, swept = settle(demand(), kcal_per_g=4.4), settle_by_sweeps(demand(), kcal_per_g=4.4)
    assert swept.food_kg == pytest.approx(usual.food_kg, abs=1e-4)


def test_the_spread_of_terrain_factors_as_the_sources_disagree() -> None:
    # Each note on a class names its figures; the rest: ours, 2026-11, to notice change.
    spread = {line.name: (line.low, line.high) for line in TERRAINS}
    assert spread == {
        "road": (1.0, 1.0), "dirt-road": (1.0, 1.1), "path": (1.0, 1.2), "grass": (1.1, 1.2),
        "gravel": (1.1, 1.2), "rough-path": (1.1, 1.3), "light-brush": (1.2, 1.3),
        "ploughed-field": (1.3, 1.5), "hard-snow": (1.3, 1.6), "heavy-brush": (1.5, 1.7),
        "talus": (1.5, 2.1), "swamp": (1.6, 3.5), "loose-sand": (2.0, 2.1),
        "soft-snow-15cm": (2.0, 2.6), "soft-snow-25cm": (2.9, 3.6), "soft-snow-35cm": (3.7, 4.5),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("day_c", "night_c", "at"),
    [(22.0, 12.0, 0), (21.9, 12.0, 1), (22.0, 11.9, 1), (30.0, 0.0, 2), (None, 0.1, 1),
     (None, -12.0, 3), (None, -11.9, 2), (None, None, 1), (30.0, None, 1)],
)  # fmt: skip
def test_the_season_of_a_ration_goes_by_nights_and_days(
    day_c: float | None, night_c: float | None, at: int
) -> None:
    # ours, 2026-11: the warmth of each season is a judgement; four tables, warm to bitter
    names = [season_rule(30, 20).name, season_rule(10, 5).name, season_rule(5, -5).name,
             season_rule(-10, -20).name]  # fmt: skip
    assert len(set(names)) == 4
    assert season_rule(day_c, night_c).name == names[at]


@pytest.mark.parametrize(
    ("way", "up", "down"), [(1000.0, 100.0, 50.0), (950.0, 40.0, 0.0), (100.0, 0.0, 0.0),
                            (400.0, 100.0, 80.0), (10_000.0, 0.0, 900.0)],
)  # fmt: skip
def test_slopes_of_a_table_keep_way_and_climb(way: float, up: float, down: float) -> None:
    slopes = slopes_of_table(way, up, down, 500.0)
    assert float(slopes.distance_m.sum()) == pytest.approx(way)
    assert float(slopes.rise_m[slopes.rise_m > 0].sum()) == pytest.approx(up)
    assert float(-slopes.rise_m[slopes.rise_m < 0].sum()) == pytest.approx(down)
    assert float(slopes.distance_m.max()) <= 100.0 * (1 + 1e-9)
    assert slopes.from_m[0] == 0
    assert float(slopes.from_ele_m[0]) == pytest.approx(500.0)
    level = slopes.rise_m == 0
    assert np.all(np.diff(np.flatnonzero(level)) == 1)  # one level stretch at most


@pytest.mark.parametrize(
    ("slope", "own_share"), [(25.0, 0.7), (25.0, 0.0), (300.0, 1.0), (0.0, 0.5), (900.0, 0.3)]
)
def test_the_closed_form_of_a_carry_is_its_days_added_up(slope: float, own_share: float) -> None:
    # From the last day back: each day needs a, and the slope times the food still on the back,
    # that of the days ahead and a share of its own.
    ahead_kg = 0.0
    for days in range(1, 9):
        own_kg = (3000.0 + slope * ahead_kg) / (4400.0 - slope * own_share)
        assert own_kg * 4400.0 == pytest.approx(3000.0 + slope * (ahead_kg + own_share * own_kg))
        ahead_kg += own_kg
        closed = compound_food_kcal(need_kcal=3000.0, slope_kcal_per_kg=slope, kcal_per_kg=4400.0,
                                    days=days, own_share=own_share)  # fmt: skip
        assert closed == pytest.approx(4400.0 * ahead_kg, rel=1e-9)


def test_no_slope_is_steeper_than_the_way_is_long_however_it_is_nudged() -> None:
    legs = legs_of([1_000], [0.5], 1.1, [1])
    stretches = stretches_of(legs, (usual_day(1, 1_000.0),))

    def speed(scale: float) -> float:
        made = demand_of((walker(),), stretches, (DayFrame(day=1),), grade_scale=scale)
        return float(made.unloaded_m_s.min())

    assert speed(2.0) < speed(1.9)
    assert speed(2.0) == speed(2.2) == speed(9.0)


def test_rations_by_season_as_the_trade_prints_them() -> None:
    # A college outdoor-education slide deck (Rumble, Oliver & Finke): pounds and kcal for a
    # person-day from hot to bitter; youth groups and clubs by their own pages; 1 lb = 453.592 g.
    printed = [
        ((1.5, 1.5), (2500, 3000)), ((1.75, 2.0), (3000, 3500)), ((2.0, 2.25), (3500, 4500)),
        ((2.5, 2.5), (4000, 5000)), ((1.3, 1.5), (3000, 3000)),
    ]  # fmt: skip
    for rule, (pounds, kcal) in zip(RULES, printed, strict=False):
        assert rule.mass_g == pytest.approx([453.59237 * one for one in pounds], rel=1e-4)
        assert rule.energy_kcal == kcal
    # clubs: 700 g, 700 to 1000 g, 12 to 20 MJ
    club, typical, wet = RULES[5:]
    assert (club.mass_g, typical.mass_g) == ((700, 700), (700, 1000))
    assert wet.energy_kcal == pytest.approx((2868, 4780), abs=1)
