"""The food of the next trip: nobody hungry is cut by any way, nothing moves too far at once."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.files.demo_documents import write_demo
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_patch import patched
from fellfare.files.trip_toml import read_ground, read_trip, trip_of_text, trip_text
from fellfare.learn.bounds import FOOD_STEP
from fellfare.learn.lessons import Lessons, items_of_plan, lessons_of
from fellfare.learn.log import Boiled, Day, Felt, Left, TripLog, Walked, Weighed
from fellfare.learn.next_trip import next_trip
from fellfare.learn.said import said_of
from fellfare.mistake import Mistake
from fellfare.trip.ground import Ground
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.trip import Trip

PANTRY = shipped_pantry()
MASS: Final = {"Tansy": 63.0, "Corrie": 82.0, "Fell": 70.0}


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> tuple[TripPlan, Ground]:
    path = tmp_path_factory.mktemp("demo")
    write_demo(path)
    file = read_trip(path / "trip.toml")
    ground = read_ground(file)
    return plan_trip(file.trip, ground), ground


def carried(plan: TripPlan, name: str) -> dict[tuple[int, str], float]:
    """Energy that one walker carries, by day and eating time, straight from the plan."""
    walker = next(one for one in plan.walkers if one.walker == name)
    return {
        (day.day, meal.name): kcal * meal.share
        for day, kcal in zip(plan.days, walker.target_kcal, strict=True)
        for meal in day.meals
        if not meal.bought
    }


def hungry(name: str, *days: int, felt: Felt = "hungry") -> tuple[Day, ...]:
    return tuple(Day(walker=name, day=day, felt=felt) for day in days)


def left(plan: TripPlan, name: str, share: float, *eating: str) -> tuple[Left, ...]:
    return tuple(
        Left(walker=item.walker, day=item.day, eating=item.eating, home_g=share * item.mass_g)
        for item in items_of_plan(plan)
        if item.walker == name and (not eating or item.eating in eating)
    )


def test_hungry_and_yet_heavier_is_water_and_cuts_nothing(there: tuple[TripPlan, Ground]) -> None:
    """A reader's case: hungry on two days, 2 kg heavier by a good scale; the walking energy fell
    by 30 % and the next trip's food by 3.2 %."""
    plan, ground = there
    log = TripLog(days=(*hungry("Corrie", 5), *hungry("Corrie", 6, felt="very hungry")),
                  weighed=(Weighed(walker="Corrie", before_kg=80, after_kg=82,
                                   error_kg=0.3),))  # fmt: skip
    lessons = lessons_of(log, plan, PANTRY)
    made = next_trip(plan.trip, lessons, ground)
    assert made.trip.walkers[1].energy_factor >= plan.trip.walkers[1].energy_factor
    before, after = carried(plan, "Corrie"), carried(plan_trip(made.trip, ground), "Corrie")
    assert all(after[key] >= before[key] for key in before)
    told = " ".join(said_of(lessons.walkers[1], made))
    assert "that is water" in told
    assert "weighed as that (± 2 kg)" in told
    assert "not lowered for who was hungry" in told
    # without the hunger the same gain is news of a smaller need, held to its step
    fed = lessons_of(replace(log, days=()), plan, PANTRY)
    assert fed.walkers[1].energy is not None
    assert not fed.walkers[1].energy.water
    corrected = next_trip(plan.trip, fed, ground).trip.walkers[1]
    assert corrected.energy_factor == pytest.approx(0.85, abs=1e-3)


logs = st.fixed_dictionaries(
    {
        "left": st.lists(st.tuples(st.sampled_from(sorted(MASS)), st.floats(0, 0.99),
                                   st.sampled_from(["breakfast", "lunch", "snack", "dinner"])),
                         max_size=4, unique_by=lambda one: (one[0], one[2])),
        "hungry": st.lists(st.tuples(st.sampled_from(sorted(MASS)), st.integers(1, 9)), max_size=3,
                           unique=True),
        "mass": st.lists(st.tuples(st.sampled_from(sorted(MASS)), st.floats(-0.10, 0.05)),
                         max_size=3, unique_by=lambda one: one[0]),
        "pace": st.lists(st.tuples(st.sampled_from(sorted(MASS)), st.integers(2, 8),
                                   st.floats(0.4, 2.5)), max_size=3),
        "fuel": st.lists(st.floats(6.5, 20.0), max_size=2),
    }
)  # fmt: skip


