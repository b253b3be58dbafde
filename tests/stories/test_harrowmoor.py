"""Nine days round Harrowmoor, told from the first morning to the last step.

The walk is invented; what is checked is that its parts fit each other and what is known
from outside.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from fellfare.files.demo_documents import SEED, demo_documents
from fellfare.files.demo_walk import demo_walk
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.trip.laying import sparser
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.walk.stages import stages_at_camps


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> TripPlan:
    folder: Path = tmp_path_factory.mktemp("harrowmoor")
    for name, text in demo_documents():
        if name in ("trip.toml", "walk.gpx"):
            (folder / name).write_text(text, "utf-8")
    file = read_trip(folder / "trip.toml")
    return plan_trip(file.trip, read_ground(file))


def test_three_people_set_out_one_stoveless_one_vegetarian_one_without_nuts(plan: TripPlan) -> None:
    trip = plan.trip
    tansy, corrie, fell = trip.walkers
    assert tansy.diets == ("vegetarian",)
    assert "almond" in corrie.avoids
    assert "peanut" not in corrie.avoids
    kitchen = trip.kitchen_of(fell.name)
    assert kitchen is not None
    assert kitchen.stoveless
    assert trip.kitchen_of("Tansy") == trip.kitchen_of("Corrie")


def test_nine_days_make_up_the_whole_way(plan: TripPlan) -> None:
    assert len(plan.days) == 9
    assert plan.profile is not None
    whole = plan.profile.length_m
    assert sum(day.stage.distance_m for day in plan.days) == pytest.approx(whole, abs=0.01)
    # 149 km were laid out; the receiver's wobble adds up to 1 %.
    assert whole == pytest.approx(149_000, rel=0.015)
    up = sum(day.stage.ascent_m for day in plan.days)
    down = sum(day.stage.descent_m for day in plan.days)
    assert up - down == pytest.approx(0, abs=15)  # a ring
    naive = sum(day.naive_ascent_m or 0.0 for day in plan.days)
    assert naive == pytest.approx(plan.profile.naive_ascent_m, rel=1e-6)
    assert naive > 1.3 * up


def test_the_sparser_way_finds_the_camps_where_the_full_one_does(plan: TripPlan) -> None:
    assert plan.profile is not None
    assert sparser(plan.profile).point_m.size < plan.profile.point_m.size
    camps = demo_walk(np.random.default_rng(SEED)).places
    exact = [stage.distance_m for stage in stages_at_camps(plan.profile, camps).stages]
    # Camps lie 35 m aside; chords of 15 m move their foot by less than ten metres.
    assert [day.stage.distance_m for day in plan.days] == pytest.approx(exact, abs=10.0)


def test_they_eat_8_breakfasts_9_lunches_and_8_dinners(plan: TripPlan) -> None:
    times = dict(plan.times())
    assert (times["breakfast"], times["lunch"], times["dinner"]) == (8, 9, 8)
    assert "breakfast" not in [meal.name for meal in plan.days[0].meals]
    assert "dinner" not in [meal.name for meal in plan.days[-1].meals]


def test_each_day_ends_by_daylight_in_may(plan: TripPlan) -> None:
    assert all(day.hours.arrival_hour < 18 for day in plan.days)
    assert all(day.arrival.early_hours < day.hours.under_way_hours for day in plan.days)


def test_their_need_is_that_of_hikers(plan: TripPlan) -> None:
    # Activity level of a hiking day: 2.1 to 2.5 in the models; these days are moderate ones.
    for one in plan.walkers:
        for need, day in zip(one.need.days[1:8], plan.days[1:8], strict=True):
            assert 1.7 < need.activity_level < 2.6
            assert day.frame.hours == 24.0
    kcal = {one.walker: one.need.kcal for one in plan.walkers}
    assert kcal["Tansy"] < kcal["Fell"] < kcal["Corrie"]  # 63, 70 and 82 kg


def test_the_pack_grows_at_the_hut_and_at_the_box(plan: TripPlan) -> None:
    for one in plan.walkers:
        jumps = [
            (a.day, round(a.to_m))
            for a, b in zip(one.load, one.load[1:], strict=False)
            if b.start_kg > a.end_kg + 0.7 and a.day == b.day
        ]
        days = {day for day, _ in jumps}
        assert 3 in days
        assert one.load[0].start_kg < 0.25 * 82
        mornings = {step.day: step.start_kg for step in one.load if step.from_m == 0}
        assert mornings[4] > mornings[3]  # four days' food from the hut
    assert [carry.from_name for carry in plan.carries] == [
        "start", "Cold Edge Hut shop", "Ellerstead box",
    ]  # fmt: skip
    assert [carry.to_day for carry in plan.carries] == [3, 7, 9]


def test_what_they_carry_is_what_clubs_carry(plan: TripPlan) -> None:
    # 700 to 1 000 g a person-day in several clubs' tables, 510 to 624 g of an experienced
    # guide; nine tenths of the need at 4.4 kcal/g lies between them.
    assert plan.spread.g_per_person_day is not None
    assert 510 < plan.spread.g_per_person_day < 1_000


def test_no_flame_burns_on_days_five_and_six(plan: TripPlan) -> None:
    assert [day.day for day in plan.days if day.fire == "no-flame"] == [5, 6]
    assert {heating.day for heating in plan.heatings} == {1, 2, 3, 4, 7, 8, 9}
    assert "nothing-hot" in {finding.rule for finding in plan.findings}
    # The file marks the ban and the document grades it: nothing is left to ask.
    assert "fire-ban-degree" not in {finding.rule for finding in plan.findings}


def test_water_boils_at_90_degrees_on_the_high_camp(plan: TripPlan) -> None:
    high = plan.camps[4]
    assert high.height_m == pytest.approx(2_900, abs=15)
    assert high.boiling is not None
    # Standard atmosphere and IAPWS: 90.3 degrees at 2 900 m (89.98 at 3 000 m).
    assert high.boiling.boils_c == pytest.approx(90.3, abs=0.2)
    assert high.cooking_factor == pytest.approx(1.96, abs=0.05)
    assert high.frost
    assert "gas-too-cold" not in {finding.rule for finding in plan.findings}


def test_one_canister_to_the_hut_and_one_from_it(plan: TripPlan) -> None:
    first, second = plan.fuel
    assert (first.from_name, second.from_name) == ("start", "Cold Edge Hut shop")
    for leg in plan.fuel:
        assert leg.canisters is not None
        assert leg.filled_g >= leg.fuel_g * 1.15
        assert 12 < leg.fuel_g / (leg.water_ml / 1000) < 20  # 15 g/L, common practice


def test_the_box_is_there_in_time(plan: TripPlan) -> None:
    box = plan.laid.stops[1]
    assert plan.trip.date_of(box.day) == date(2031, 5, 7)
    assert not {f.rule for f in plan.findings} & {"box-late", "box-gone", "box-undated"}


def test_food_and_need_have_settled(plan: TripPlan) -> None:
    assert plan.residual_g < 1e-6
    assert plan.food_rounds <= 8
    for one in plan.walkers:
        gap = sum(need.kcal for need in one.need.days) - sum(one.target_kcal)
        assert one.deficit.total_kcal == pytest.approx(gap, rel=1e-6)
