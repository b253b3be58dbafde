"""The day's need: its parts, its band, its edges."""

from __future__ import annotations

from math import hypot, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.walk.deficit import planned_deficit, target_kcal
from fellfare.walk.demand import demand_of, need_kcal, need_parts, quiet_day_kcal
from fellfare.walk.legs import legs_of
from fellfare.walk.load import Stretches, stretches_of, usual_day
from fellfare.walk.need import DAYS_ALIKE, Z_80, WalkerNeed, needs
from fellfare.walk.rest_of_day import (
    FIRST,
    SECOND,
    DayFrame,
    altitude_share,
    rest_kcal,
    weather_share,
    with_thermic,
)
from fellfare.walk.resting.eer import required_kcal
from fellfare.walk.walker import Walker

MAN = Walker(name="Ash", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8.0)
GRADES = [0.10, 0.0, -0.10]
METRES = [10_000.0, 2_000.0, 8_000.0]


def walk(count: int = 1, zero: tuple[int, ...] = ()) -> Stretches:
    walked = [d for d in range(1, count + 1) if d not in zero]
    legs = legs_of(METRES * len(walked), GRADES * len(walked), 1.1, np.repeat(walked, 3))
    loads = tuple(usual_day(d, 0.0 if d in zero else 20_000.0) for d in range(1, count + 1))
    return stretches_of(legs, loads)


def one_day(frame: DayFrame | None = None, walker: Walker = MAN) -> WalkerNeed:
    days = (frame or DayFrame(day=1),)
    return needs((walker,), walk(), days, np.array([[0.85]]))[0]


def test_rest_of_the_day_of_two_independent_calculations() -> None:
    # First: (1880 + rest) / 0.9 = 3876 kcal with resting 1692.5 and 5.13 h on the move.
    first = float(rest_kcal(FIRST, 1692.5, 24.0, 8.0, 5.13))
    assert float(with_thermic(FIRST, 1880 + first)) == pytest.approx(3876, abs=1)
    # Second: 3804 = 2015 + 1788, with 1667.5 and 5.778 h.
    assert float(rest_kcal(SECOND, 1667.5, 24.0, 8.0, 5.778)) == pytest.approx(1788, abs=1)


def test_parts_sum_to_the_whole() -> None:
    frames = (
        DayFrame(day=1, hours=18.0, height_m=3500.0, air_c=-8.0),
        DayFrame(day=2),
        DayFrame(day=3, hours=9.0, sleep_hours=0.0, air_c=35.0),
    )
    for need in needs((MAN,), walk(3, zero=(2,)), frames, np.full((1, 3), 0.8))[0].days:
        parts = (need.walking_kcal, need.rest_kcal, need.altitude_kcal, need.weather_kcal,
                 need.thermic_kcal, need.quiet_kcal)  # fmt: skip
        assert sum(parts) == pytest.approx(need.kcal, abs=1e-9)
        assert all(part >= 0 for part in parts)


@settings(max_examples=30, deadline=None)
@given(
    food=st.floats(0, 8),
    height=st.floats(0, 5000),
    air=st.floats(-30, 45),
    hours=st.floats(10, 24),
    factor=st.floats(0.7, 1.3),
)
def test_the_fast_need_is_the_sum_of_the_parts(
    food: float, height: float, air: float, hours: float, factor: float
) -> None:
    frame = DayFrame(day=1, height_m=height, air_c=air, hours=hours)
    demand = demand_of((replace(MAN, energy_factor=factor),), walk(), (frame,))
    mass = np.array([[food]])
    assert need_kcal(demand, mass) == pytest.approx(need_parts(demand, mass).need, rel=1e-12)


def test_sample_day_lies_where_the_models_lie() -> None:
    # Two independent calculations: 3876 and 3804 kcal at constant 12 kg; models 3650 to 4170.
    need = one_day().days[0]
    assert 3650 < need.kcal < 4170
    assert 3469 > need.low_kcal > 3000
    assert 4151 < need.high_kcal < 4700
    # Activity level of a hiking day: 2.1 to 2.5.
    assert 2.1 < need.activity_level < 2.5


def test_band_is_the_root_of_the_sum_of_squares() -> None:
    need = one_day().days[0]
    sd = sqrt(sum(doubt.sd_kcal**2 for doubt in need.doubts))
    assert need.sd_kcal == pytest.approx(sd)
    assert need.high_kcal - need.kcal == pytest.approx(Z_80 * sd)
    names = [doubt.name for doubt in need.doubts]
    assert [n for n in names if n.startswith("two readings")] == [
        "two readings: rest of the day",
        "two readings: ground on the grade term",
        "two readings: base 1.1 or 1.11",
    ]


