"""Appetite from what came home: known constants are found again, with honest bands."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fellfare.learn.appetite import (
    FINISHED_FROM,
    Appetite,
    Priors,
    appetite_of,
    interval_log,
)
from fellfare.learn.log import Day, Eaten

MEALS = ("breakfast", "lunch", "dinner")


def trip(
    wish: dict[str, float], early: float, days: int, rng: np.random.Generator, error: float = 0.20
) -> list[Eaten]:
    """What somebody with such a wish brings home; they eat up what is in the bag."""
    rows = []
    for day in range(1, days + 1):
        for meal in MEALS:
            wanted = 1 + wish[meal] + (early if day <= 3 else 0.0) + error * rng.standard_normal()
            eaten = max(wanted, 0.0) if wanted < FINISHED_FROM else 1.0
            rows.append(
                Eaten(walker="A", day=day, eating=meal, dish="", carried_g=200.0,
                      home_g=200.0 * (1 - eaten), energy_kcal=900.0)
            )  # fmt: skip
    return rows


@pytest.mark.parametrize("a", [-40.0, -9.0, -2.0, -0.3, 0.4, 3.0, 9.0])
@pytest.mark.parametrize("width", [0.1, 1.0, math.inf])
def test_interval_probability_against_scipy(a: float, width: float) -> None:
    # scipy.stats.norm: an independent normal distribution.
    b = a + width
    told, first, second = interval_log(a, b)
    if a > 0:
        expected = math.log(stats.norm.sf(a) - stats.norm.sf(b))
    elif b < 0:
        expected = stats.norm.logcdf(b) + math.log1p(
            -math.exp(stats.norm.logcdf(a) - stats.norm.logcdf(b))
        )
    else:
        expected = math.log(stats.norm.cdf(b) - stats.norm.cdf(a))
    assert told == pytest.approx(expected, rel=2e-3)
    if abs(a) < 30:
        h = 1e-4
        up, down = interval_log(a + h, b + h)[0], interval_log(a - h, b - h)[0]
        assert first == pytest.approx((up - down) / (2 * h), rel=1e-3, abs=1e-5)
        assert second == pytest.approx((up - 2 * told + down) / h**2, rel=2e-2, abs=1e-3)


@given(st.floats(-30, 30), st.floats(0.01, 20))
def test_the_logarithm_is_concave(a: float, width: float) -> None:
    assert interval_log(a, a + width)[2] <= 1e-6


def test_nothing_seen_is_the_prior() -> None:
    wish = appetite_of("A", []).wish()
    assert wish.mean == 0.0
    assert wish.sd == pytest.approx(Priors().overall)


def test_a_known_wish_is_found_again_from_many_days() -> None:
    rng = np.random.default_rng(5)
    true = {"breakfast": -0.10, "lunch": -0.25, "dinner": 0.05}
    found = appetite_of("A", trip(true, -0.15, 120, rng))
    for meal, wish in true.items():
        belief = found.wish(meal)
        assert abs(belief.mean - wish) < 3 * belief.sd
        assert belief.sd < 0.06
    means = [found.wish(meal).mean for meal in ("lunch", "breakfast", "dinner")]
    assert means == sorted(means)


def test_the_bands_hold_as_often_as_they_say() -> None:
    """Wishes drawn from the prior: the 80 % band of each is right about 80 times in 100."""
    rng = np.random.default_rng(11)
    priors = Priors()
    inside = tried = 0
    for _ in range(150):
        overall = priors.overall * rng.standard_normal()
        early = priors.early * rng.standard_normal()
        wish = {meal: overall + priors.meal * rng.standard_normal() for meal in MEALS}
        found = appetite_of("A", trip(wish, early, 8, rng))
        for meal in MEALS:
            belief = found.wish(meal)
            inside += belief.low <= wish[meal] <= belief.high
            tried += 1
    # 450 draws, in threes not independent: three standard errors of 150 are 0.10.
    assert inside / tried == pytest.approx(0.80, abs=0.10)


def test_all_eaten_up_never_cuts_and_hunger_adds() -> None:
    rows = trip(dict.fromkeys(MEALS, 5.0), 0.0, 6, np.random.default_rng(1))
    eaten_up = appetite_of("A", rows).wish()
    assert eaten_up.mean >= 0.0
    hungry = [Day(walker="A", day=day, felt="very hungry") for day in range(1, 7)]
    assert appetite_of("A", rows, hungry).wish().mean > eaten_up.mean + 0.03
    enough = [Day(walker="A", day=day, felt="enough") for day in range(1, 7)]
    assert appetite_of("A", rows, enough).wish().mean < appetite_of("A", rows, hungry).wish().mean


def test_few_items_move_little_and_many_move_more() -> None:
    def left(days: int) -> Appetite:
        return appetite_of(
            "A",
            [
                Eaten(walker="A", day=day + 3, eating="lunch", dish="", carried_g=100.0,
                      home_g=30.0, energy_kcal=450.0)
                for day in range(1, days + 1)
            ],
        )  # fmt: skip

    one, ten = left(1).wish("lunch"), left(10).wish("lunch")
    assert -0.30 < ten.mean < one.mean < 0.0  # shrunk towards the plan
    assert ten.sd < one.sd < math.hypot(Priors().overall, Priors().meal)


def test_other_walkers_rows_are_passed_over() -> None:
    rows = trip(dict.fromkeys(MEALS, -0.3), 0.0, 6, np.random.default_rng(2))
    assert appetite_of("B", rows).wish().mean == 0.0


def test_of_a_meal_that_was_never_carried_only_the_whole_is_known() -> None:
    found = appetite_of("A", trip(dict.fromkeys(MEALS, -0.3), 0.0, 6, np.random.default_rng(2)))
    assert found.wish("supper") == found.wish()
    assert found.wish("lunch") != found.wish()
    assert found.wish("supper", early=True).mean != found.wish("supper").mean
