"""Points as read become a track to compute with, and say what was mended."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Finding, Mistake
from fellfare.walk.track import (
    Track,
    along,
    joined,
    make_track,
    odd_findings,
    odd_stretches,
    reversed_track,
    without,
)

#: One thousandth of a degree of latitude at 46 N: 111.15 m (WGS 84 meridian, from the ellipsoid).
STEP = 0.001
STEP_M = 111.15
NOON = 1_700_000_000.0


def rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


def north(n: int, **more: object) -> tuple[Track, tuple[Finding, ...]]:
    """n points due north, 111 m apart."""
    return make_track(46 + STEP * np.arange(n), np.full(n, 13.0), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("lat", "lon"), [(95.0, 0.0), (-90.1, 0.0), (float("nan"), 0.0), (0.0, float("inf")), (0, 400)]
)
def test_no_place_on_earth_is_refused(lat: float, lon: float) -> None:
    with pytest.raises(Mistake) as caught:
        make_track([46.0, lat], [13.0, lon])
    assert (caught.value.code, caught.value.where) == ("track-coordinate", "point 2")


@pytest.mark.parametrize("n", [0, 1])
def test_fewer_than_two_points_are_no_track(n: int) -> None:
    with pytest.raises(Mistake, match="track-too-short"):
        north(n)


def test_lists_of_unequal_length_are_refused() -> None:
    with pytest.raises(Mistake, match="track-shape"):
        make_track([46, 46.1], [13, 13.1], ele_m=[1.0])
    with pytest.raises(Mistake, match="track-shape"):
        make_track([46, 46.1], [13, 13.1], segment_ends=[1])


def test_empty_segments_vanish() -> None:
    track, _ = north(4, segment_ends=[0, 2, 2, 4])
    assert track.segment_ends == (2, 4)


def test_arrays_of_a_track_cannot_be_changed() -> None:
    track, _ = north(3, ele_m=[1, 2, 3])
    for array in (track.lat_deg, track.ele_m):
        assert array is not None
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1


def test_a_short_hole_in_the_elevation_is_filled_and_said() -> None:
    track, findings = north(12, ele_m=[100, np.nan, np.nan, *range(160, 340, 20)])
    assert rules(findings) == ["elevation-filled"]
    assert track.ele_m is not None
    np.testing.assert_allclose(track.ele_m[:4], [100, 120, 140, 160], atol=0.01)


def test_a_long_hole_is_a_caution() -> None:
    ele = np.linspace(100, 300, 60)
    ele[20:26] = np.nan  # 7 steps: 778 m
    _, findings = north(60, ele_m=ele)
    assert rules(findings) == ["elevation-filled", "elevation-gap"]
    assert "km 2.1 to 2.9" in findings[1].text


def test_mostly_missing_is_missing() -> None:
    ele = np.full(60, np.nan)
    ele[:30] = 100.0
    track, findings = north(60, ele_m=ele)
    assert track.ele_m is None
    assert rules(findings) == ["elevation-mostly-missing"]


def test_wholly_missing_is_none_without_a_word() -> None:
    track, findings = north(5, ele_m=[np.nan] * 5)
    assert track.ele_m is None
    assert findings == ()


@pytest.mark.parametrize("wild", [-32768.0, 99_999.0, np.inf])
def test_a_void_of_a_height_model_is_not_a_height(wild: float) -> None:
    track, findings = north(5, ele_m=[500, 500, wild, 500, 500])
    assert track.ele_m is not None
    assert track.ele_m.tolist() == pytest.approx([500] * 5)
    assert "elevation-filled" in rules(findings)


def test_a_single_point_that_sticks_out_is_smoothed_over() -> None:
    track, findings = north(5, ele_m=[500, 502, 900, 506, 508])
    assert track.ele_m is not None
    assert track.ele_m[2] == pytest.approx(504, abs=0.01)
    assert rules(findings)[0] == "elevation-spike"


def test_a_real_summit_stays() -> None:
    # 60 m up and down again over 111 m each way is 54 %: steep, but walked.
    track, findings = north(5, ele_m=[500, 560, 620, 560, 500])
    assert findings == ()
    assert track.ele_m is not None
    assert track.ele_m.max() == 620


@pytest.mark.parametrize(
    ("times", "word"),
    [
        ([-2_147_397_248.0] * 3, "1990"),  # 1901-12-13, as in a real file
        ([NOON, NOON + 5, NOON + 4], "backwards"),
        ([NOON, np.nan, NOON + 9], "none that can be read"),
    ],
)
def test_times_that_cannot_be_are_dropped_as_a_whole(times: list[float], word: str) -> None:
    track, findings = north(3, time_s=times)
    assert track.time_s is None
    assert rules(findings) == ["times-dropped"]
    assert word in findings[0].text


def test_good_times_stay() -> None:
    track, findings = north(3, time_s=[NOON, NOON, NOON + 9])
    assert track.time_s is not None
    assert findings == ()


def test_a_short_gap_is_walked_and_a_long_one_is_not() -> None:
    lat = np.array([46.000, 46.001, 46.002, 46.100, 46.101])
    track, _ = make_track(lat, np.full(5, 13.0), segment_ends=[2, 3, 5])
    way = along(track)
    assert way.at_m[-1] == pytest.approx(3 * STEP_M, abs=0.1)  # 111 + bridge 111 + 111
    assert way.piece_ends == (3, 5)
    assert rules(way.findings) == ["segments-apart"]
    assert along(track, bridge_m=0).at_m[-1] == pytest.approx(2 * STEP_M, abs=0.1)
    assert along(track, bridge_m=1e6).piece_ends == (5,)


def test_tracks_join_end_to_end() -> None:
    one, _ = north(3, ele_m=[1, 2, 3], segment_ends=[1, 3])
    two, _ = north(4, ele_m=[4, 5, 6, 7])
    both = joined([one, two])
    assert both.segment_ends == (1, 3, 7)
    assert both.ele_m is not None
    assert both.ele_m.tolist() == [1, 2, 3, 4, 5, 6, 7]
    assert joined([one, north(2)[0]]).ele_m is None


def test_joining_nothing_is_refused() -> None:
    with pytest.raises(Mistake, match="track-too-short"):
        joined([])


@given(st.lists(st.integers(1, 5), min_size=1, max_size=6).filter(lambda s: sum(s) > 1))
def test_the_way_back_is_as_long(sizes: list[int]) -> None:
    n = sum(sizes)
    track, _ = north(n, segment_ends=np.cumsum(sizes).tolist(), ele_m=np.arange(n) * 10.0)
    back = reversed_track(track)
    assert along(back, bridge_m=0).at_m[-1] == pytest.approx(along(track, bridge_m=0).at_m[-1])
    again = reversed_track(back)
    assert again.segment_ends == track.segment_ends
    np.testing.assert_array_equal(again.lat_deg, track.lat_deg)


# --- stretches that do not look walked ---------------------------------------------------


def ride() -> Track:
    """20 steps of 111 m on foot (80 s each), 20 by bus (10 s each), 20 on foot."""
    step_s = np.array([80.0] * 20 + [10.0] * 20 + [80.0] * 20)
    time = NOON + np.concatenate([[0], np.cumsum(step_s)])
    return north(61, time_s=time, ele_m=np.full(61, 500.0))[0]


def test_a_bus_is_flagged_and_can_be_taken_out() -> None:
    odds = odd_stretches(ride())
    assert [(odd.kind, odd.first, odd.last) for odd in odds] == [("transport", 20, 40)]
    assert odds[0].length_m == pytest.approx(20 * STEP_M, abs=1)
    assert rules(odd_findings(odds)) == ["transport"]
    walked = without(ride(), odds)
    assert along(walked).at_m[-1] == pytest.approx(40 * STEP_M, abs=1)
    assert odd_stretches(walked) == ()


def test_a_run_of_half_a_minute_is_no_transport() -> None:
    time = NOON + np.array([0, 80, 95, 110, 190.0])  # two steps at 7.4 m/s: 30 s
    assert odd_stretches(north(5, time_s=time)[0]) == ()
    time[3:] += 1
    assert [odd.kind for odd in odd_stretches(north(5, time_s=time)[0])] == ["transport"]


def test_a_jumping_point_is_flagged_and_can_be_taken_out() -> None:
    lat = 46 + STEP * np.arange(7) / 10
    lon = np.full(7, 13.0)
    lat[3] += 0.02
    track, _ = make_track(lat, lon)
    odds = odd_stretches(track)
    assert [(odd.kind, odd.first, odd.last) for odd in odds] == [("position-jump", 2, 4)]
    assert along(without(track, odds)).at_m[-1] == pytest.approx(0.6 * STEP_M, abs=0.1)


def test_a_step_in_the_elevation_is_flagged_and_stays() -> None:
    track, _ = make_track([46, 46.0001, 46.0002, 46.0003], [13] * 4, ele_m=[500, 500, 560, 560])
    odds = odd_stretches(track)
    assert [odd.kind for odd in odds] == ["elevation-jump"]
    assert without(track, odds).lat_deg.size == 4


def test_a_gap_between_segments_is_not_transport() -> None:
    lat = np.array([46.0, 46.001, 46.5, 46.501])
    time = NOON + np.array([0, 80, 160, 240.0])
    track, _ = make_track(lat, np.full(4, 13.0), time_s=time, segment_ends=[2, 4])
    assert odd_stretches(track) == ()
