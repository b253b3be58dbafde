"""A log's figures and what they come to, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from fellfare.learn.belief import Belief, updated
from fellfare.learn.home import eaten_of
from fellfare.learn.liking import learn_liking
from fellfare.learn.log import (
    Boiled,
    Day,
    Eaten,
    Item,
    Left,
    Liked,
    TripLog,
    Walked,
    Weighed,
    checked,
)  # fmt: skip
from fellfare.mistake import Mistake, Mistakes


def log_of(table: str, key: str, value: float) -> TripLog:
    """A log with one row, good but for one figure."""
    rows: dict[str, Any] = {
        "left": {"walker": "A", "day": 1, "eating": "lunch", "home_g": 0.0},
        "liked": {"walker": "A", "dish": "d", "mark": 3.0},
        "weighed": {"walker": "A", "before_kg": 70.0, "after_kg": 69.0},
        "walked": {"walker": "A", "day": 1, "hours": 6.0},
        "boiled": {"kitchen": 1, "water_g": 500.0, "from_c": 10.0, "fuel_g": 10.0},
    }
    kinds: dict[str, Any] = {"left": Left, "liked": Liked, "weighed": Weighed, "walked": Walked,
                             "boiled": Boiled}  # fmt: skip
    one: Any = {table: (kinds[table](**{**rows[table], key: value}),)}
    return TripLog(**one)


@pytest.mark.parametrize(
    ("table", "key", "good", "bad"),
    [
        # a mark goes from 1 to 5, a day has 24 hours, kitchens are counted from 1
        ("liked", "mark", 1.0, 0.99), ("liked", "mark", 5.0, 5.01),
        ("walked", "hours", 24.0, 24.01), ("walked", "hours", 0.1, 0.0),
        ("boiled", "kitchen", 1, 0), ("left", "home_g", 0.0, -0.01),
        ("left", "carried_g", 5.0, 0.0), ("left", "home_g", 20_000.0, float("inf")),
        # somebody who walks weighs neither 9 kg nor 301 kg
        ("weighed", "before_kg", 10.0, 9.0), ("weighed", "before_kg", 300.0, 301.0),
        ("weighed", "after_kg", 10.0, 9.0), ("weighed", "after_kg", 300.0, 301.0),
        ("weighed", "error_kg", 0.1, 0.09), ("weighed", "error_kg", 5.0, 5.1),
    ],
)  # fmt: skip
def test_a_figure_of_the_log_lies_in_its_range(
    table: str, key: str, good: float, bad: float
) -> None:
    log = log_of(table, key, good)
    assert checked(log, ("A",), 3) is log
    with pytest.raises(Mistake, match="log-figure") as told:
        checked(log_of(table, key, bad), ("A",), 3)
    assert told.value.where == f"{table}[0].{key}"


def test_the_first_and_the_last_day_are_days_and_one_more_is_not() -> None:
    for day in (1, 3):
        checked(TripLog(days=(Day(walker="A", day=day, felt="enough"),)), ("A",), 3)
    for day in (0, 4):
        with pytest.raises(Mistake, match="log-day-unknown"):
            checked(TripLog(walked=(Walked(walker="A", day=day, hours=5),)), ("A",), 3)


def test_every_mistake_of_a_log_is_told_at_once_and_where() -> None:
    log = TripLog(
        left=(Left(walker="A", day=1, eating="lunch", home_g=60, carried_g=50),),
        liked=(Liked(walker="B", dish="d", mark=3),),
        days=(Day(walker="A", day=1, felt="enough"), Day(walker="A", day=2, felt="peckish")),  # type: ignore[arg-type] # a word of the reader's
    )  # fmt: skip
    with pytest.raises(Mistakes) as told:
        checked(log, ("A",), 3)
    assert [(one.code, one.where) for one in told.value.each] == [
        ("log-walker-unknown", "liked[0].walker"),
        ("log-more-home", "left[0].home_g"),
        ("log-felt", "day[1].felt"),
    ]
    as_much = Left(walker="A", day=1, eating="lunch", home_g=50, carried_g=50)
    checked(TripLog(left=(as_much,)), ("A",), 3)


PLANNED = tuple(
    Item(walker=walker, day=day, eating=eating, dish=dish, mass_g=mass, energy_kcal=4.0 * mass)
    for walker, day, eating, dish, mass in [
        ("A", 1, "lunch", "cakes", 100.0), ("A", 1, "lunch", "cheese", 50.0),
        ("A", 1, "dinner", "pot", 200.0), ("A", 2, "lunch", "cakes", 100.0),
        ("B", 1, "lunch", "cakes", 100.0), ("B", 1, "dinner", "", 0.0),
    ]
)  # fmt: skip


def test_what_came_home_is_shared_out_by_mass() -> None:
    log = TripLog(left=(Left(walker="A", day=1, eating="lunch", home_g=30.0),))
    rows = eaten_of(log, PLANNED)
    assert [(row.carried_g, row.home_g) for row in rows] == [
        (100, pytest.approx(20)), (50, pytest.approx(10)), (200, 0), (100, 0), (100, 0),
    ]  # fmt: skip
    assert rows[0].eaten_kcal == pytest.approx(400 * 0.8)


def test_carried_otherwise_than_planned_moves_mass_and_energy_alike() -> None:
    log = TripLog(
        rest_eaten=False,
        left=(
            Left(walker="A", day=1, eating="lunch", home_g=30.0, carried_g=300.0),
            Left(walker="A", day=1, eating="dinner", dish="pot", home_g=200.0),
        ),
    )
    rows = eaten_of(log, PLANNED)  # nothing is known of the rest: three items
    told = [(row.dish, row.carried_g, row.home_g, row.energy_kcal) for row in rows]
    assert told == [
        ("cakes", pytest.approx(200), pytest.approx(20), pytest.approx(800)),
        ("cheese", pytest.approx(100), pytest.approx(10), pytest.approx(400)),
        ("pot", 200, 200, 800),
    ]


def test_two_rows_of_one_item_add_and_more_than_all_is_refused() -> None:
    twice = (Left(walker="A", day=2, eating="lunch", home_g=30.0),) * 2
    rows = eaten_of(TripLog(left=twice), PLANNED)
    assert [row.home_g for row in rows if row.walker == "A" and row.day == 2] == [60.0]
    all_of_it = TripLog(left=(Left(walker="A", day=2, eating="lunch", home_g=100.0),))
    assert sum(row.home_g for row in eaten_of(all_of_it, PLANNED)) == 100.0
    with pytest.raises(Mistake, match="log-more-home"):
        eaten_of(TripLog(left=(Left(walker="A", day=2, eating="lunch", home_g=100.1),)), PLANNED)


@pytest.mark.parametrize(("home_g", "left"), [(50.0, 1), (49.9, 0)])
def test_half_left_counts_as_a_low_mark(home_g: float, left: int) -> None:
    row = Eaten(walker="A", day=1, eating="lunch", dish="d", carried_g=100.0, home_g=home_g,
                energy_kcal=400.0)  # fmt: skip
    found = learn_liking([Liked(walker="A", dish="d", mark=5)], [row])
    assert [(one.marks, one.left) for one in found] == [(1, left)]
    # docs/learn.md: 3 ± 0.8, a mark to 0.9, left half or more a 2 to 1.5; precisions add
    weights = [(3.0, 0.8), (5.0, 0.9)] + [(2.0, 1.5)] * left
    precision = sum(sd**-2 for _, sd in weights)
    assert found[0].liking.mean == pytest.approx(sum(x / sd**2 for x, sd in weights) / precision)
    assert found[0].liking.sd == pytest.approx(precision**-0.5)


@pytest.mark.parametrize(
    ("seen", "sd"), [(1.0, 0.0), (1.0, -1.0), (float("nan"), 0.1), (1.0, float("inf"))]
)
def test_an_observation_without_a_true_error_is_refused(seen: float, sd: float) -> None:
    with pytest.raises(Mistake, match="observation-out-of-range"):
        updated(Belief(1.0, 0.1), seen, sd)
