"""What must hold for any profile: sanity rules that a walker would name."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.walk.figures import Array
from fellfare.walk.profile import (
    MOST_PIECES,
    Profile,
    climb_between,
    climb_m,
    elevation_at,
    profile_of,
    slopes_between,
    smoothed,
)
from fellfare.walk.track import make_track, reversed_track

heights = st.lists(st.floats(-100, 4000), min_size=2, max_size=60)


def profile(ele: list[float] | Array, step_deg: float = 0.0005, **more: object) -> Profile:
    """A way due north with a point every 56 m."""
    n = len(ele)
    track, _ = make_track(
        46 + step_deg * np.arange(n),
        np.full(n, 13.0),
        ele_m=ele,
        **more,  # type: ignore[arg-type]
    )
    return profile_of(track)


def test_a_lake_shore_has_no_climb() -> None:
    level = profile(np.full(500, 1013.3))
    assert (level.ascent_m, level.descent_m, level.naive_ascent_m) == (0, 0, 0)
    assert (level.slopes.grade == 0).all()


def test_from_1000_to_1500_without_a_descent_is_500() -> None:
    rng = np.random.default_rng(5)
    up = 1000 + np.concatenate([[0], np.cumsum(rng.uniform(0, 1, 400))])
    up = 1000 + 500 * (up - 1000) / (up[-1] - 1000)
    climb = profile(up)
    assert climb.ascent_m == pytest.approx(500, abs=1e-6)
    assert climb.descent_m == 0
    assert (climb.slopes.rise_m >= -1e-9).all()


def test_a_straight_slope_stays_straight() -> None:
    at = np.array([0, 13.0, 700, 701, 2000])
    grid, ele = smoothed(at, 100 + 0.08 * at)
    np.testing.assert_allclose(ele, 100 + 0.08 * grid, atol=1e-9)


@given(heights, st.floats(0, 50))
def test_walking_the_other_way_swaps_ascent_and_descent(ele: list[float], turn_m: float) -> None:
    up, down = climb_m(ele, turn_m)
    assert climb_m(ele[::-1], turn_m) == pytest.approx((down, up), abs=1e-6)


@given(heights, st.floats(0, 50))
def test_ascent_less_descent_is_end_less_start(ele: list[float], turn_m: float) -> None:
    up, down = climb_m(ele, turn_m)
    assert up - down == pytest.approx(ele[-1] - ele[0], abs=1e-6)
    assert up >= 0
    assert down >= 0


@given(heights)
def test_a_higher_threshold_never_finds_more(ele: list[float]) -> None:
    ups = [climb_m(ele, turn_m)[0] for turn_m in (0, 3, 10, 30, 100)]
    assert all(a >= b - 1e-6 for a, b in pairwise(ups))
    rise = np.diff(ele)
    assert ups[0] == pytest.approx(float(rise[rise > 0].sum()), abs=1e-6)


@given(heights)
def test_a_profile_turned_round_is_the_same_profile(ele: list[float]) -> None:
    there = profile(ele)
    back = profile_of(reversed_track(there.track))
    assert back.ascent_m == pytest.approx(there.descent_m, abs=1e-5)
    assert back.descent_m == pytest.approx(there.ascent_m, abs=1e-5)
    np.testing.assert_allclose(back.ele_m[::-1], there.ele_m, atol=1e-6)


@given(heights)
def test_smoothing_stays_between_the_extremes_and_keeps_the_ends(ele: list[float]) -> None:
    at = np.arange(len(ele)) * 37.0
    _, smooth = smoothed(at, ele)
    assert smooth[0] == ele[0]
    assert smooth[-1] == pytest.approx(ele[-1], abs=1e-9)
    # Point reflection at the ends may leave the range by as much as the range itself.
    span = max(ele) - min(ele)
    assert smooth.min() >= min(ele) - span - 1e-6
    assert smooth.max() <= max(ele) + span + 1e-6


@given(st.lists(st.floats(0, 30), min_size=2, max_size=60))
def test_what_only_rises_still_only_rises(rises: list[float]) -> None:
    ele = np.cumsum(rises)
    _, smooth = smoothed(np.arange(ele.size) * 37.0, ele)
    assert (np.diff(smooth) >= -1e-7).all()


@given(heights)
def test_recording_twice_as_often_changes_nothing(ele: list[float]) -> None:
    at = np.arange(len(ele)) * 20.0
    fine = np.arange(2 * len(ele) - 1) * 10.0
    _, one = smoothed(at, ele)
    _, other = smoothed(fine, np.interp(fine, at, ele))
    np.testing.assert_allclose(one, other, atol=1e-6)


def test_standing_still_changes_nothing() -> None:
    at, ele = np.array([0, 100, 200.0]), np.array([10, 20, 10.0])
    still_at, still_ele = np.array([0, 100, 100, 100, 200.0]), np.array([10, 20, 25, 20, 10.0])
    np.testing.assert_allclose(smoothed(at, ele)[1], smoothed(still_at, still_ele)[1], atol=1e-9)


# --- slopes ------------------------------------------------------------------------------


@given(heights)
def test_slopes_keep_the_way_and_the_climb(ele: list[float]) -> None:
    walk = profile(ele)
    slopes = walk.slopes
    assert slopes.distance_m.sum() == pytest.approx(walk.length_m, abs=1e-6)
    assert slopes.rise_m.sum() == pytest.approx(ele[-1] - ele[0], abs=1e-6)
    assert slopes.distance_m.max() <= 100 + 1e-6
    assert slopes.distance_m.min() >= min(50, walk.length_m) - 1e-6
    assert np.abs(slopes.grade).max() <= 0.45


@given(heights, st.lists(st.floats(0, 1), max_size=8))
def test_anything_reckoned_per_metre_at_a_grade_adds_up_over_cuts(
    ele: list[float], shares: list[float]
) -> None:
    walk = profile(ele)
    marks = [0.0, *sorted(share * walk.length_m for share in shares), walk.length_m]
    parts = [slopes_between(walk.slopes, a, b) for a, b in pairwise(marks)]

    def cost(distance: Array, grade: Array) -> float:  # convex in the grade, like energy
        return float((distance * (1 + 10 * grade**2)).sum())

    whole = cost(walk.slopes.distance_m, walk.slopes.grade)
    # A crumb under a micrometre is left out at each cut.
    assert sum(cost(p.distance_m, p.grade) for p in parts) == pytest.approx(whole, abs=1e-4)
    assert sum(p.rise_m.sum() for p in parts) == pytest.approx(ele[-1] - ele[0], abs=1e-3)
    for (a, b), part in zip(pairwise(marks), parts, strict=True):
        up, down = climb_between(walk, a, b)
        assert up - down == pytest.approx(part.rise_m.sum(), abs=1e-3)


def test_steeper_than_45_per_cent_is_held_and_counted() -> None:
    walk = profile([0, 0, 60, 120, 180, 240, 240.0, 240])  # 108 % in the middle
    assert walk.slopes.held >= 2
    assert walk.slopes.grade.max() == 0.45
    assert walk.slopes.rise_m.sum() == pytest.approx(240)


def test_elevation_along_the_way() -> None:
    walk = profile(np.linspace(100, 200, 101))
    assert elevation_at(walk, -5) == pytest.approx(100)
    assert elevation_at(walk, walk.length_m / 2) == pytest.approx(
        150, abs=0.01
    )  # degrees are uneven
    assert elevation_at(walk, walk.length_m + 5) == pytest.approx(200)


def test_a_ferry_is_neither_way_nor_climb() -> None:
    ele = np.concatenate([np.linspace(500, 600, 50), np.linspace(1600, 1500, 50)])
    lat = 46 + 0.0005 * np.arange(100)
    lat[50:] += 0.2
    track, _ = make_track(lat, np.full(100, 13.0), ele_m=ele, segment_ends=[50, 100])
    walk = profile_of(track)
    assert walk.ascent_m == pytest.approx(100, abs=1e-6)
    assert walk.descent_m == pytest.approx(100, abs=1e-6)
    assert [finding.rule for finding in walk.findings] == ["segments-apart"]
    here = walk.point_m[50]
    assert elevation_at(walk, here, arriving=True) == pytest.approx(600)
    assert elevation_at(walk, here) == pytest.approx(1600)
    assert climb_between(walk, 0, here) == pytest.approx((100, 0))


# --- refusals ----------------------------------------------------------------------------


def test_no_elevation_is_refused() -> None:
    track, _ = make_track([46, 46.1], [13, 13])
    with pytest.raises(Mistake, match="no-elevation"):
        profile_of(track)


def test_no_length_is_refused() -> None:
    track, _ = make_track([46, 46], [13, 13], ele_m=[1, 2])
    with pytest.raises(Mistake, match="track-too-short"):
        profile_of(track)


def test_longer_than_any_walk_is_refused_before_it_costs_anything() -> None:
    n = 1000
    track, _ = make_track([-80, 80] * (n // 2), [0, 170] * (n // 2), ele_m=np.zeros(n))
    with pytest.raises(Mistake, match="track-too-long"):
        profile_of(track)


def test_a_heap_of_pieces_is_refused() -> None:
    n = 2 * (MOST_PIECES + 1)
    lat = np.repeat(46 + 0.01 * np.arange(n // 2), 2)
    lat[1::2] += 0.0001
    track, _ = make_track(
        lat, np.full(n, 13.0), ele_m=np.zeros(n), segment_ends=list(range(2, n + 1, 2))
    )
    with pytest.raises(Mistake, match="track-in-pieces"):
        profile_of(track)


def test_points_far_apart_get_a_caution() -> None:
    walk = profile([100, 200, 300], step_deg=0.02)
    assert [finding.rule for finding in walk.findings] == ["points-far-apart"]
