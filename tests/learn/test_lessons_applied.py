"""Lessons put into the next trip, worked by hand on lessons made by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from fellfare.files.demo_documents import write_demo
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.learn.appetite import Appetite
from fellfare.learn.applied import with_lessons
from fellfare.learn.belief import Belief
from fellfare.learn.energy import Balance as EnergyBalance
from fellfare.learn.energy import EnergyLearnt, learn_energy
from fellfare.learn.kitchen import StoveLearnt, learn_stove
from fellfare.learn.lessons import (
    Lessons,
    MealLesson,
    WalkerLesson,
    items_of_plan,
    lessons_of,
)
from fellfare.learn.log import Boiled, Day, Left, TripLog, Walked, Weighed
from fellfare.learn.next_trip import MealMoved, NextTrip, WalkerMoved
from fellfare.learn.pace import learn_pace
from fellfare.learn.said import said_of
from fellfare.mistake import Mistake
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.trip import Trip
from fellfare.trip.way import Way
from fellfare.trip.wishes import Eating
from fellfare.walk.walker import AppetiteStep, Walker

PANTRY = shipped_pantry()


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> TripPlan:
    path = tmp_path_factory.mktemp("demo")
    write_demo(path)
    file = read_trip(path / "trip.toml")
    return plan_trip(file.trip, read_ground(file))


def meal(eating: str, change: float, **more: Any) -> MealLesson:
    given: dict[str, Any] = {
        "carried_g": 1000.0, "home_g": 0.0, "early_carried_g": 400.0, "early_home_g": 0.0,
        "early_change": change, "wish": Belief(change, 0.1),
    }  # fmt: skip
    return MealLesson(eating=eating, change=change, **{**given, **more})


def lesson(name: str, *meals: MealLesson, **more: Any) -> WalkerLesson:
    given: dict[str, Any] = {
        "carried_g": sum(one.carried_g for one in meals),
        "home_g": sum(one.home_g for one in meals), "eaten_kcal": 0.0, "early_change": 0.0,
        "change": 0.0, "no_cut": "", "energy": None, "pace": None, "lost_kg": None,
        "appetite": Appetite(walker=name, meals=(), mean=(0.0, 0.0),
                             covariance=((1.0, 0.0), (0.0, 1.0)), items=0, felt_days=0),
    }  # fmt: skip
    return WalkerLesson(walker=name, meals=meals, **{**given, **more})


def lessons(*walkers: WalkerLesson) -> Lessons:
    return Lessons(walkers=walkers, stoves=(), soaks=(), dishes=(), by_dish=False)


def walker(name: str, **more: Any) -> Walker:
    return Walker(name=name, sex="female", age_y=40, height_cm=170, mass_kg=65, base_pack_kg=8,
                  **more)  # fmt: skip


def trip(*walkers: Walker, **more: Any) -> Trip:
    return Trip(title="x", walkers=walkers, way=Way(), **more)


CURVE = (AppetiteStep(from_day=1, share=0.9), AppetiteStep(from_day=6, share=1.1))


def test_early_days_and_late_ones_are_corrected_apart() -> None:
    learnt = lesson("A", meal("lunch", 0.0), early_change=-0.10, change=0.05)
    found = with_lessons(trip(walker("A", appetite=CURVE)), lessons(learnt))
    # by hand: days 1 to 3 at 0.9 less a tenth; from day 4 at 0.9 and from day 6 at 1.1, each
    # a twentieth more
    assert [(step.from_day, step.share) for step in found.walkers[0].appetite] == [
        (1, 0.81), (4, 0.945), (6, 1.155),
    ]  # fmt: skip


def test_a_step_that_changes_nothing_is_not_written() -> None:
    level = (AppetiteStep(from_day=1, share=1.0),)
    learnt = lesson("A", meal("lunch", 0.0), early_change=-0.05, change=-0.05)
    found = with_lessons(trip(walker("A", appetite=level)), lessons(learnt))
    assert [(step.from_day, step.share) for step in found.walkers[0].appetite] == [(1, 0.95)]


@pytest.mark.parametrize(("share", "change", "after"), [(0.21, -0.15, 0.2), (1.95, 0.15, 2.0)])
def test_appetite_stays_between_a_fifth_and_twice(
    share: float, change: float, after: float
) -> None:
    learnt = lesson("A", meal("lunch", 0.0), early_change=change, change=change)
    found = with_lessons(
        trip(walker("A", appetite=(AppetiteStep(from_day=1, share=share),))), lessons(learnt)
    )
    assert [step.share for step in found.walkers[0].appetite] == [after]


def test_nothing_carried_teaches_no_appetite_and_others_stay() -> None:
    learnt = lesson("A", early_change=-0.1, change=-0.1)
    party = trip(walker("A", appetite=CURVE), walker("B", appetite=CURVE))
    assert with_lessons(party, lessons(learnt)) == party


def test_shares_move_by_the_partys_mean_shift_and_keep_their_sum() -> None:
    times = (Eating(name="breakfast", hour=7, share=0.3), Eating(name="lunch", hour=12, share=0.3),
             Eating(name="dinner", hour=18))  # fmt: skip
    one = lesson("A", meal("lunch", -0.12), meal("dinner", 0.0), change=-0.02)
    two = lesson("B", meal("lunch", -0.02), change=-0.02)
    found = with_lessons(trip(walker("A"), walker("B"), eating=times), lessons(one, two))
    # by hand: lunch moves by the mean of -0.10 and 0; dinner (usual share 0.34) by 0.02
    moved = {"breakfast": 0.3, "lunch": 0.3 * 0.95, "dinner": 0.34 * 1.02}
    scale = 0.94 / sum(moved.values())
    assert {time.name: time.share for time in found.eating} == {
        name: pytest.approx(share * scale, abs=5e-5) for name, share in moved.items()
    }
    assert [time.hour for time in found.eating] == [7, 12, 18]
    second = with_lessons(trip(walker("A"), eating=(Eating(name="tea"),)), lessons(one))
    assert second.eating == (Eating(name="tea"),)  # no share of its own, and no usual one


def test_walking_factor_and_pace_are_kept_in_their_range() -> None:
    def after(mean: float, pace: float) -> Walker:
        learnt = EnergyLearnt(before=Belief(1.0, 0.15), after=Belief(mean, 0.1234),
                              seen=Belief(mean, 0.2))  # fmt: skip
        told = lesson("A", energy=learnt, pace=((1.0, 0.2), (pace, 0.0567)))
        return with_lessons(trip(walker("A")), lessons(told)).walkers[0]

    usual = after(1.1, 0.9)
    assert (usual.energy_factor, usual.energy_factor_sd) == (1.1, 0.123)
    assert (usual.pace_factor, usual.pace_factor_sd) == (0.9, 0.057)
    # docs/learn.md: 15 % of the walking energy and 25 % of the pace at once; the way that is not
    # gone is doubt, up to the 0.5 that a document takes
    assert (after(0.1, 0.1).energy_factor, after(0.1, 0.1).pace_factor) == (0.85, 0.75)
    assert (after(9.0, 9.0).energy_factor, after(9.0, 9.0).pace_factor) == (1.15, 1.25)
    assert after(0.7, 0.9).energy_factor_sd == pytest.approx(math.hypot(0.1234, 0.15), abs=5e-4)
    assert after(0.1, 0.9).energy_factor_sd == 0.5
    short = EnergyLearnt(before=Belief(1.0, 0.15), after=Belief(1.3, 0.1), seen=None)
    party = trip(walker("A"))
    assert with_lessons(party, lessons(lesson("A", energy=short))) == party


def test_a_stove_is_corrected_in_its_own_kitchen(plan: TripPlan) -> None:
    stove = StoveLearnt(kitchen=1, before=Belief(0.5, 0.1), after=Belief(0.45678, 0.05), boils=1,
                        findings=(), stove="gas-screened", fuel="gas")  # fmt: skip
    found = with_lessons(plan.trip, replace(lessons(), stoves=(stove,)))
    assert found.kitchens[0].efficiency == 0.457
    assert found.kitchens[1:] == plan.trip.kitchens[1:]
    # another stove in the same place of another trip is another stove
    other = replace(lessons(), stoves=(replace(stove, stove="spirit", fuel="ethanol"),))
    assert with_lessons(plan.trip, other) == plan.trip


def test_boils_of_another_kitchen_teach_nothing() -> None:
    mine = Boiled(kitchen=1, water_g=500, from_c=12, fuel_g=8)
    other = Boiled(kitchen=2, water_g=500, from_c=12, fuel_g=15)
    alone = learn_stove(1, "gas-screened", "isobutane", None, [mine])
    assert learn_stove(1, "gas-screened", "isobutane", None, [mine, other]) == alone
    assert alone.boils == 1
    # an end that is given is used: half the heat for the same fuel is half the efficiency
    half = learn_stove(
        1,
        "gas-screened",
        "isobutane",
        None,
        [Boiled(kitchen=1, water_g=500, from_c=12, fuel_g=8, to_c=55.5)],
    )
    assert half.after.mean < alone.after.mean
    own = learn_stove(1, "gas-screened", "isobutane", 0.6, [])
    assert (own.before.mean, own.after) == (0.6, own.before)


def test_a_kitchen_without_a_stove_has_no_boils(plan: TripPlan) -> None:
    kitchens = plan.trip.kitchens
    cold = next(at for at, one in enumerate(kitchens, 1) if one.stove is None)
    for number in (cold, len(kitchens) + 1):
        boil = Boiled(kitchen=number, water_g=500, from_c=12, fuel_g=8)
        with pytest.raises(Mistake, match="log-kitchen-unknown"):
            lessons_of(TripLog(boiled=(boil,)), plan, PANTRY)
    hot = next(at for at, one in enumerate(kitchens, 1) if one.stove is not None)
    boil = Boiled(kitchen=hot, water_g=500, from_c=12, fuel_g=12)
    stoves = lessons_of(TripLog(boiled=(boil,)), plan, PANTRY).stoves
    assert [(one.kitchen, one.boils) for one in stoves] == [(hot, 1)]


def left(plan: TripPlan, name: str, share: float) -> tuple[Left, ...]:
    return tuple(
        Left(walker=item.walker, day=item.day, eating=item.eating, home_g=share * item.mass_g)
        for item in items_of_plan(plan)
        if item.walker == name
    )


def test_hunger_of_one_is_no_hunger_of_another_and_enough_is_none(plan: TripPlan) -> None:
    rows = left(plan, "Tansy", 0.4)
    for days in (
        tuple(Day(walker="Corrie", day=day, felt="hungry") for day in (2, 3, 4)),
        tuple(Day(walker="Tansy", day=day, felt="too much") for day in (2, 3, 4)),
    ):
        tansy = lessons_of(TripLog(left=rows, days=days), plan, PANTRY).walkers[0]
        assert tansy.no_cut == ""
        assert tansy.change < 0
    for felt in ((2,), (2, 3)):
        days = tuple(Day(walker="Tansy", day=day, felt="hungry") for day in felt)
        tansy = lessons_of(TripLog(left=rows, days=days), plan, PANTRY).walkers[0]
        assert tansy.no_cut.startswith("hungry on ")
        assert tansy.change >= 0


@pytest.mark.parametrize(("after_kg", "cut"), [(62.4, False), (62.5, True)])
def test_a_fortieth_of_body_mass_lost_stops_every_cut(
    plan: TripPlan, after_kg: float, cut: bool
) -> None:
    # 1.6 kg of 64 are the 2.5 % of docs/learn.md
    log = TripLog(left=left(plan, "Tansy", 0.4),
                  weighed=(Weighed(walker="Tansy", before_kg=64, after_kg=after_kg),))  # fmt: skip
    tansy = lessons_of(log, plan, PANTRY).walkers[0]
    assert (tansy.no_cut == "") == cut
    assert (tansy.change < 0) == cut


def test_sums_and_changes_of_a_walker_are_those_of_the_meals(plan: TripPlan) -> None:
    tansy = lessons_of(TripLog(left=left(plan, "Tansy", 0.4)), plan, PANTRY).walkers[0]
    items = [item for item in items_of_plan(plan) if item.walker == "Tansy"]
    assert tansy.carried_g == pytest.approx(sum(item.mass_g for item in items))
    assert tansy.home_g == pytest.approx(0.4 * tansy.carried_g)
    assert tansy.eaten_kcal == pytest.approx(0.6 * sum(item.energy_kcal for item in items))
    for field in ("carried_g", "home_g"):
        assert sum(getattr(one, field) for one in tansy.meals) == pytest.approx(
            getattr(tansy, field)
        )
    early = sum(item.mass_g for item in items if item.day <= 3)
    assert sum(one.early_carried_g for one in tansy.meals) == pytest.approx(early)
    assert sum(one.early_home_g for one in tansy.meals) == pytest.approx(0.4 * early)
    mean = sum(one.change * one.carried_g for one in tansy.meals) / tansy.carried_g
    assert tansy.change == pytest.approx(mean)
    assert all(-0.15 <= one.change <= 0 for one in tansy.meals)
    mean = sum(one.early_change * one.carried_g for one in tansy.meals) / tansy.carried_g
    assert tansy.early_change == pytest.approx(mean)
    for one in tansy.meals:
        early, late = (tansy.appetite.wish(one.eating, early=word).mean for word in (True, False))
        assert early != late
        assert one.early_change == min(max(early, -0.15), 0.0)
        assert one.change == min(max(late, -0.15), 0.0)


def test_pace_takes_the_days_that_were_timed_and_no_other_walkers(plan: TripPlan) -> None:
    planned = plan.walkers[0].need.days[1].moving_hours
    log = TripLog(walked=(Walked(walker="Tansy", day=2, hours=1.25 * planned),
                          Walked(walker="Corrie", day=2, hours=2 * planned)))  # fmt: skip
    tansy = lessons_of(log, plan, PANTRY).walkers[0]
    body = plan.trip.walkers[0]
    assert tansy.pace == (
        (body.pace_factor, body.pace_factor_sd),
        learn_pace(body.pace_factor, body.pace_factor_sd, [(planned, 1.25 * planned)]),
    )
    assert lessons_of(TripLog(), plan, PANTRY).walkers[0].pace is None


@pytest.mark.parametrize("timed", [(0.0, 5.0), (24.1, 5.0), (5.0, 0.0), (5.0, 24.1)])
def test_hours_of_no_day_are_refused(timed: tuple[float, float]) -> None:
    with pytest.raises(Mistake, match="hours-out-of-range"):
        learn_pace(1.0, 0.2, [timed])
    assert learn_pace(1.0, 0.2, [(24.0, 24.0)])[0] == pytest.approx(1.0)
    assert learn_pace(0.9, 0.0, [timed]) == (0.9, 0.0)  # a pace known for sure stays


def test_from_four_days_on_a_balance_teaches() -> None:
    def seen(days: int, lost_kg: float = 0.5) -> bool:
        balance = EnergyBalance(days=days, eaten_kcal=9000, walking_kcal=5000, other_kcal=5000,
                                lost_kg=lost_kg, lost_error_kg=0.5)  # fmt: skip
        return learn_energy(balance, 1.0).seen is not None

    assert [seen(days) for days in (1, 3, 4)] == [False, False, True]
    assert seen(4, 50.0)
    for days, lost_kg in ((0, 0.5), (4, 50.1), (4, -50.1)):
        with pytest.raises(Mistake, match="balance-out-of-range"):
            seen(days, lost_kg)


def planned(name: str, *changes: tuple[str, float, float, float], after: float) -> NextTrip:
    """The next trip of one walker with 10 000 kcal before it."""
    party = trip(walker(name))
    meals = tuple(
        MealMoved(eating=eating, early_change=early, late_change=late, change=whole)
        for eating, early, late, whole in changes
    )
    moved = WalkerMoved(walker=name, before_kcal=10_000.0, paced_kcal=10_000.0, after_kcal=after,
                        meals=meals)  # fmt: skip
    return NextTrip(before=party, trip=party, walkers=(moved,), follows_appetite=True)


def test_what_is_said_of_little_and_of_much() -> None:
    quiet = lesson("A", meal("lunch", -0.004, home_g=5.0))
    still = planned("A", ("lunch", -0.004, -0.004, -0.004), after=9_996.0)
    assert said_of(quiet, still) == (
        "A brought 0 % of the food home.",
        "What was carried fitted: nothing is changed.",
    )
    cut = lesson("A", meal("lunch", -0.08, home_g=200.0, early_home_g=130.0),
                 meal("dinner", 0.0, home_g=10.0))  # fmt: skip
    # what the plan carries is told, not what the log alone asked for
    told = said_of(cut, planned("A", ("lunch", -0.07, -0.07, -0.07),
                                ("dinner", -0.05, 0.01, -0.02), after=9_750.0))  # fmt: skip
    assert told == (
        "A brought 10 % of the food home, mostly lunch on days 1 to 3.",
        "Next trip's lunch −7 %; what is believed: −8 % ± 13 %.",
        "Next trip's dinner −2 % (−5 % on days 1 to 3, +1 % after); it goes with the whole day's "
        "food.",
        "All food carried: 10 000 kcal become 9 750 kcal (−2.5 %).",
    )
    # spread over the days as the food was: no word of the first days
    even = lesson("A", meal("lunch", 0.0, home_g=200.0, early_home_g=120.0))
    assert said_of(even)[0] == "A brought 20 % of the food home, mostly lunch."
    all_early = meal("lunch", 0.0, home_g=200.0, early_home_g=200.0, early_carried_g=900.0)
    assert said_of(lesson("A", all_early))[0].endswith("mostly lunch.")
    why = lesson("A", meal("lunch", 0.0, home_g=10.0), no_cut="reason")
    assert said_of(why, still)[1:] == ("Nothing is cut: reason.",)


def test_what_is_said_of_the_body_and_the_pace() -> None:
    told = lesson(
        "A",
        energy=EnergyLearnt(before=Belief(1.0, 0.15), after=Belief(1.05, 0.14),
                            seen=Belief(1.3, 0.4)),
        pace=((1.0, 0.2), (0.8, 0.1)),
        lost_kg=1.2,
    )  # fmt: skip
    body, pace = said_of(told)
    assert body.startswith("Body mass changed by −1.2 kg.")
    assert "at 1.30 ± 0.40 times the model" in body
    assert "1.00 ± 0.15 becomes 1.05 ± 0.14." in body
    assert pace == "Pace factor 1.00 (± 20 %) becomes 0.80 (± 10 %)."
    short = lesson("A", lost_kg=1.2, energy=EnergyLearnt(
        before=Belief(1.0, 0.15), after=Belief(1.0, 0.15), seen=None))  # fmt: skip
    assert "under 4 days" in said_of(short)[0]
    assert said_of(lesson("A", lost_kg=1.2)) == ()