def log_of(plan: TripPlan, drawn: dict[str, list[Any]]) -> TripLog:
    """Rows as drawn; hours and masses over those of the plan."""
    need = {walker.walker: walker.need.days for walker in plan.walkers}
    return TripLog(
        left=tuple(
            row for name, share, eating in drawn["left"] for row in left(plan, name, share, eating)
        ),
        days=tuple(row for name, day in drawn["hungry"] for row in hungry(name, day)),
        weighed=tuple(
            Weighed(walker=name, before_kg=MASS[name], after_kg=MASS[name] * (1 + gain),
                    error_kg=0.3)
            for name, gain in drawn["mass"]
        ),
        walked=tuple(
            Walked(walker=name, day=day, hours=min(times * need[name][day - 1].moving_hours, 24.0))
            for name, day, times in drawn["pace"]
            if need[name][day - 1].moving_hours > 0
        ),
        boiled=tuple(
            Boiled(kitchen=1, water_g=500, from_c=10, fuel_g=grams) for grams in drawn["fuel"]
        ),
    )  # fmt: skip


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(drawn=logs)
def test_whatever_is_written_down_the_food_keeps_its_step(
    there: tuple[TripPlan, Ground], drawn: dict[str, list[Any]]
) -> None:
    plan, ground = there
    lessons = lessons_of(log_of(plan, drawn), plan, PANTRY)
    made = next_trip(plan.trip, lessons, ground)
    text = trip_text(plan.trip)
    assert trip_of_text(patched(text, plan.trip, made.trip), Path("x.toml")).trip == made.trip
    paced = _at_the_learnt_pace(plan.trip, made.trip)
    was, now = plan_trip(paced, ground), plan_trip(made.trip, ground)
    for lesson, moved in zip(lessons.walkers, made.walkers, strict=True):
        before, after = carried(was, lesson.walker), carried(now, lesson.walker)
        for key in before.keys() & after.keys():
            over = after[key] / before[key]
            assert 1 - FOOD_STEP - 2e-4 <= over <= 1 + FOOD_STEP + 2e-4
            if lesson.no_cut:
                assert over >= 1 - 1e-9
        # what is told is what the plan carries
        assert moved.after_kcal == pytest.approx(sum(after.values()))
        if lesson.no_cut:
            assert moved.after_kcal >= sum(carried(plan, lesson.walker).values())
        for meal in moved.meals:
            whole = [sum(kcal for (_, eating), kcal in one.items() if eating == meal.eating)
                     for one in (before, after)]  # fmt: skip
            assert meal.change == pytest.approx(whole[1] / whole[0] - 1, abs=2e-3)


def _at_the_learnt_pace(before: Trip, after: Trip) -> Trip:
    walkers = tuple(
        replace(was, pace_factor=now.pace_factor, pace_factor_sd=now.pace_factor_sd)
        for was, now in zip(before.walkers, after.walkers, strict=True)
    )
    return replace(before, walkers=walkers, kitchens=after.kitchens)


def test_what_is_told_of_each_walker_is_what_the_document_plans(
    there: tuple[TripPlan, Ground],
) -> None:
    """A reader's case: one walker's lunches came home, and the others' food moved untold."""
    plan, ground = there
    lessons = lessons_of(TripLog(left=left(plan, "Tansy", 0.4, "lunch")), plan, PANTRY)
    made = next_trip(plan.trip, lessons, ground)
    now = plan_trip(made.trip, ground)
    for lesson in lessons.walkers:
        before, after = carried(plan, lesson.walker), carried(now, lesson.walker)
        lunch = [sum(kcal for (_, eating), kcal in one.items() if eating == "lunch")
                 for one in (before, after)]  # fmt: skip
        change = round(100 * (lunch[1] / lunch[0] - 1))
        assert change < 0
        told = said_of(lesson, made)
        assert any(line.startswith(f"Next trip's lunch −{-change} %") for line in told)
        assert "What was carried fitted: nothing is changed." not in told
    # one of them hungry: his lunch is not cut for what another brought home
    log = TripLog(left=left(plan, "Tansy", 0.4, "lunch"), days=hungry("Fell", 4))
    made = next_trip(plan.trip, lessons_of(log, plan, PANTRY), ground)
    before, after = carried(plan, "Fell"), carried(plan_trip(made.trip, ground), "Fell")
    assert all(after[key] >= before[key] for key in before)


