"""Bulk rationing as a second way to a need: the trade's tables, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from fellfare.mistake import Mistake
from fellfare.trip.plan import plan_trip
from fellfare.trip.rationing import Rationing, rationing_of
from fellfare.trip.trip import Trip
from fellfare.trip.way import StageLine, Way
from fellfare.walk.ration import season_rule
from fellfare.walk.rest_of_day import DayFrame
from fellfare.walk.walker import Walker

LB = 453.59237  # NIST SP 811, exact


def ration(column: float | None, people: int = 4, days: int = 8) -> Rationing:
    made = rationing_of(
        (),
        tuple(DayFrame(day=n + 1) for n in range(days)),
        people=people,
        need_kcal=3_500.0 * people * days,
        planned_kcal=3_150.0 * people * days,
        planned_g=700.0 * people * days,
        column=column,
    )
    assert made is not None
    return made


def test_the_worked_example_of_the_slide_deck() -> None:
    # 4 people x 8 days x 1.75 lb = 56 lb (college outdoor-education slide deck).
    made = ration(1.75)
    assert made.low_g == made.high_g == pytest.approx(56 * LB)
    assert sum(one.low_g or 0 for one in made.groups) == pytest.approx(56 * LB)
    assert made.low_rest_g_per_person_day is None


def test_a_student_s_fifteen_days_alone() -> None:
    # The deck's solo of 15 days at 1.5 lb: breakfast 3.6, dinner 4.05, cheese 2.85, trail 4.8 lb.
    made = ration(1.5, people=1, days=15)
    pounds = {one.group: (one.low_g or 0) / LB for one in made.groups}
    assert pounds["breakfast"] == pytest.approx(3.6)
    assert pounds["dinner"] == pytest.approx(4.05)
    assert pounds["cheese"] == pytest.approx(2.85)
    assert pounds["trail food"] == pytest.approx(4.8)


def test_illegible_groups_are_one_rest_and_none_is_zero() -> None:
    made = ration(2.5)
    unknown = [one for one in made.groups if one.high_g is None]
    assert len(unknown) == 4
    # 2.5 - .38 - .40 - .28 - .49 = .95 lb, as printed.
    assert made.high_rest_g_per_person_day == pytest.approx(0.95 * LB)


def test_both_ways_side_by_side_by_hand() -> None:
    made = ration(None)  # no temperature: 1.75 to 2 lb, 3 000 to 3 500 kcal
    assert (made.low_lb_per_person_day, made.high_lb_per_person_day) == (1.75, 2.0)
    assert made.need_kcal_per_person_day == pytest.approx(3_500)
    assert made.planned_g_per_person_day == pytest.approx(700)
    assert made.planned_off_g == pytest.approx(700 - 1.75 * LB)
    assert made.low_share_of_need == pytest.approx(3_000 / 3_500)
    assert made.high_share_of_need == pytest.approx(1.0)
    assert made.low_kcal_per_g == pytest.approx(3_150 / (2 * LB))
    assert made.high_kcal_per_g == pytest.approx(3_150 / (1.75 * LB))


@pytest.mark.parametrize(
    ("day_c", "night_c", "name"),
    [
        (28, 16, "hot days, warm nights"),
        (28, 5, "warm or cool days and nights, full packs"),
        (14, 5, "warm or cool days and nights, full packs"),
        (None, None, "warm or cool days and nights, full packs"),
        (4, -5, "cool days, cold nights, full packs or skis"),
        (-10, -20, "cold days, extremely cold nights, sleds, mountains"),
        (None, -20, "cold days, extremely cold nights, sleds, mountains"),
    ],
)
def test_the_warmth_chooses_the_table(day_c: Any, night_c: Any, name: str) -> None:
    assert season_rule(day_c, night_c).name == name


def test_person_days_are_those_on_trail_food() -> None:
    man = Walker(name="Rowan", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8)
    stage = StageLine(distance_m=12_000)
    plan = plan_trip(
        Trip(title="x", walkers=(man,), way=Way(day_c=14, night_c=5), stages=(stage,) * 3)
    )
    made = plan.rationing
    assert made is not None
    assert made.person_days == pytest.approx(sum(day.frame.hours for day in plan.days) / 24)
    assert made.planned_g_per_person_day == pytest.approx(plan.spread.g_per_person_day)
    assert made.need_kcal_per_person_day == pytest.approx(
        plan.walkers[0].need.kcal / made.person_days
    )


@pytest.mark.parametrize("column", [1.6, 24, 700, float("nan")])
def test_no_column_but_those_printed(column: float) -> None:
    with pytest.raises(Mistake, match="ration-not-in-pounds"):
        ration(column)
