"""Which eating times fall into a walk that starts and ends within a day."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.walk.stages import Clock, EatingTime, StageRow, eaten_on, stages_from_table

THREE = (
    EatingTime(name="breakfast", hour=7.0),
    EatingTime(name="lunch", hour=12.5),
    EatingTime(name="dinner", hour=18.5),
)
SNACK = EatingTime(name="snack", every_walking_hours=2.0)


def count(days: int, clock: Clock, name: str) -> int:
    return sum(e.name == name for d in range(1, days + 1) for e in eaten_on(d, days, clock, 6.0))


def test_six_days_from_after_breakfast_to_before_dinner() -> None:
    # Counted by hand: breakfasts on days 2-6, lunches on 1-6, dinners on 1-5.
    clock = Clock(eating=THREE, start_hour=9.0, end_hour=17.0)
    assert [count(6, clock, name) for name in ("breakfast", "lunch", "dinner")] == [5, 6, 5]


@pytest.mark.parametrize(
    ("start", "end", "expected"),
    [
        (6.0, 20.0, [3, 3, 3]),  # whole days
        (14.0, 10.0, [2, 1, 2]),  # from an afternoon to a morning: lunch only in the middle
        (19.0, 6.0, [1, 1, 1]),  # a night in, a day, a night out
        (7.0, 18.5, [3, 3, 3]),  # on the stroke counts
    ],
)
def test_three_days_counted_by_hand(start: float, end: float, expected: list[int]) -> None:
    clock = Clock(eating=THREE, start_hour=start, end_hour=end)
    assert [count(3, clock, name) for name in ("breakfast", "lunch", "dinner")] == expected


def test_a_single_day_has_both_edges() -> None:
    clock = Clock(eating=THREE, start_hour=9.0, end_hour=17.0)
    assert [e.name for e in eaten_on(1, 1, clock, 6.0)] == ["lunch"]


def test_without_an_end_hour_the_walking_decides() -> None:
    clock = Clock(eating=THREE, walk_from_hour=8.0)
    assert [e.name for e in eaten_on(5, 5, clock, 4.0)] == ["breakfast"]
    assert [e.name for e in eaten_on(5, 5, clock, 5.0)] == ["breakfast", "lunch"]
    # Nothing known: the whole day, so that nobody goes hungry.
    assert [e.name for e in eaten_on(5, 5, clock, None)] == ["breakfast", "lunch", "dinner"]


@pytest.mark.parametrize(
    ("hours", "expected"),
    [(0.0, []), (1.9, []), (2.0, [1]), (6.0, [3]), (5.9, [2]), (None, [None])],
)
def test_snacks_come_with_the_hours_walked(hours: float | None, expected: list[int | None]) -> None:
    assert [e.count for e in eaten_on(2, 3, Clock(eating=(SNACK,)), hours)] == expected


def test_snacks_add_up_over_the_walk_and_stay_unknown_without_a_pace() -> None:
    rows = [StageRow(distance_m=12_000), StageRow(distance_m=0), StageRow(distance_m=9_000)]
    clock = Clock(eating=(*THREE, SNACK))
    at_4_km_h = stages_from_table(rows, clock=clock, pace=lambda d, g: d / 4000)
    assert at_4_km_h.times("snack") == 2  # 3 h: one; rest day: none; 2 h 15: one
    assert stages_from_table(rows, clock=clock).times("snack") is None
    assert at_4_km_h.times("tea") == 0


@given(st.integers(1, 20), st.floats(0, 24), st.floats(0, 24))
def test_no_eating_time_comes_more_often_than_there_are_days(
    days: int, start: float, end: float
) -> None:
    clock = Clock(eating=THREE, start_hour=start, end_hour=end)
    for time in THREE:
        assert days - 2 <= count(days, clock, time.name) <= days


@pytest.mark.parametrize(
    "fields",
    [{}, {"hour": 25.0}, {"hour": float("nan")}, {"every_walking_hours": 0.0},
     {"hour": 8.0, "every_walking_hours": 2.0}, {"hour": 8.0, "every_walking_hours": -1.0}],
)  # fmt: skip
def test_an_eating_time_needs_one_way_of_telling_when(fields: dict[str, float]) -> None:
    with pytest.raises(Mistake, match="eating-time"):
        EatingTime(name="tea", **fields)


@pytest.mark.parametrize("key", ["start_hour", "end_hour", "walk_from_hour"])
@pytest.mark.parametrize("hour", [-1.0, 24.1, float("nan")])
def test_hours_are_hours_of_the_day(key: str, hour: float) -> None:
    with pytest.raises(Mistake, match="clock-hour"):
        Clock(**{key: hour})  # type: ignore[arg-type]