def test_doubts_are_as_large_as_calculated_elsewhere() -> None:
    # Independent, before dividing by 0.9: model 195, ground 86, camp 115; here 5.7 h, not 5.1.
    doubts = {d.name: d.sd_kcal for d in one_day().days[0].doubts}
    assert doubts["walking model"] == pytest.approx(195 / 0.9, rel=0.2)
    assert doubts["ground"] == pytest.approx(86 / 0.9, rel=0.25)
    assert doubts["camp life"] == pytest.approx(115 / 0.9, rel=0.1)
    # The whole band, independently: 8 to 10 % (one SD).
    assert 0.07 < one_day().days[0].sd_kcal / one_day().days[0].kcal < 0.11


def test_the_models_error_is_059_watt_per_kilogram() -> None:
    # Looney 2022, external data: SD 0.59 W/kg; 5.1 h of 75 kg are 195 kcal (independent).
    need = one_day().days[0]
    model = next(d.sd_kcal for d in need.doubts if d.name == "walking model")
    assert model * 0.9 / need.moving_hours == pytest.approx(195 / 5.131, rel=0.003)


def test_the_band_leaves_a_tenth_on_either_side() -> None:
    assert pytest.approx(NormalDist().inv_cdf(0.9), abs=5e-5) == Z_80


def test_what_was_learnt_narrows_the_band() -> None:
    learnt = one_day(walker=replace(MAN, energy_factor_sd=0.04)).days[0]
    assert learnt.sd_kcal < one_day().days[0].sd_kcal
    assert learnt.kcal == one_day().days[0].kcal


def test_days_of_one_walker_err_together() -> None:
    frames = tuple(DayFrame(day=d) for d in range(1, 9))
    need = needs((MAN,), walk(8), frames, np.full((1, 8), 0.85))[0]
    alone = need.days[0].sd_kcal / need.days[0].kcal
    together = need.sd_kcal / need.kcal
    # Averaging out would leave 1 / sqrt(8); with a correlation of 0.8 nearly all stays.
    assert together == pytest.approx(alone * sqrt(DAYS_ALIKE + (1 - DAYS_ALIKE) / 8), rel=0.01)
    assert together > 0.9 * alone
    assert need.kcal == pytest.approx(sum(day.kcal for day in need.days))


def test_a_zero_day_has_no_walking_in_it() -> None:
    frames = tuple(DayFrame(day=d) for d in (1, 2, 3))
    zero = needs((MAN,), walk(3, zero=(2,)), frames, np.full((1, 3), 0.8))[0].days[1]
    assert (zero.walking_kcal, zero.moving_hours, zero.mean_load_kg) == (0.0, 0.0, None)
    # NASEM 2023, low active, men: 581.47 - 10.83 A + 8.30 H + 14.94 W (from memory).
    assert zero.kcal == pytest.approx(581.47 - 10.83 * 35 + 8.30 * 178 + 14.94 * 75)
    assert [doubt.name for doubt in zero.doubts] == ["quiet day"]
    span = required_kcal(sex="male", age_y=35, height_cm=178, mass_kg=75, activity="active")
    span -= required_kcal(sex="male", age_y=35, height_cm=178, mass_kg=75, activity="inactive")
    assert zero.sd_kcal == pytest.approx(hypot(span / 2, 0.09 * zero.kcal))


def test_only_zero_days_need_no_legs() -> None:
    stretches = stretches_of(None, (usual_day(1, 0.0), usual_day(2, 0.0)))
    frames = (DayFrame(day=1), DayFrame(day=2))
    need = needs((MAN,), stretches, frames, np.zeros((1, 2)))[0]
    assert [day.kcal for day in need.days] == [quiet_day_kcal(MAN)] * 2


def test_a_short_walk_is_never_below_a_day_without() -> None:
    stretches = stretches_of(legs_of([1000.0], [0.0]), (usual_day(1, 1000.0),))
    need = needs((MAN,), stretches, (DayFrame(day=1),), np.array([[0.5]]))[0].days[0]
    assert need.kcal == pytest.approx(quiet_day_kcal(MAN))
    assert need.quiet_kcal > 0
    assert need.walking_kcal > 0


