"""When to wet the jar: every arrival, every moment of the window."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.timetable import Span, WaterPoint, Wetting, clock, next_time, wetting_window
from fellfare.mistake import Mistake

EVENING = Span(early=1050, late=1110)  # 17:30 to 18:30
SOAK = Span(early=40, late=75)
SPRING = WaterPoint(name="spring", passed=Span(early=880, late=910))
NAN = float("nan")


def times(told: Wetting) -> tuple[float, float]:
    assert told.earliest_min is not None
    assert told.latest_min is not None
    return told.earliest_min, told.latest_min


def test_an_ordinary_evening_by_hand() -> None:
    # Last bite 18:50 at the latest, 240 min back: 14:50.  Done at 17:30, 75 min back: 16:15.
    told = wetting_window(EVENING, SOAK, 240, carrying_water=True)
    assert told.outcome == "ready"
    assert [clock(t) for t in times(told)] == ["14:50", "16:15"]
    assert told.wait_minutes == 0
    assert told.reason == ""


def test_water_is_taken_from_the_last_point_before() -> None:
    inside = WaterPoint(name="brook", passed=Span(early=900, late=930))
    after = WaterPoint(name="ford", passed=Span(early=1000, late=1030))
    told = wetting_window(EVENING, SOAK, 240, (SPRING, inside, after))
    assert told.outcome == "ready"
    assert told.wet_at == ("brook",)
    assert told.carry_from == ("spring",)


def test_late_water_means_waiting() -> None:
    ford = WaterPoint(name="ford", passed=Span(early=1000, late=1030))  # 16:40 to 17:10
    told = wetting_window(EVENING, SOAK, 240, (ford,))
    # Wetted at 16:40, done at 17:55; arriving at 17:30 one waits 25 min.
    assert (told.outcome, told.reason) == ("wait", "water-too-late")
    assert [clock(t) for t in times(told)] == ["16:40", "18:30"]
    assert told.wait_minutes == 25


def test_no_water_on_the_way_means_wetting_in_camp() -> None:
    told = wetting_window(EVENING, SOAK, 240)
    assert (told.outcome, told.wait_minutes) == ("in-camp", 75)
    assert "on arrival" in told.text


def test_no_water_at_all_is_impossible() -> None:
    told = wetting_window(EVENING, SOAK, 240, water_at_camp=False)
    assert (told.outcome, told.reason) == ("impossible", "no-water-in-time")
    assert told.earliest_min is None


def test_a_soak_longer_than_the_limit_is_impossible() -> None:
    told = wetting_window(EVENING, Span(early=90, late=230), 240, (SPRING,))
    assert (told.outcome, told.reason) == ("impossible", "soak-longer-than-hold")
    assert "240" in told.text


def test_an_arrival_too_uncertain_keeps_the_limit_and_waits() -> None:
    # 15:00 to 19:00, soak 75, limit 240: from 15:20 at the earliest.  15:00 arrivals wait.
    told = wetting_window(Span(early=900, late=1140), SOAK, 240, (SPRING,))
    assert (told.outcome, told.reason) == ("wait", "arrival-too-uncertain")
    assert clock(times(told)[0]) == "15:20"
    assert told.wait_minutes == 75


def test_over_midnight() -> None:
    # Arrival 23:30 to 00:30, counted on: 1410 to 1470.
    late = Span(early=1410, late=next_time(30, 1410))
    told = wetting_window(late, SOAK, 240, carrying_water=True)
    assert [clock(t) for t in times(told)] == ["20:50", "22:15"]
    # Breakfast at 7:00, wetted the evening before, if cold enough for 12 h.
    breakfast = Span(early=420, late=420)
    told = wetting_window(breakfast, Span(early=60, late=120), 720, carrying_water=True)
    assert [clock(t) for t in times(told)] == ["19:20 (-1 d)", "05:00"]


def test_the_clock() -> None:
    assert clock(0) == "00:00"
    assert clock(1439.4) == "23:59"
    assert clock(1439.5) == "00:00 (+1 d)"
    assert clock(-1) == "23:59 (-1 d)"
    assert next_time(7 * 60, 21 * 60) == 1860
    assert next_time(1260, 1260) == 1260


spans = st.builds(
    lambda start, length: Span(early=start, late=start + length),
    st.floats(600, 1300), st.floats(0, 300),
)  # fmt: skip
soaks = st.builds(
    lambda start, length: Span(early=start, late=start + length),
    st.floats(0, 200), st.floats(0, 200),
)  # fmt: skip
points = st.lists(
    st.builds(
        lambda start, length: WaterPoint(name="p", passed=Span(early=start, late=start + length)),
        st.floats(300, 1300), st.floats(0, 120),
    ),
    max_size=3,
).map(tuple)  # fmt: skip
share = st.floats(0, 1)


@given(spans, soaks, st.floats(30, 600), points, st.booleans(), st.booleans(), share, share)
def test_every_moment_of_the_window_keeps_the_limit(
    eat: Span,
    soak: Span,
    hold: float,
    water: tuple[WaterPoint, ...],
    at_camp: bool,
    carrying: bool,
    when: float,
    arrive: float,
) -> None:
    told = wetting_window(
        eat, soak, hold, water, water_at_camp=at_camp, carrying_water=carrying, meal_minutes=20
    )
    if told.outcome == "impossible":
        no_water = not at_camp and not carrying and all(p.passed.late > eat.late for p in water)
        assert soak.late + 20 > hold or no_water
        return
    earliest, latest = times(told)
    assert earliest <= latest
    arrival = eat.early + arrive * (eat.late - eat.early)
    wetted = earliest + when * (latest - earliest)
    on_the_way = min(wetted, max(arrival, earliest))  # at the latest on arrival
    wetted = arrival if told.outcome == "in-camp" else on_the_way
    eating = max(arrival, wetted + soak.late)
    assert eating + 20 - wetted <= hold + 1e-6
    if told.outcome == "ready":
        assert eating == pytest.approx(arrival)
    first = max(arrival, (arrival if told.outcome == "in-camp" else earliest) + soak.late)
    if earliest <= arrival:
        assert first - arrival <= told.wait_minutes + 1e-6


@pytest.mark.parametrize(
    ("eat", "soak", "hold", "code"),
    [
        (Span(early=1110, late=1050), SOAK, 240.0, "time-band-unclear"),
        (Span(early=NAN, late=1050), SOAK, 240.0, "time-band-unclear"),
        (EVENING, Span(early=-1, late=5), 240.0, "time-band-unclear"),
        (EVENING, Span(early=1, late=NAN), 240.0, "time-band-unclear"),
        (EVENING, SOAK, 0.0, "hold-limit-unclear"),
        (EVENING, SOAK, NAN, "hold-limit-unclear"),
    ],
)
def test_nonsense_is_refused(eat: Span, soak: Span, hold: float, code: str) -> None:
    with pytest.raises(Mistake) as told:
        wetting_window(eat, soak, hold)
    assert told.value.code == code


def test_a_water_point_of_nonsense_is_named() -> None:
    bad = WaterPoint(name="dry spring", passed=Span(early=5, late=4))
    with pytest.raises(Mistake, match="dry spring"):
        wetting_window(EVENING, SOAK, 240, (bad,))
