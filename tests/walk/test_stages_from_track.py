"""A track falls into days at camps, at named places or by hours, and nothing is lost."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.walk.figures import Array
from fellfare.walk.profile import TURN_M, Profile, profile_of
from fellfare.walk.stages import (
    Cut,
    Pass,
    Stages,
    legs_of_stages,
    passes_of,
    stages_at_camps,
    stages_by_hours,
    stages_cut_at,
)
from fellfare.walk.stages.snapping import in_walking_order
from fellfare.walk.track import Place, make_track

#: Metres to a degree of latitude near 46.1 N on WGS 84, and to a degree of longitude.
NORTH_M, EAST_M = 111_150.0, 77_300.0


def way(km: list[tuple[float, float]], ele: list[float] | None = None) -> Profile:
    """A way through corners given in km east and north, with a point every 50 m or so."""
    x, y = np.array(km).T * 1000
    at = np.concatenate([[0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    fine = np.unique(np.concatenate([np.arange(0, at[-1], 50), at]))
    heights = np.interp(fine, at, ele if ele is not None else np.full(at.size, 1000.0))
    track, _ = make_track(
        46 + np.interp(fine, at, y) / NORTH_M,
        13 + np.interp(fine, at, x) / EAST_M,
        ele_m=heights,
    )
    return profile_of(track)


def at(
    east_km: float, north_km: float, name: str, kind: str = "camp", ele_m: float | None = None
) -> Place:
    return Place(
        name=name, kind=kind, lat_deg=46 + 1000 * north_km / NORTH_M,
        lon_deg=13 + 1000 * east_km / EAST_M, ele_m=ele_m,
    )  # fmt: skip


STRAIGHT = [(0.0, 0.0), (0.0, 30.0)]
HILLS = [(0.0, 0.0), (0.0, 8.0), (0.0, 14.0), (0.0, 21.0), (0.0, 30.0)]
HEIGHTS = [500.0, 1300.0, 900.0, 1500.0, 600.0]


def flat_4_km_h(distance: Array, grade: Array) -> Array:
    return distance / 4000


def rules(stages: Stages) -> list[str]:
    return [finding.rule for finding in stages.findings]


def test_days_end_at_the_camps() -> None:
    places = [at(0.05, 20, "B"), at(-0.05, 10, "A")]  # order of the file does not matter
    made = stages_at_camps(way(HILLS, HEIGHTS), places, pace=flat_4_km_h)
    assert [s.name for s in made.stages] == ["start – A", "A – B", "B – end"]
    assert [s.day for s in made.stages] == [1, 2, 3]
    # 10 km each; the flat map of the test and the ellipsoid differ by under 0.1 %.
    assert [s.distance_m for s in made.stages] == pytest.approx([10_000] * 3, rel=1e-3)
    assert [s.hours for s in made.stages] == pytest.approx([2.5] * 3, rel=1e-3)
    # By hand: 800 up to km 8, then 133 of 400 down by km 10; 267 down, 514 of 600 up by km 20.
    assert made.stages[0].ascent_m == pytest.approx(800, abs=5)
    assert made.stages[0].descent_m == pytest.approx(133, abs=6)
    assert made.stages[1].descent_m == pytest.approx(267, abs=6)
    assert [s.camp_m for s in made.stages] == [
        pytest.approx(1167, abs=6), pytest.approx(1414, abs=6), None
    ]  # fmt: skip
    assert [s.camp for s in made.stages] == ["A", "B", ""]
    assert made.findings == ()


def test_a_camp_off_the_way_gets_a_caution_and_keeps_its_own_height() -> None:
    made = stages_at_camps(way(STRAIGHT), [at(0.8, 10, "A", ele_m=1150.0)])
    assert rules(made) == ["camp-off-way", "camp-height"]
    assert "8" in made.findings[0].text
    assert made.stages[0].camp_m == 1150
    assert made.stages[0].end_m == pytest.approx(1000)


def test_a_camp_of_another_walk_is_left_out() -> None:
    made = stages_at_camps(way(STRAIGHT), [at(0, 10, "A"), at(7, 20, "far")])
    assert [s.camp for s in made.stages] == ["A", ""]
    assert rules(made) == ["camp-elsewhere"]


def test_a_camp_at_the_trailhead_is_no_night_between() -> None:
    made = stages_at_camps(way(STRAIGHT), [at(0, 0.05, "car"), at(0, 10, "A"), at(0, 29.95, "bus")])
    assert [s.camp for s in made.stages] == ["A", ""]


def test_named_places_cut_whatever_their_kind() -> None:
    places = [at(0, 10, "Hut", "hut"), at(0, 20, "Town", "shop"), at(0, 5, "Camp")]
    made = stages_at_camps(way(STRAIGHT), places, order=["Hut", "Town"])
    assert [s.camp for s in made.stages] == ["Hut", "Town", ""]


def test_a_rest_day_is_a_place_named_twice() -> None:
    made = stages_at_camps(
        way(HILLS, HEIGHTS), [at(0, 10, "A")], order=["A", "A"], pace=flat_4_km_h
    )
    first, rest, last = made.stages
    assert rest.rest_day
    assert (rest.distance_m, rest.ascent_m, rest.descent_m, rest.hours) == (0, 0, 0, 0)
    assert len(rest.slopes) == 0
    assert rest.camp_m == first.camp_m == rest.start_m == last.start_m
    assert [e.name for e in rest.eaten] == ["breakfast", "lunch", "dinner"]


def test_out_and_back_takes_the_pass_that_fits_the_order() -> None:
    out_and_back = way([(0, 0), (0, 20), (0.0, 0)])
    places = [at(0, 8, "A"), at(0, 15, "B")]
    assert [round(p.at_m, -2) for p in passes_of(out_and_back, places[0])] == [8000, 32_000]
    ends = [s.from_m for s in stages_at_camps(out_and_back, places, order=["A", "B"]).stages]
    assert ends == pytest.approx([0, 8000, 15_000], rel=2e-3)
    ends = [s.from_m for s in stages_at_camps(out_and_back, places, order=["B", "A"]).stages]
    assert ends == pytest.approx([0, 15_000, 32_000], rel=2e-3)
    ends = [s.from_m for s in stages_at_camps(out_and_back, places, order=["A", "B", "A"]).stages]
    assert ends == pytest.approx([0, 8000, 15_000, 32_000], rel=2e-3)


def test_a_ring_passes_its_start_twice() -> None:
    ring = way([(0, 0), (5, 0), (5, 5), (0, 5), (0, 0)])
    assert [p.at_m for p in passes_of(ring, at(0, 0, "car park"))] == pytest.approx(
        [0, ring.length_m], abs=1
    )


def test_snapping_across_the_date_line() -> None:
    track, _ = make_track([0, 0, 0], [179.99, -179.995, -179.98], ele_m=[0, 0, 0])
    place = Place(name="A", lat_deg=0.001, lon_deg=180.0, kind="camp")
    (found,) = passes_of(profile_of(track), place)
    # 0.01 degree of the equator is 1 113.19 m (a * pi / 180 / 100).
    assert found.at_m == pytest.approx(1113.19, abs=1)
    assert found.off_m == pytest.approx(111, abs=1)


@pytest.mark.parametrize(
    ("order", "code"),
    [
        (["Z"], "unknown-place"),
        (["B", "A"], "places-out-of-order"),
        (["far"], "place-off-track"),
    ],
)
def test_names_that_do_not_fit_are_refused(order: list[str], code: str) -> None:
    places = [at(0, 10, "A"), at(0, 20, "B"), at(9, 20, "far")]
    with pytest.raises(Mistake) as caught:
        stages_at_camps(way(STRAIGHT), places, order=order)
    assert caught.value.code == code


def test_a_misspelt_name_is_answered_with_the_right_one() -> None:
    with pytest.raises(Mistake, match="Sallow Tarn"):
        stages_at_camps(way(STRAIGHT), [at(0, 1, "Sallow Tarn")], order=["Salow Tarn"])


def test_no_camps_is_said() -> None:
    for places in ([], [at(0, 10, "spring", "water")], [at(0, 0, "car")]):
        with pytest.raises(Mistake, match="no-camps"):
            stages_at_camps(way(STRAIGHT), places)


# --- hours -------------------------------------------------------------------------------


def test_days_of_five_hours() -> None:
    made = stages_by_hours(way(STRAIGHT), flat_4_km_h, [3.0, 2.05])
    # 30 km at 4 km/h is 7.5 h: 3 + 2.05 + 2.05, and the last 0.4 h go to the day before.
    assert [s.hours for s in made.stages] == pytest.approx([3, 2.05, 2.45], abs=0.01)
    assert made.stages[0].camp == "km 12.0"


@pytest.mark.parametrize("hours", [[], [0.0], [25.0], [float("nan")], [6.0, -1.0]])
def test_hours_that_make_no_day_are_refused(hours: list[float]) -> None:
    with pytest.raises(Mistake, match="hours-per-day"):
        stages_by_hours(way(STRAIGHT), flat_4_km_h, hours)


def test_a_walk_without_an_end_is_refused() -> None:
    with pytest.raises(Mistake, match="too-many-days"):
        stages_by_hours(way(STRAIGHT), lambda d, g: d * 1.0, [0.5])


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_a_pace_that_never_arrives_is_refused(bad: float) -> None:
    with pytest.raises(Mistake, match="pace-unusable"):
        stages_by_hours(way(STRAIGHT), lambda d, g: np.full(d.size, bad), [6.0])
    with pytest.raises(Mistake, match="pace-unusable"):
        stages_by_hours(way(STRAIGHT), lambda d, g: np.ones(3), [6.0])


# --- places along the day ----------------------------------------------------------------


def test_water_along_the_day_and_at_the_camp() -> None:
    places = [
        at(0, 10, "A"),
        at(0.1, 4, "spring", "water"),
        at(0, 10.1, "camp stream", "water"),
        at(0, 9.9, "hut shop", "shop"),
        at(2, 15, "far well", "water"),
    ]
    made = stages_at_camps(way(STRAIGHT), places)
    first, second = made.stages
    assert [s.name for s in first.stops] == ["spring", "hut shop", "A", "camp stream"]
    assert [s.name for s in first.water] == ["spring", "camp stream"]
    assert first.water[0].at_m == pytest.approx(4000, rel=2e-3)
    assert first.water[1].at_m == first.distance_m  # beyond the camp: at its end
    assert [s.name for s in second.stops] == ["camp stream"]  # one fills up in the morning
    assert rules(made) == ["places-off-way"]


def test_a_fire_ban_between_its_marks() -> None:
    camps = [at(0, 6 * i, f"C{i}") for i in range(1, 5)]
    ban = [at(0, 13, "in", "fire-ban-start"), at(0, 17, "out", "fire-ban-end")]
    assert [s.fire_ban for s in stages_at_camps(way(STRAIGHT), [*camps, *ban]).stages] == [
        False, False, True, False, False,
    ]  # fmt: skip
    assert [s.fire_ban for s in stages_at_camps(way(STRAIGHT), camps).stages] == [None] * 5


def test_half_a_fire_ban_reaches_to_the_end_and_is_said() -> None:
    camps = [at(0, 10, "A"), at(0, 20, "B")]
    made = stages_at_camps(way(STRAIGHT), [*camps, at(0, 13, "in", "fire-ban-start")])
    assert [s.fire_ban for s in made.stages] == [False, True, True]
    assert rules(made) == ["fire-ban-open"]
    made = stages_at_camps(way(STRAIGHT), [*camps, at(0, 13, "out", "fire-ban-end")])
    assert [s.fire_ban for s in made.stages] == [True, True, False]
    assert rules(made) == ["fire-ban-open"]


def test_nonsense_amounts_of_places_are_refused() -> None:
    track, _ = make_track(
        46 + 1e-5 * np.arange(200_000), np.full(200_000, 13.0), ele_m=np.zeros(200_000)
    )
    places = [at(0, 1, f"p{i}") for i in range(600)]
    with pytest.raises(Mistake, match="too-many-places"):
        stages_at_camps(profile_of(track), places)


# --- laws --------------------------------------------------------------------------------

WALK = way(
    [(0, 0), (2, 3), (1, 7), (4, 9), (8, 8), (9, 3), (5, 1), (0, 0)],
    [500, 900, 700, 1400, 1300, 1350, 600, 500],
)


@given(st.lists(st.floats(0, 1), max_size=12))
def test_days_add_up_to_the_walk(shares: list[float]) -> None:
    ends = sorted(share * WALK.length_m for share in shares)
    made = stages_cut_at(WALK, [Cut(at_m=x, name=f"{x:.0f}") for x in ends], pace=flat_4_km_h)
    assert made.distance_m == pytest.approx(WALK.length_m, abs=1e-6)
    # Each cut may add a swing that is under the threshold on the whole.
    assert abs(made.ascent_m - WALK.ascent_m) <= TURN_M * len(ends) + 1e-3
    assert made.ascent_m - made.descent_m == pytest.approx(0, abs=1e-3)  # a ring
    for stage in made.stages:
        assert stage.start_m is not None
        assert stage.end_m is not None
        net = stage.end_m - stage.start_m
        assert stage.ascent_m - stage.descent_m == pytest.approx(net, abs=1e-3)
        assert float(stage.slopes.rise_m.sum()) == pytest.approx(net, abs=1e-3)
    assert all(a.end_m == b.start_m for a, b in pairwise(made.stages))


def test_legs_for_the_energy_models_carry_day_and_ground() -> None:
    made = stages_at_camps(
        WALK, [at(1, 7, "A"), at(8, 8, "B")], order=["A", "A", "B"], terrain="scree"
    )
    legs = legs_of_stages(made.stages, {"scree": 1.8}.__getitem__)
    assert legs is not None
    assert legs.length_m == pytest.approx(WALK.length_m, abs=1e-3)
    assert sorted(set(legs.day.tolist())) == [1, 3, 4]
    assert set(legs.eta.tolist()) == {1.8}
    assert legs_of_stages(made.stages[1:2], {"scree": 1.8}.__getitem__) is None


def test_cuts_that_go_back_are_refused() -> None:
    for ends in ([5000.0, 4000.0], [-1.0], [WALK.length_m + 1], [float("nan")]):
        with pytest.raises(Mistake, match="places-out-of-order"):
            stages_cut_at(WALK, [Cut(at_m=x, name="x") for x in ends])


@given(
    st.lists(
        st.lists(st.tuples(st.integers(0, 12), st.integers(0, 200)), min_size=1, max_size=3),
        min_size=1,
        max_size=4,
    )
)
def test_the_chosen_passes_are_the_nearest_that_fit_by_trying_all(
    options: list[list[tuple[int, int]]],
) -> None:
    from itertools import product

    passes = [[Pass(at_m=a, off_m=o) for a, o in some] for some in options]
    names = [str(i) for i in range(len(options))]
    fitting = [c for c in product(*passes) if all(a.at_m < b.at_m for a, b in pairwise(c))]
    found = in_walking_order(names, passes)
    if not fitting:
        assert found is None
    else:
        assert found is not None

        def cost(chain: tuple[Pass, ...]) -> float:
            return sum(max(p.off_m - 50, 0) for p in chain)

        assert found in fitting
        assert cost(found) == min(map(cost, fitting))


def test_a_rest_day_begins_and_ends_at_its_camp() -> None:
    cuts = [Cut(name="Hut", at_m=5_000.0)] * 2
    first, rest, last = stages_cut_at(way(HILLS, HEIGHTS), cuts, pace=flat_4_km_h).stages
    assert [s.name for s in (first, rest, last)] == ["start – Hut", "rest day, Hut", "Hut – end"]
    assert (rest.distance_m, rest.ascent_m, rest.descent_m, rest.hours) == (0.0, 0.0, 0.0, 0.0)
    assert rest.start_m == rest.end_m == first.end_m
    # by hand: 5 of 8 km up 800 m from 500 m
    assert first.end_m == pytest.approx(1_000.0, abs=3)
    assert last.start_m == pytest.approx(1_000.0, abs=3)
    assert first.start_m == pytest.approx(500, abs=3)
    assert last.end_m == pytest.approx(600, abs=3)


def test_marks_without_a_kind_and_fire_bans_are_no_stops() -> None:
    kinds = {"Rock": "", "Ban": "fire-ban-start", "Free": "fire-ban-end", "Spring": "water"}
    places = [at(0.0, 5 + 2 * n, name, kind=kind) for n, (name, kind) in enumerate(kinds.items())]
    made = stages_cut_at(way(HILLS, HEIGHTS), [Cut(name="Hut", at_m=6_000.0)], places)
    assert [stop.name for stage in made.stages for stop in stage.stops] == ["Spring"]
    assert [stage.fire_ban for stage in made.stages] == [False, True]
