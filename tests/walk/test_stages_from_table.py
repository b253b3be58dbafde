"""A plain table gives the same kind of days as a track."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake, Mistakes
from fellfare.walk.stages import StageRow, Stop, legs_of_stages, stages_from_table
from fellfare.walk.stages.table import slopes_of_table

ROWS = (
    StageRow(
        distance_m=14_000, ascent_m=900, descent_m=100, camp="Tarn", water_m=(9_000, 3_000),
        stops=(Stop(name="Gate shop", kind="shop", at_m=500),), fire_ban=False, night_c=2.0,
    ),
    StageRow(distance_m=0, camp="Tarn", camp_m=1400, name="rest"),
    StageRow(distance_m=12_000, descent_m=800, terrain="scree", fire_ban=True),
)  # fmt: skip


def test_a_table_becomes_days() -> None:
    first, rest, last = stages_from_table(ROWS, start_m=600).stages
    assert (first.day, first.name, first.start_m, first.camp_m) == (1, "day 1", 600, 1400)
    assert [s.name for s in first.stops] == ["Gate shop", "water", "water"]
    assert [s.at_m for s in first.water] == [3000, 9000]
    assert (first.night_c, first.day_c, first.fire_ban) == (2.0, None, False)
    assert rest.rest_day
    assert (rest.name, rest.fire_ban) == ("rest", None)
    assert (last.end_m, last.camp_m, last.terrain, last.from_m) == (600, None, "scree", None)


def test_without_a_starting_height_heights_are_unknown_until_a_camp_tells() -> None:
    first, rest, last = stages_from_table(ROWS).stages
    assert (first.start_m, first.camp_m) == (None, None)
    assert (rest.camp_m, last.start_m, last.end_m) == (1400, 1400, 600)


def test_heights_that_do_not_fit_are_said() -> None:
    rows = [StageRow(distance_m=9000, ascent_m=500, camp="A", camp_m=1300)]
    made = stages_from_table(rows, start_m=600)
    assert [finding.rule for finding in made.findings] == ["table-heights"]
    assert made.stages[0].camp_m == 1300


@given(st.floats(1, 60_000), st.floats(0, 0.45), st.floats(0, 1))
def test_the_slopes_of_a_line_keep_its_figures(distance: float, steep: float, share: float) -> None:
    up, down = distance * steep * share, distance * steep * (1 - share)
    slopes = slopes_of_table(distance, up, down, 100.0)
    assert float(slopes.distance_m.sum()) == pytest.approx(distance, rel=1e-6)
    rise = slopes.rise_m
    assert float(rise[rise > 0].sum()) == pytest.approx(up, rel=1e-6, abs=1e-6)
    assert float(-rise[rise < 0].sum()) == pytest.approx(down, rel=1e-6, abs=1e-6)
    assert slopes.distance_m.max() <= 100 + 1e-6
    assert slopes.held == 0 or steep > 0.4499


def test_climb_is_laid_out_at_ten_per_cent_or_as_steep_as_it_must_be() -> None:
    assert sorted(set(slopes_of_table(10_000, 300, 200, 0).grade.round(6).tolist())) == [
        -0.1,
        0,
        0.1,
    ]
    assert sorted(set(slopes_of_table(5_000, 600, 400, 0).grade.round(6).tolist())) == [-0.2, 0.2]


def test_legs_of_a_table() -> None:
    made = stages_from_table(ROWS, start_m=600, pace=lambda d, g: d / 4000)
    legs = legs_of_stages(made.stages, lambda ground: 1.8 if ground == "scree" else 1.2)
    assert legs is not None
    assert legs.ascent_m == pytest.approx(900)
    assert legs.descent_m == pytest.approx(900)
    assert sorted(set(zip(legs.day.tolist(), legs.eta.tolist(), strict=True))) == [
        (1, 1.2),
        (3, 1.8),
    ]
    assert made.stages[0].hours == pytest.approx(3.5)


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"distance_m": float("nan")}, "stage-figure"),
        ({"distance_m": -1.0}, "stage-figure"),
        ({"distance_m": float("inf")}, "stage-figure"),
        ({"distance_m": 300_000.0}, "stage-figure"),
        ({"distance_m": 9000.0, "ascent_m": -5.0}, "stage-figure"),
        ({"distance_m": 9000.0, "descent_m": float("nan")}, "stage-figure"),
        ({"distance_m": 9000.0, "camp_m": 12_000.0}, "stage-figure"),
        ({"distance_m": 9000.0, "night_c": float("nan")}, "stage-figure"),
        ({"distance_m": 9000.0, "water_m": (9001.0,)}, "stage-figure"),
        ({"distance_m": 1000.0, "ascent_m": 460.0}, "stage-too-steep"),
        ({"distance_m": 0.0, "ascent_m": 10.0}, "stage-too-steep"),
    ],
)
def test_nonsense_in_a_line_is_refused_and_the_day_named(fields: dict[str, Any], code: str) -> None:
    with pytest.raises(Mistake) as caught:
        stages_from_table([StageRow(distance_m=1000), StageRow(**fields)])
    assert caught.value.code == code
    assert caught.value.where == "day 2"


def test_all_wrong_lines_are_told_at_once() -> None:
    with pytest.raises(Mistakes) as caught:
        stages_from_table([StageRow(distance_m=-1), StageRow(distance_m=1, ascent_m=-1)])
    assert [m.where for m in caught.value.each] == ["day 1", "day 2"]


def test_no_line_and_too_many_are_refused() -> None:
    with pytest.raises(Mistake, match="stages-empty"):
        stages_from_table([])
    with pytest.raises(Mistake, match="too-many-days"):
        stages_from_table([StageRow(distance_m=1000)] * 401)