def test_who_plans_by_need_alone_is_not_cut_and_told(there: tuple[TripPlan, Ground]) -> None:
    plan, ground = there
    trip = replace(plan.trip, rules=replace(plan.trip.rules, follow_appetite=False))
    alone = plan_trip(trip, ground)
    need = alone.walkers[2].need.days
    log = TripLog(
        days=hungry("Fell", 3, 4),
        walked=tuple(Walked(walker="Fell", day=day, hours=0.7 * need[day - 1].moving_hours)
                     for day in (2, 3, 4)),
        boiled=(Boiled(kitchen=1, water_g=500, from_c=10, fuel_g=7.0),),
    )  # fmt: skip
    lessons = lessons_of(log, alone, PANTRY)
    made = next_trip(trip, lessons, ground)
    now = plan_trip(made.trip, ground)
    assert sum(carried(now, "Fell").values()) >= sum(carried(alone, "Fell").values())
    assert "follow_appetite" in " ".join(said_of(lessons.walkers[2], made))


def test_another_trip_is_held_against_its_own_figures(there: tuple[TripPlan, Ground]) -> None:
    plan, ground = there
    log = TripLog(days=hungry("Corrie", 5, 6),
                  weighed=(Weighed(walker="Corrie", before_kg=82, after_kg=82.2),))  # fmt: skip
    lessons = lessons_of(log, plan, PANTRY)
    tansy, corrie, fell = plan.trip.walkers
    other = replace(plan.trip, walkers=(tansy, replace(corrie, energy_factor=1.3), fell))
    made = next_trip(other, lessons, ground)
    assert made.trip.walkers[1].energy_factor >= 1.3
    told = " ".join(said_of(lessons.walkers[1], made))
    assert "had walking energy 1.30; it becomes 1.30" in told


def test_who_does_not_walk_the_next_trip_moves_nothing_there(
    there: tuple[TripPlan, Ground],
) -> None:
    plan, ground = there
    lessons = lessons_of(TripLog(left=left(plan, "Tansy", 0.4, "lunch")), plan, PANTRY)
    other = trip_of_text(trip_text(plan.trip).replace("Tansy", "Ada"), Path("other.toml")).trip
    made = next_trip(other, lessons, ground)
    assert made.trip == other
    assert said_of(lessons.walkers[0], made)[1] == (
        "Tansy does not walk the next trip: nothing is corrected there."
    )
    strangers = replace(lessons, walkers=lessons.walkers[:1])
    with pytest.raises(Mistake, match="no-common-walker"):
        next_trip(other, strangers, ground)


def test_hunger_is_heard_where_nobody_noted_what_came_home(
    there: tuple[TripPlan, Ground],
) -> None:
    plan, ground = there
    hunger = TripLog(rest_eaten=False, days=hungry("Fell", 4, 5))
    made = next_trip(plan.trip, lessons_of(hunger, plan, PANTRY), ground)
    assert [one.change > 0.03 for one in made.walkers] == [False, False, True]
    too_much = TripLog(
        rest_eaten=False,
        days=(*hungry("Fell", 4, felt="too much"), *hungry("Fell", 5, felt="too much")),
    )
    made = next_trip(plan.trip, lessons_of(too_much, plan, PANTRY), ground)
    assert made.trip == plan.trip


def test_a_usual_value_come_back_to_is_left_out_again(there: tuple[TripPlan, Ground]) -> None:
    plan, _ = there
    tansy, *others = plan.trip.walkers
    slow = replace(plan.trip, walkers=(replace(tansy, pace_factor=0.8), *others))
    back = patched(trip_text(slow), slow, plan.trip)
    assert trip_of_text(back, Path("x.toml")).trip == plan.trip


def test_nothing_learnt_is_the_same_trip(there: tuple[TripPlan, Ground]) -> None:
    plan, ground = there
    nothing = Lessons(walkers=(), stoves=(), soaks=(), dishes=(), by_dish=False)
    made = next_trip(plan.trip, nothing, ground)
    assert made.trip == plan.trip
    assert all(one.change == 0 for one in made.walkers)
    assert made.of("Nobody") is None
