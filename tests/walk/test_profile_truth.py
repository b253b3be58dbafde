"""Ascent from noisy records of a made-up truth.

No public record has a surveyed ascent, so the truth is synthetic: six cosine
ramps, +1000 and -800 m over 20 km.  Noise cases and the size of the plain sum's
error follow what receivers do: white (independent readings), a barometer's slow
drift, a satellite receiver's correlated error.  Seeds are fixed.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.random import Generator

from fellfare.walk.figures import Array
from fellfare.walk.profile import climb_m, smoothed

LENGTH_M = 20_000.0
UP_M, DOWN_M = 1000.0, 800.0
KNOTS = np.array([1000, 1400, 1100, 1450, 1150, 1400, 1200.0])
SEEDS = range(12)


def truth(at: Array) -> Array:
    x = np.linspace(0, LENGTH_M, KNOTS.size)
    k = np.clip(np.searchsorted(x, at, side="right") - 1, 0, KNOTS.size - 2)
    share = (at - x[k]) / (x[k + 1] - x[k])
    out: Array = KNOTS[k] + (KNOTS[k + 1] - KNOTS[k]) * (1 - np.cos(np.pi * share)) / 2
    return out


def correlated(rng: Generator, at: Array, sd: float, over_m: float) -> Array:
    keep = np.exp(-np.diff(at, prepend=at[0] - 1e9) / over_m)
    push = rng.normal(0, 1, at.size) * np.sqrt(1 - keep**2)
    out = np.empty(at.size)
    here = 0.0
    for i in range(at.size):
        here = keep[i] * here + push[i]
        out[i] = here
    return sd * out


def noise(case: str, rng: Generator, at: Array) -> Array:
    if case == "white 3 m":
        return rng.normal(0, 3, at.size)
    if case == "barometer 1 m over 50 m":
        return correlated(rng, at, 1, 50)
    if case == "receiver 5 m over 200 m":
        return correlated(rng, at, 5, 200)
    return np.zeros(at.size)


#: Case → bound of the mean over the seeds, and of each single record [% of the climb].
BOUNDS = {
    "none": (0.1, 0.1),
    "white 3 m": (1.5, 2.5),
    "barometer 1 m over 50 m": (0.5, 1.0),
    "receiver 5 m over 200 m": (3.0, 6.0),
}


@pytest.mark.parametrize("step_m", [1.4, 10.0, 30.0])
@pytest.mark.parametrize("case", BOUNDS)
def test_ascent_and_descent_are_near_the_truth_however_often_one_records(
    case: str, step_m: float
) -> None:
    at = np.arange(0, LENGTH_M + 1e-9, step_m)
    at[-1] = LENGTH_M
    ups, downs = [], []
    for seed in SEEDS:
        ele = truth(at) + noise(case, np.random.default_rng(seed), at)
        up, down = climb_m(smoothed(at, ele)[1])
        ups.append(100 * (up - UP_M) / UP_M)
        downs.append(100 * (down - DOWN_M) / DOWN_M)
    mean, single = BOUNDS[case]
    assert abs(np.mean(ups)) < mean
    assert max(map(abs, ups)) < single
    # Same metres, on a climb that is a quarter less.
    assert max(map(abs, downs)) < 1.25 * single


@pytest.mark.parametrize(
    ("case", "least", "most"),
    [
        ("white 3 m", 220, 290),
        ("barometer 1 m over 50 m", 5, 13),
        ("receiver 5 m over 200 m", 45, 75),
    ],
)
def test_the_plain_sum_is_as_wrong_as_the_docstring_says(
    case: str, least: float, most: float
) -> None:
    at = np.arange(0, LENGTH_M + 1, 10.0)
    rises = np.diff(truth(at) + noise(case, np.random.default_rng(1), at))
    assert least < 100 * (rises[rises > 0].sum() - UP_M) / UP_M < most


def test_the_truth_is_what_it_says() -> None:
    rises = np.diff(KNOTS)
    assert (rises[rises > 0].sum(), -rises[rises < 0].sum()) == (UP_M, DOWN_M)


@pytest.mark.parametrize("step_m", [1.4, 10.0, 30.0])
def test_the_smoothed_line_stays_near_the_truth(step_m: float) -> None:
    at = np.arange(0, LENGTH_M + 1e-9, step_m)
    grid, ele = smoothed(at, truth(at))
    # A mean over w of a curve of curvature c is off by c w^2 / 24: here at most 0.2 m.
    inner = (grid > 100) & (grid < at[-1] - 100)
    assert np.abs(ele - truth(grid))[inner].max() < 0.2


def test_small_real_swings_are_lost_and_the_plain_sum_shows_them() -> None:
    # What the method cannot do, so that nobody forgets: 8 m bumps every 400 m are no climb.
    at = np.arange(0, LENGTH_M + 1, 10.0)
    ele = 500 + 4 * np.sin(2 * np.pi * at / 400)
    up, _ = climb_m(smoothed(at, ele)[1])
    assert up == 0
    assert climb_m(ele, turn_m=0.0)[0] == pytest.approx(50 * 8, rel=0.01)
