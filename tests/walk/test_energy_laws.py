"""What must hold of walking energy whatever the figures, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.walk.energy import (
    acsm,
    compendium,
    lcda_backpacking,
    lcda_graded,
    ludlow_weyand,
    minetti,
    pandolf,
    santee,
)
from fellfare.walk.energy.ranges import range_notes
from fellfare.walk.energy.spread import MODELS, Model, energy_by_model
from fellfare.walk.legs import legs_of

bodies = st.floats(40, 120)
loads = st.floats(0, 35)
speeds = st.floats(0.45, 1.9)
grades = st.floats(-0.4, 0.4)
etas = st.floats(1, 3)


def power(
    model: Model, body: float, load: float, speed: float, grade: float, eta: float = 1.0
) -> float:
    return float(
        np.asarray(
            model.power_w(
                body_kg=body,
                load_kg=load,
                speed_m_s=speed,
                grade=grade,
                eta=eta,
                rest_w=1.05 * body,
            )
        )
    )


@pytest.mark.parametrize("model", MODELS, ids=lambda m: m.name)
@given(body=bodies, load=loads, more=st.floats(0, 10), speed=speeds)
def test_more_load_never_costs_less_on_the_level(
    model: Model, body: float, load: float, more: float, speed: float
) -> None:
    assert power(model, body, load + more, speed, 0) >= power(model, body, load, speed, 0) - 1e-9


@pytest.mark.parametrize("model", MODELS, ids=lambda m: m.name)
@given(body=bodies, load=loads, speed=speeds, up=st.floats(0, 0.4))
def test_uphill_never_costs_less_than_level(
    model: Model, body: float, load: float, speed: float, up: float
) -> None:
    assert power(model, body, load, speed, up) >= power(model, body, load, speed, 0) - 1e-9


@given(body=bodies, load=loads, speed=speeds, grade=grades, eta=etas)
def test_backpacking_power_is_above_rest(
    body: float, load: float, speed: float, grade: float, eta: float
) -> None:
    assert power(MODELS[0], body, load, speed, grade, eta) > 1.05 * body


@given(body=bodies, load=loads, speed=speeds, grade=grades, eta=etas, more=st.floats(0, 1))
def test_softer_ground_never_costs_less(
    body: float, load: float, speed: float, grade: float, eta: float, more: float
) -> None:
    hard, soft = (power(MODELS[0], body, load, speed, grade, e) for e in (eta, eta + more))
    assert soft >= hard - 1e-9


@given(body=bodies, load=loads, speed=speeds)
def test_lcda_is_smooth_at_zero_grade(body: float, load: float, speed: float) -> None:
    for model in MODELS[:2]:
        up, level, down = (power(model, body, load, speed, g) for g in (1e-7, 0.0, -1e-7))
        assert up == pytest.approx(level, rel=1e-5)
        assert down == pytest.approx(level, rel=1e-5)


def test_santee_jumps_at_zero_grade() -> None:
    # Independent calculation: 404 W at 0 %, 424 W just below (80.2 kg, 13.6 kg, 1.34 m/s, 1.1).
    level = power(MODELS[2], 80.2, 13.6, 1.34, 0.0, 1.1)
    below = power(MODELS[2], 80.2, 13.6, 1.34, -0.0001, 1.1)
    assert level == pytest.approx(404, abs=0.5)
    assert below == pytest.approx(424, abs=0.5)


def test_santee_is_held_at_its_steepest_grade() -> None:
    # Unclamped it explodes: 1 463 W at -40 %, where LCDA says 266 W (independent calculation).
    assert power(MODELS[2], 75, 12, 0.5, -0.40) == power(MODELS[2], 75, 12, 0.5, -0.12)


def test_plain_pandolf_would_give_energy_downhill_and_is_refused() -> None:
    # Independent calculation: -57 W at -10 %, 75 kg + 12 kg, 1.34 m/s.
    assert pandolf.pandolf_w(75, 12, 1.34, -10, 1) == pytest.approx(-57, abs=0.5)
    with pytest.raises(Mistake, match="pandolf-downhill"):
        pandolf.walking_power_w(body_kg=75, load_kg=12, speed_m_s=1.34, grade=-0.1)


@given(body=bodies, load=loads, speed=speeds, grade=st.floats(0.02, 0.4))
def test_up_and_down_cost_more_than_twice_level(
    body: float, load: float, speed: float, grade: float
) -> None:
    there = power(MODELS[0], body, load, speed, grade)
    back = power(MODELS[0], body, load, speed, -grade)
    assert there + back > 2 * power(MODELS[0], body, load, speed, 0)


@given(speed=st.floats(0.7, 1.6), body=bodies, load=loads)
def test_the_cheapest_descent_is_gentle(speed: float, body: float, load: float) -> None:
    slopes = np.linspace(-0.4, 0.1, 501)
    watts = np.asarray(
        lcda_backpacking.walking_power_w(
            body_kg=body, load_kg=load, speed_m_s=speed, grade=slopes, rest_w=80.0
        )
    )
    assert -0.16 <= slopes[int(np.argmin(watts))] <= -0.06


def test_minetti_is_cheapest_near_minus_fifteen_per_cent() -> None:
    # Two independent calculations: 0.936 at -15.3 and -15.5 %.
    slopes = np.linspace(-0.45, 0.45, 9001)
    cost = np.asarray(minetti.minetti_j_per_kg_m(slopes))
    assert float(cost.min()) == pytest.approx(0.936, abs=6e-4)
    assert slopes[int(np.argmin(cost))] == pytest.approx(-0.154, abs=0.002)


@given(cuts=st.lists(st.floats(0.01, 0.99), min_size=1, max_size=5), grade=grades, speed=speeds)
def test_splitting_a_leg_changes_nothing(cuts: list[float], grade: float, speed: float) -> None:
    whole = legs_of([5000.0], [grade], 1.2)
    edges = np.unique([0.0, *cuts, 1.0])
    pieces = legs_of(np.diff(edges) * 5000.0, grade, 1.2)
    one = energy_by_model(whole, body_kg=70.0, load_kg=10.0, speed_m_s=speed, rest_w=75.0)
    many = energy_by_model(pieces, body_kg=70.0, load_kg=10.0, speed_m_s=speed, rest_w=75.0)
    for a, b in zip(one, many, strict=True):
        assert a.walking_kcal == pytest.approx(b.walking_kcal, rel=1e-12)


def test_a_mean_grade_taken_first_gives_a_fifth_too_little() -> None:
    # Independent calculation: one leg at the mean grade of +1 % is 22 % too low.
    from fellfare.walk.pace import campbell

    def kcal(distance: list[float], grade: list[float]) -> float:
        legs = legs_of(distance, grade, 1.1)
        speed = np.asarray(campbell.speed_m_s(legs.grade))
        return energy_by_model(legs, body_kg=75.0, load_kg=12.0, speed_m_s=speed, rest_w=82.0)[
            0
        ].walking_kcal

    by_leg = kcal([10_000, 2_000, 8_000], [0.1, 0.0, -0.1])
    assert kcal([20_000], [0.01]) / by_leg == pytest.approx(0.78, abs=0.01)


DOORS = (
    acsm.walking_power_w,
    lcda_backpacking.walking_power_w,
    lcda_graded.walking_power_w,
    ludlow_weyand.walking_power_w,
    minetti.walking_power_w,
    minetti.walking_power_refit_w,
    pandolf.walking_power_w,
    santee.walking_power_w,
)
GOOD = {
    "body_kg": 70.0,
    "load_kg": 10.0,
    "speed_m_s": 1.2,
    "grade": 0.05,
    "eta": 1.1,
    "rest_w": 75.0,
}


@pytest.mark.parametrize("door", DOORS, ids=lambda d: d.__module__.rsplit(".", 1)[-1])
@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("body_kg", 0.0, "body-mass-out-of-range"),
        ("body_kg", 301.0, "body-mass-out-of-range"),
        ("load_kg", -1.0, "load-out-of-range"),
        ("load_kg", 151.0, "load-out-of-range"),
        ("speed_m_s", 3.1, "speed-not-walking"),
        ("speed_m_s", -0.1, "speed-not-walking"),
        ("grade", 10.0, "grade-out-of-range"),
        ("eta", 0.9, "terrain-factor-out-of-range"),
        ("rest_w", 1700.0, "resting-power-out-of-range"),
        *((field, math.nan, "out-of-range|not-walking") for field in GOOD),
    ],
)
def test_every_door_refuses_nonsense(door: object, field: str, value: float, code: str) -> None:
    assert callable(door)
    with pytest.raises(Mistake, match=code):
        door(**{**GOOD, field: value})
    with pytest.raises(Mistake, match=code):  # one bad value among good ones
        door(**{**GOOD, field: np.array([GOOD[field], value])})


@pytest.mark.parametrize("door", DOORS, ids=lambda d: d.__module__.rsplit(".", 1)[-1])
def test_ground_that_is_not_told_is_hard_and_level(door: Callable[..., object]) -> None:
    # Terrain factor 1.0: a treadmill or blacktop (Soule & Goldman 1972); no grade: the level.
    figures = {key: GOOD[key] for key in ("body_kg", "load_kg", "speed_m_s", "rest_w")}
    assert door(**figures) == door(**figures, eta=1.0, grade=0.0)


def test_many_legs_walkers_and_loads_at_once() -> None:
    watts = np.asarray(
        lcda_backpacking.walking_power_w(
            body_kg=np.array([60.0, 80.0])[:, None, None],
            load_kg=np.array([0.0, 8.0, 16.0])[None, :, None],
            speed_m_s=1.1,
            grade=np.linspace(-0.2, 0.2, 5)[None, None, :],
            rest_w=75.0,
        )
    )
    assert watts.shape == (2, 3, 5)
    single = lcda_backpacking.walking_power_w(
        body_kg=80.0, load_kg=8.0, speed_m_s=1.1, grade=0.1, rest_w=75.0
    )
    assert watts[1, 1, 3] == pytest.approx(float(single))


def test_outside_its_range_a_model_answers_with_a_note() -> None:
    notes = range_notes(
        lcda_backpacking.RANGE,
        body_kg=50.0,
        load_kg=40.0,
        speed_m_s=np.array([1.0, 0.3]),
        grade=0.1,
    )
    assert [note.rule for note in notes] == ["energy-outside-range"] * 2
    assert "0.45" in notes[0].text
    assert "1 of 2" in notes[0].text
    assert "0.8" in notes[1].text


def test_inside_its_range_a_model_says_nothing() -> None:
    assert not range_notes(
        lcda_backpacking.RANGE, body_kg=75.0, load_kg=12.0, speed_m_s=1.1, grade=-0.1
    )


def test_met_energy_refuses_a_day_of_thirty_hours() -> None:
    with pytest.raises(Mistake, match="met-out-of-range"):
        compendium.met_kcal(7.0, 75, 30)
    with pytest.raises(Mistake, match="unknown-activity"):
        compendium.activity("17O10")


def test_a_leg_at_no_speed_is_refused() -> None:
    with pytest.raises(Mistake, match="speed-not-walking"):
        energy_by_model(legs_of([100.0], [0.0]), body_kg=70.0, load_kg=5.0, speed_m_s=0.0, rest_w=0)