@given(st.floats(9, 23), st.floats(0.1, 1))
def test_a_part_of_a_day_needs_less(hours: float, more: float) -> None:
    part, longer = (one_hours(h) for h in (hours, hours + more))
    assert part < longer


def one_hours(hours: float) -> float:
    frame = DayFrame(day=1, hours=hours, sleep_hours=0.0)
    demand = demand_of((MAN,), walk(), (frame,))
    return float(need_kcal(demand, np.array([[0.8]]))[0, 0])


def test_height_is_cautious_and_its_readings_disagree() -> None:
    # First: 0 below 2 500 m, 10 % at 4 300; second: 10 % at 3 500, 17 % at 4 300.
    assert altitude_share(FIRST, np.array([0, 2500, 4300, 6000])) == pytest.approx(
        [0, 0, 0.10, 0.10]
    )
    assert altitude_share(SECOND, np.array([2500, 3500, 4300])) == pytest.approx([0, 0.10, 0.17])
    high = one_day(DayFrame(day=1, height_m=4300.0)).days[0]
    assert high.kcal > one_day().days[0].kcal
    assert [note.rule for note in high.notes] == ["height-is-soft"]
    assert "height" in [doubt.name for doubt in high.doubts]


def test_weather_adds_five_to_ten_per_cent_at_most() -> None:
    # AR 40-25 (2001), public digest: cold 5 to 10 %, none at 20 to 30 C, 2.5 to 10 % to 40 C.
    assert weather_share(np.array([-40, -20, -10, 0, 20, 30, 40, 50])) == pytest.approx(
        [0.10, 0.10, 0.05, 0, 0, 0, 0.10, 0.10]
    )
    cold = one_day(DayFrame(day=1, air_c=-10.0)).days[0]
    assert cold.kcal == pytest.approx(1.05 * one_day().days[0].kcal)
    assert [note.rule for note in cold.notes] == ["weather-is-soft"]


def test_unknown_weather_and_height_add_nothing_and_say_nothing() -> None:
    assert one_day().days[0].notes == ()


def test_a_day_beyond_what_was_ever_kept_up_is_doubted() -> None:
    # Castellani 2006: 3.4 times rest for 54 h was the most.
    legs = legs_of([60_000.0], [0.05], 1.5)
    stretches = stretches_of(legs, (usual_day(1, 60_000.0),))
    strong = replace(MAN, pace_factor=1.8, capacity_ml_per_kg_min=85.0)
    need = needs((strong,), stretches, (DayFrame(day=1),), np.array([[1.0]]))[0].days[0]
    assert "beyond-what-was-kept-up" in [note.rule for note in need.notes]


def test_a_walk_longer_than_the_day_is_refused() -> None:
    legs = legs_of([120_000.0], [0.0], 1.5)
    stretches = stretches_of(legs, (usual_day(1, 120_000.0),))
    with pytest.raises(Mistake, match="day-too-long") as caught:
        needs((MAN,), stretches, (DayFrame(day=1),), np.array([[1.0]]))
    assert caught.value.where == "day 1"


def test_a_walk_that_eats_the_sleep_is_a_caution() -> None:
    legs = legs_of([66_000.0], [0.0], 1.2)
    stretches = stretches_of(legs, (usual_day(1, 66_000.0),))
    need = needs((MAN,), stretches, (DayFrame(day=1),), np.array([[1.0]]))[0].days[0]
    assert "walk-eats-sleep" in [note.rule for note in need.notes]


def test_a_heavy_pack_leaves_the_measured_range_with_a_note() -> None:
    heavy = replace(MAN, base_pack_kg=55.0)
    notes = one_day(walker=heavy).notes
    assert any(n.rule == "energy-outside-range" and "0.66" in n.text for n in notes)


def test_a_youth_is_told_apart() -> None:
    youth = replace(MAN, age_y=15, mass_kg=55, height_cm=168)
    need = one_day(walker=youth)
    assert "youth-need" in [note.rule for note in need.notes]
    assert quiet_day_kcal(youth) == pytest.approx(1.6 * (15.6 * 55 + 266 * 1.68 + 299))


