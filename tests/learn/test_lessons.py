"""From a log to the next trip, over the demo's own trip."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from fellfare.cli import main
from fellfare.files.demo_documents import write_demo
from fellfare.files.log_toml import empty_log, log_text, read_log
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.learn.applied import with_lessons
from fellfare.learn.bounds import FOOD_STEP
from fellfare.learn.lessons import items_of_plan, items_of_plates, lessons_of
from fellfare.learn.log import Day, Left, TripLog, Walked, Weighed
from fellfare.learn.next_trip import next_trip
from fellfare.learn.said import said_of
from fellfare.menu.answer import Plate, Portion
from fellfare.mistake import Mistake
from fellfare.trip.plan import TripPlan, plan_trip

PANTRY = shipped_pantry()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo")
    write_demo(path)
    return path


@pytest.fixture(scope="module")
def plan(folder: Path) -> TripPlan:
    file = read_trip(folder / "trip.toml")
    return plan_trip(file.trip, read_ground(file))


def lunches(plan: TripPlan, share: float) -> tuple[Left, ...]:
    return tuple(
        Left(walker=item.walker, day=item.day, eating="lunch", home_g=share * item.mass_g)
        for item in items_of_plan(plan)
        if item.eating == "lunch" and item.walker == "Tansy"
    )


def test_the_items_weigh_what_the_plan_carries(plan: TripPlan) -> None:
    items = items_of_plan(plan)
    for walker in plan.walkers:
        mass = sum(item.mass_g for item in items if item.walker == walker.walker)
        assert mass == pytest.approx(sum(walker.food_g), rel=1e-9)


def test_left_lunches_lower_lunch_and_little_else(plan: TripPlan, folder: Path) -> None:
    lessons = lessons_of(TripLog(left=lunches(plan, 0.35)), plan, PANTRY)
    tansy = next(one for one in lessons.walkers if one.walker == "Tansy")
    change = {meal.eating: meal.change for meal in tansy.meals}
    assert -FOOD_STEP <= change["lunch"] < -0.05
    assert change["lunch"] < change["dinner"] - 0.05
    file = read_trip(folder / "trip.toml")
    told = " ".join(said_of(tansy, next_trip(plan.trip, lessons, read_ground(file))))
    assert "mostly lunch" in told
    assert "±" in told
    other = next(one for one in lessons.walkers if one.walker == "Corrie")
    assert all(meal.change == 0 for meal in other.meals)  # eaten up, and no word of hunger


@pytest.mark.parametrize("why", ["lost", "hungry"])
def test_nothing_is_cut_for_who_was_hungry_or_lost_weight(plan: TripPlan, why: str) -> None:
    log = TripLog(left=lunches(plan, 0.5))
    if why == "lost":
        log = replace(log, weighed=(Weighed(walker="Tansy", before_kg=64, after_kg=61.8),))
    else:
        log = replace(log, days=tuple(Day(walker="Tansy", day=d, felt="hungry") for d in (5, 6)))
    tansy = lessons_of(log, plan, PANTRY).walkers[0]
    assert tansy.walker == "Tansy"
    assert tansy.no_cut
    assert all(meal.change >= 0 for meal in tansy.meals)
    assert tansy.change >= 0
    assert "Nothing is cut" in " ".join(said_of(tansy))


def test_the_next_trip_is_corrected_and_can_be_planned(plan: TripPlan, folder: Path) -> None:
    log = TripLog(
        left=lunches(plan, 0.4),
        weighed=(Weighed(walker="Tansy", before_kg=64, after_kg=63.6, error_kg=0.4),),
        walked=tuple(Walked(walker="Tansy", day=day, hours=9.0) for day in (2, 3, 5)),
    )
    lessons = lessons_of(log, plan, PANTRY)
    trip = with_lessons(plan.trip, lessons)
    before, after = plan.trip.walkers[0], trip.walkers[0]
    assert after.appetite_on(6) < before.appetite_on(6)
    assert after.energy_factor_sd is not None
    assert after.pace_factor != before.pace_factor
    assert after.pace_factor_sd < before.pace_factor_sd
    lunch = {time.name: time.share for time in trip.eating}["lunch"]
    assert lunch is not None
    assert lunch < 0.20
    assert sum(time.share or 0 for time in trip.eating) == pytest.approx(1.0, abs=1e-3)
    file = read_trip(folder / "trip.toml")
    again = plan_trip(trip, read_ground(file))
    assert sum(again.walkers[0].food_g) < sum(plan.walkers[0].food_g)


def test_an_empty_log_is_no_news_of_hunger(plan: TripPlan) -> None:
    lessons = lessons_of(TripLog(rest_eaten=False), plan, PANTRY)
    assert with_lessons(plan.trip, lessons) == plan.trip


@pytest.mark.parametrize(
    ("log", "code"),
    [
        (TripLog(left=(Left(walker="X", day=1, eating="lunch", home_g=1),)), "log-walker-unknown"),
        (TripLog(left=(Left(walker="Fell", day=40, eating="lunch", home_g=1),)), "log-day-unknown"),
        (TripLog(left=(Left(walker="Fell", day=2, eating="tea", home_g=1),)), "log-item-unknown"),
        (TripLog(left=(Left(walker="Fell", day=2, eating="lunch", home_g=9e3),)), "log-more-home"),
        (TripLog(left=(Left(walker="Fell", day=2, eating="lunch", home_g=-1),)), "log-figure"),
        (TripLog(left=(Left(walker="Fell", day=2, eating="lunch", home_g=float("nan")),)),
         "log-figure"),
        (TripLog(weighed=(Weighed(walker="Fell", before_kg=70, after_kg=0),)), "log-figure"),
    ],
)  # fmt: skip
def test_a_log_that_does_not_fit_is_told(plan: TripPlan, log: TripLog, code: str) -> None:
    with pytest.raises(Mistake, match=code):
        lessons_of(log, plan, PANTRY)


def test_a_log_goes_out_and_comes_back(tmp_path: Path) -> None:
    log = TripLog(
        title="x",
        left=(Left(walker="A", day=1, eating="lunch", home_g=12.5, dish="d"),),
        days=(Day(walker="A", day=1, felt="enough"),),
    )
    path = tmp_path / "log.toml"
    path.write_text(log_text(log))
    assert read_log(path).log == log


def test_the_empty_form_is_a_log(tmp_path: Path, plan: TripPlan) -> None:
    path = tmp_path / "log.toml"
    path.write_text(empty_log("A trip", items_of_plan(plan)))
    assert read_log(path).log == TripLog()


def test_the_command_tells_and_writes_the_next_trip(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    log = tmp_path / "log.toml"
    log.write_text(
        '[[left]]\nwalker = "Tansy"\nday = 2\neating = "lunch"\nhome_g = 60\n'
        '[[soaked]]\nfood = "bulgur"\nwater_c = 8\ndone_minutes = 70\n'
    )
    out = tmp_path / "next.toml"

    def run(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["fellfare", "learn", *words])
        with pytest.raises(SystemExit) as left:
            main()
        printed = capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err

    trip = str(folder / "trip.toml")
    status, text, _ = run(trip, str(log))
    assert status == 0
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "doctor" in text
    status, text, _ = run(trip, str(log), "--json", "--out", str(out))
    data = json.loads(text)
    assert data["walkers"][0]["home_g"] == pytest.approx(60)
    assert data["soaks"][0]["food"] == "bulgur"
    assert read_trip(out).trip.walkers[0].name == "Tansy"
    assert run(trip, str(log), "--out", str(out))[0] == 2  # it is there already
    log.write_text('[[left]]\nwalker = "Nobody"\nday = 2\neating = "lunch"\nhome_g = 60\n')
    status, _, err = run(trip, str(log))
    assert status == 2
    assert "log.toml:2" in err


def test_the_balance_of_a_trip_by_hand(plan: TripPlan) -> None:
    log = TripLog(weighed=(Weighed(walker="Corrie", before_kg=80, after_kg=79.3, error_kg=0.5),))
    lesson = lessons_of(log, plan, PANTRY).walkers[1]
    walker = plan.walkers[1]
    assert lesson.walker == walker.walker == "Corrie"
    assert lesson.lost_kg == pytest.approx(0.7)
    assert lesson.home_g == 0
    walking = sum(day.walking_kcal for day in walker.need.days)
    bought = sum(walker.target_kcal) - sum(walker.carried_kcal)
    eaten = sum(walker.carried_kcal) + bought
    assert lesson.eaten_kcal == pytest.approx(sum(walker.carried_kcal))
    assert lesson.energy is not None
    assert lesson.energy.seen is not None
    factor = plan.trip.walkers[1].energy_factor
    seen = (eaten + 7000 * 0.7 - (walker.need.kcal - walking)) / (walking / factor)
    assert lesson.energy.seen.mean == pytest.approx(seen)


def test_the_sentences_say_what_was_learnt(plan: TripPlan, folder: Path) -> None:
    log = TripLog(
        left=tuple(Left(walker="Tansy", day=day, eating="lunch", home_g=60.0) for day in (1, 2, 3)),
        weighed=(Weighed(walker="Tansy", before_kg=63, after_kg=62.8),),
        walked=(Walked(walker="Tansy", day=2, hours=6.0),),
    )
    ground = read_ground(read_trip(folder / "trip.toml"))
    lessons = lessons_of(log, plan, PANTRY)
    lesson = lessons.walkers[0]
    share = round(100 * 180 / lesson.carried_g)
    told = said_of(lesson, next_trip(plan.trip, lessons, ground))
    assert told[0] == f"Tansy brought {share} % of the food home, mostly lunch on days 1 to 3."
    lunch = next(meal for meal in lesson.meals if meal.eating == "lunch")
    assert lunch.early_home_g == lunch.home_g == pytest.approx(180)
    assert lunch.home_share == pytest.approx(180 / lunch.carried_g)
    half = round(100 * (lunch.wish.high - lunch.wish.low) / 2)
    assert any(f"± {half} %" in line and "lunch −" in line for line in told)
    assert any(line.startswith("Body mass changed by −0.2 kg") for line in told)
    assert any(line.startswith("Pace factor 1.00") for line in told)
    late = TripLog(
        left=tuple(Left(walker="Tansy", day=day, eating="lunch", home_g=60.0) for day in (6, 7, 8))
    )
    assert said_of(lessons_of(late, plan, PANTRY).walkers[0])[0].endswith("home, mostly lunch.")
    none = lessons_of(TripLog(), plan, PANTRY)
    nothing = said_of(none.walkers[0], next_trip(plan.trip, none, ground))
    assert nothing == (
        "Tansy brought 0 % of the food home.",
        "What was carried fitted: nothing is changed.",
    )


def test_lessons_of_a_menu_go_dish_by_dish(plan: TripPlan) -> None:
    plate = Plate(
        day=2,
        time="dinner (2)",
        dish="smoky-bean-rice-pot",
        shared=True,
        times=1,
        portions=(Portion(walker="Tansy", steps=20, mass_g=160.0, energy_kcal=700.0),),
    )
    items = items_of_plates((plate,))
    log = TripLog(
        left=(
            Left(walker="Tansy", day=2, eating="dinner", dish="smoky-bean-rice-pot", home_g=100.0),
        )
    )
    lessons = lessons_of(log, plan, PANTRY, items)
    assert lessons.by_dish
    assert lessons.walkers[0].eaten_kcal == pytest.approx(700 * 0.375)
    assert [dish.dish for dish in lessons.dishes] == ["smoky-bean-rice-pot"]
    wrong = TripLog(left=(Left(walker="Tansy", day=2, eating="dinner", dish="x", home_g=1.0),))
    with pytest.raises(Mistake, match="log-item-unknown"):
        lessons_of(wrong, plan, PANTRY, items)
