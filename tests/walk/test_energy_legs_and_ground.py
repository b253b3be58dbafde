"""Legs and terrain factors: what they hold and what they refuse."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.walk.legs import Legs, legs_of
from fellfare.walk.terrain import (
    MOST_SNOW_ETA,
    TERRAINS,
    Terrain,
    density_snow_eta,
    footprint_snow_eta,
    sinkage_cm,
    snow_factor,
    terrain_named,
)


def test_ascent_and_descent_are_summed_apart() -> None:
    legs = legs_of([10_000, 2_000, 8_000], [0.1, 0.0, -0.1])
    assert (legs.ascent_m, legs.descent_m, legs.length_m) == (1000.0, 800.0, 20_000.0)


@given(st.lists(st.tuples(st.floats(1, 500), st.floats(-0.5, 0.5)), min_size=1, max_size=30))
def test_walked_backwards_ascent_and_descent_change_places(legs: list[tuple[float, float]]) -> None:
    distance, grade = zip(*legs, strict=True)
    there = legs_of(distance, grade)
    back = legs_of(distance[::-1], [-g for g in grade[::-1]])
    assert there.ascent_m == pytest.approx(back.descent_m)
    assert there.descent_m == pytest.approx(back.ascent_m)


@pytest.mark.parametrize(
    ("distance", "grade", "eta", "day", "code"),
    [
        ([], [], [], [], "legs-empty"),
        ([1, 2], [0, 0, 0], 1, 1, "legs-uneven"),
        ([0.0], [0], 1, 1, "leg-distance"),
        ([float("nan")], [0], 1, 1, "leg-distance"),
        ([100], [10], 1, 1, "leg-grade"),
        ([100], [float("nan")], 1, 1, "leg-grade"),
        ([100], [0], 0.5, 1, "leg-terrain"),
        ([100], [0], 1, 0, "leg-day"),
        ([100], [0], 1, 1.5, "leg-day"),
        ([100, 100], [0, 0], 1, [2, 1], "leg-day"),
    ],
)
def test_legs_refuse_nonsense(
    distance: list[float], grade: list[float], eta: float, day: float, code: str
) -> None:
    with pytest.raises(Mistake, match=code):
        legs_of(distance, grade, eta, day)


def test_legs_of_two_dimensions_are_refused() -> None:
    with pytest.raises(Mistake, match="legs-uneven"):
        legs_of([[1.0, 2.0]], [0.0])


def test_legs_cannot_be_changed_behind_our_back() -> None:
    mine = np.array([100.0, 200.0])
    legs = Legs(distance_m=mine, grade=np.zeros(2), eta=np.ones(2), day=np.array([1, 2]))
    mine[0] = 999.0
    assert legs.distance_m[0] == 100.0
    with pytest.raises(ValueError, match="read-only"):
        legs.distance_m[0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        legs.day[0] = 2


def test_days_count_in_whole_numbers_however_they_were_given() -> None:
    legs = legs_of([1, 2], 0, 1, [1.0, 2.0])
    assert [repr(day) for day in legs.day.tolist()] == ["1", "2"]


def test_one_day_of_the_legs() -> None:
    legs = legs_of([1, 2, 3], 0, 1, [1, 3, 3])
    third = legs.on_day(3)
    assert third is not None
    assert third.length_m == 5
    assert legs.on_day(2) is None


def test_terrain_factors_of_soule_and_goldman() -> None:
    # Soule & Goldman 1972 as in two public reproductions.
    published = {"road": 1.0, "dirt-road": 1.1, "light-brush": 1.2, "heavy-brush": 1.5,
                 "swamp": 1.8, "loose-sand": 2.1, "soft-snow-15cm": 2.5, "soft-snow-25cm": 3.3,
                 "soft-snow-35cm": 4.1}  # fmt: skip
    assert {name: terrain_named(name).eta for name in published} == published


def test_swamp_shows_that_its_sources_disagree() -> None:
    swamp = terrain_named("swamp")
    assert (swamp.low, swamp.high) == (1.6, 3.5)


def test_a_table_of_ones_own_serves() -> None:
    scree = Terrain(name="scree", eta=1.7, low=1.5, high=2.0, source="own")
    assert terrain_named("scree", (*TERRAINS, scree)).eta == 1.7
    with pytest.raises(Mistake, match="unknown-terrain"):
        terrain_named("scree")
    with pytest.raises(Mistake, match="terrain-factor-out-of-range"):
        Terrain(name="moon", eta=0.5, low=0.5, high=1.0, source="own")


@pytest.mark.parametrize(
    ("h", "rho", "z", "cubic", "linear"),
    [(10, 0.3, 7.47, 2.28, 1.91), (20, 0.3, 14.94, 4.55, 2.53), (30, 0.2, 24.94, 11.75, 3.35)],
)
def test_snow_formulas_against_an_independent_calculation(
    h: float, rho: float, z: float, cubic: float, linear: float
) -> None:
    assert sinkage_cm(h, rho) == pytest.approx(z, abs=0.005)
    assert density_snow_eta(sinkage_cm(h, rho)) == pytest.approx(cubic, abs=0.005)
    assert footprint_snow_eta(z) == pytest.approx(linear, abs=0.005)


@given(st.floats(0, 300), st.one_of(st.none(), st.floats(0.03, 0.9)))
def test_no_snow_is_beyond_the_measured_factors(depth: float, density: float | None) -> None:
    factor = snow_factor(depth_cm=depth, density_g_per_cm3=density)
    assert 1.0 <= factor.eta <= MOST_SNOW_ETA
    assert bool(factor.notes) == (factor.eta == MOST_SNOW_ETA)


@pytest.mark.parametrize(("depth", "density"), [(-1, None), (10, 5.0), (float("nan"), None)])
def test_snow_that_does_not_exist_is_refused(depth: float, density: float | None) -> None:
    with pytest.raises(Mistake, match="snow-out-of-range"):
        snow_factor(depth_cm=depth, density_g_per_cm3=density)