@pytest.mark.parametrize("food", [[[-0.1]], [[float("nan")]], [[0.8, 0.8]], [0.8]])
def test_food_that_does_not_fit_is_refused(food: list[list[float]]) -> None:
    with pytest.raises(Mistake, match="food-out-of-range"):
        needs((MAN,), walk(), (DayFrame(day=1),), np.array(food))


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("hours", 0.0, "day-hours"),
        ("hours", 25.0, "day-hours"),
        ("sleep_hours", float("nan"), "day-hours"),
        ("height_m", 29_000.0, "height-out-of-range"),
        ("air_c", 68.0, "air-out-of-range"),
        ("air_c", float("nan"), "air-out-of-range"),
    ],
)
def test_day_frames_refuse_nonsense(field: str, value: float, code: str) -> None:
    with pytest.raises(Mistake, match=code):
        replace(DayFrame(day=1), **{field: value})


def test_coverage_and_appetite_are_two_knobs() -> None:
    assert target_kcal(4000, coverage=0.8, appetite=0.9) == pytest.approx(2880)
    assert target_kcal(4000) == 4000
    for wrong in ({"coverage": 80.0}, {"appetite": float("nan")}):
        with pytest.raises(Mistake, match="out-of-range"):
            target_kcal(4000, **wrong)


def test_a_gap_is_held_beside_what_is_known_of_gaps() -> None:
    # Murphy 2018: 5 686 to 19 109 kcal in all: 0 to 2 %; 39 243 to 59 377: 7 to 10 %.
    assert planned_deficit((4000,) * 5, (3500,) * 5).notes == ()
    middle = planned_deficit((4000,) * 8, (3200,) * 8)
    assert middle.total_kcal == 6400
    assert [n.rule for n in middle.notes] == ["energy-gap"]
    assert middle.lost_mass_kg == pytest.approx(6400 / 7700)
    great = planned_deficit((5000,) * 20, (3000,) * 20, fat_kg=12.0)
    # Alpert 2005: 12 kg of fat give at most about 830 kcal a day.
    assert [n.rule for n in great.notes] == ["great-energy-gap", "gap-beyond-fat"]
    assert "828 kcal" in great.notes[1].text


def test_unknown_fat_is_not_checked_against() -> None:
    notes = planned_deficit((5000,) * 3, (1000,) * 3).notes
    assert "gap-beyond-fat" not in [n.rule for n in notes]


def test_gaps_refuse_uneven_days_and_nonsense() -> None:
    with pytest.raises(Mistake, match="days-uneven"):
        planned_deficit((4000,), (3000, 3000))
    with pytest.raises(Mistake, match="need-out-of-range"):
        planned_deficit((float("nan"),), (3000,))
    with pytest.raises(Mistake, match="fat-out-of-range"):
        planned_deficit((4000,), (3000,), fat_kg=0.0)


def test_what_is_added_for_weather_and_height_is_doubted_by_half_of_it() -> None:
    frame = DayFrame(day=1, height_m=4300.0, air_c=-15.0)
    need = needs((MAN,), walk(1), (frame,), np.full((1, 1), 0.8))[0].days[0]
    doubts = {doubt.name: doubt.sd_kcal for doubt in need.doubts}
    assert need.weather_kcal > 0
    assert need.altitude_kcal > 0
    share = 1.0 - FIRST.thermic_share  # what is eaten to digest comes on top
    assert doubts["weather"] == pytest.approx(0.5 * need.weather_kcal / share)
    assert doubts["height"] == pytest.approx(0.5 * need.altitude_kcal / share)


def test_the_sample_days_figures_are_as_they_were() -> None:
    # Ours, 2026-11, to notice change; held against others more widely above.
    need = one_day().days[0]
    assert {doubt.name: round(doubt.sd_kcal, 3) for doubt in need.doubts} == {
        "walking model": 238.36, "resting energy": 195.669, "camp life": 121.831, "ground": 87.889,
        "grades": 40.785, "pace": 8.274, "food's own cost": 64.251,
        "two readings: rest of the day": 104.566, "two readings: ground on the grade term": 52.575,
        "two readings: base 1.1 or 1.11": 3.317,
    }  # fmt: skip
    assert (need.kcal, need.low_kcal) == pytest.approx((3790.804, 3316.027), abs=1e-3)
    three = needs((MAN,), walk(3), tuple(DayFrame(day=d) for d in (1, 2, 3)), np.full((1, 3), 0.8))
    assert [day.kcal for day in three[0].days] == pytest.approx([3829.217, 3809.268, 3789.994])
    assert (three[0].low_kcal, three[0].high_kcal) == pytest.approx((10_093.242, 12_763.716))
