"""One dish on one day: fire rule, kitchen, water and clock, by hand."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fellfare.camp.timetable import Span
from fellfare.mistake import Mistake
from fellfare.trip.dish_day import DishDay, DishSteps, dish_on
from fellfare.trip.kit import Kitchen
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, FireRule, StageLine, WaterSource, Way
from fellfare.walk.walker import Walker

MAN = Walker(name="Rowan", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8)
GAS = Kitchen(walkers=("Rowan",), stove="gas-screened", fuel="gas")
WOOD = Kitchen(walkers=("Rowan",), stove="wood-stove", fuel="wood-20")
NONE = Kitchen(walkers=("Rowan",))
POUR = DishSteps(
    way="hot-pour", minutes=Span(early=8, late=10), cold_minutes=Span(early=40, late=60)
)
SOAK = DishSteps(way="cold-soak", minutes=Span(early=40, late=60))


def plan(
    kitchen: Kitchen = GAS, fire: FireRule | None = "none", *water: WaterSource, **way: Any
) -> TripPlan:
    stage = StageLine(distance_m=12_000)
    return plan_trip(
        Trip(
            title="x",
            walkers=(MAN,),
            way=Way(fire="none", day_c=14, night_c=5, **way),
            stages=(stage, stage),
            days=(DayWord(day=1, fire=fire),),
            kitchens=(kitchen,),
            water=water,
        )
    )


def dinner(made: TripPlan, steps: DishSteps, hold: float = 120.0) -> DishDay:
    return dish_on(made, made.days[0], "dinner", steps, kitchen=0, hold_minutes=hold)


@pytest.mark.parametrize(
    ("kitchen", "fire", "verdict"),
    [
        (GAS, "none", "can-be-made"),
        (GAS, "no-open-fire", "can-be-made"),
        (GAS, "gas-only", "can-be-made"),
        (GAS, "no-flame", "cold-instead"),
        (WOOD, "none", "can-be-made"),
        (WOOD, "no-open-fire", "cold-instead"),
        (WOOD, "gas-only", "cold-instead"),
        (NONE, "none", "cold-instead"),
    ],
)
def test_what_a_dish_does_under_the_rule_in_force(
    kitchen: Kitchen, fire: FireRule, verdict: str
) -> None:
    told = dinner(plan(kitchen, fire), POUR)
    assert told.verdict == verdict
    assert (told.reason == "") == (verdict == "can-be-made")
    hot_only = DishSteps(way="boil", minutes=Span(early=10, late=12))
    strict = dinner(plan(kitchen, fire), hot_only)
    assert strict.verdict == ("can-be-made" if verdict == "can-be-made" else "impossible")
    if verdict != "can-be-made":
        assert "no cold way" in strict.reason
        assert ("fire rule" in told.reason) == (kitchen is not NONE)


def test_the_soak_in_the_day_by_hand() -> None:
    # Dinner at its hour, long after arrival; water in camp is not told of: a tap at km 12.
    made = plan(NONE, "none", WaterSource(name="tap", day=1, at_m=12_000, reliability="sure"))
    meal = next(m for m in made.days[0].meals if m.name == "dinner")
    assert meal.hour is not None
    told = dinner(made, SOAK)
    at = {moment.what: moment.hour for moment in told.moments}
    assert at["wet"] == pytest.approx(meal.hour - 1)
    assert at["ready"] == pytest.approx(meal.hour)
    assert at["eat-by"] == pytest.approx(meal.hour + 1)
    assert [m.hour for m in told.moments] == sorted(m.hour for m in told.moments)


def test_an_empty_window_is_impossible_and_says_why() -> None:
    told = dinner(plan(NONE), DishSteps(way="cold-soak", minutes=Span(early=60, late=110)))
    assert told.verdict == "impossible"
    assert "110 min" in told.reason  # and 20 of eating are beyond 120
    assert {m.what for m in told.moments}.isdisjoint({"wet", "ready", "eat-by"})
    both = DishSteps(way="boil", cold_minutes=Span(early=60, late=110))
    assert "no stove" in dinner(plan(NONE), both).reason


def test_without_minutes_nothing_is_promised() -> None:
    told = dinner(plan(NONE), DishSteps(way="cold-soak"))
    assert (told.verdict, told.reason) == ("impossible", "nobody has told how long it soaks")
    assert dinner(plan(NONE), DishSteps(way="dry")).verdict == "can-be-made"


def test_the_stove_is_lit_for_the_hour_of_dinner() -> None:
    made = plan()
    meal = next(m for m in made.days[0].meals if m.name == "dinner")
    assert meal.hour is not None
    told = dinner(made, POUR)
    (cook,) = [m for m in told.moments if m.what == "cook"]
    assert cook.hour == pytest.approx(meal.hour - 10 / 60)


@given(st.floats(0, 200), st.floats(0, 100), st.floats(60, 240))
@settings(deadline=None, max_examples=50)
def test_the_last_bite_is_within_the_hold_or_it_is_impossible(
    low: float, more: float, hold: float
) -> None:
    made = _PLANNED
    told = dinner(made, DishSteps(way="cold-soak", minutes=Span(early=low, late=low + more)), hold)
    if low + more + 20 > hold:
        assert told.verdict == "impossible"
    if told.verdict == "impossible":
        return
    at = {moment.what: moment.hour for moment in told.moments}
    assert at["wet"] <= at["ready"] <= at["eat-by"] + 1e-9
    assert 60 * (at["eat-by"] - at["wet"]) == pytest.approx(hold)


_PLANNED = plan(NONE, "none", WaterSource(name="tap", day=1, at_m=12_000, reliability="sure"))


def test_a_meal_that_is_not_eaten_is_refused() -> None:
    made = plan()
    for eating in ("supper", "snack"):
        with pytest.raises(Mistake, match="unknown-eating-time"):
            dish_on(made, made.days[0], eating, SOAK, kitchen=0, hold_minutes=120)
