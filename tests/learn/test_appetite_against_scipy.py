"""The wish's posterior against one written anew on scipy's normal distribution."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import optimize, stats

from fellfare.learn.appetite import Priors, appetite_of
from fellfare.learn.log import Day, Eaten, Felt

Array = NDArray[np.float64]
#: A day's wish over its plan by how it felt, the model's own ends (docs/learn.md, judgement).
FELT = {"too much": (-np.inf, 0.93), "enough": (0.93, 1.07), "hungry": (1.07, 1.2),
        "very hungry": (1.2, np.inf)}  # fmt: skip


def item(day: int, eating: str, carried_g: float, home_g: float) -> Eaten:
    return Eaten(walker="A", day=day, eating=eating, dish="", carried_g=carried_g, home_g=home_g,
                 energy_kcal=4.5 * carried_g)  # fmt: skip


ITEMS = [
    item(1, "breakfast", 150, 60), item(2, "breakfast", 150, 20), item(3, "breakfast", 150, 70),
    item(4, "breakfast", 150, 0), item(5, "breakfast", 120, 30),
    item(1, "dinner", 200, 200), item(3, "dinner", 200, 197), item(4, "dinner", 220, 2),
    item(5, "dinner", 200, 90), item(6, "dinner", 180, 0),
]  # fmt: skip
DAYS: list[tuple[int, Felt]] = [
    (2, "too much"), (3, "enough"), (4, "hungry"), (6, "very hungry"),
]  # fmt: skip


def minus_log_posterior(days: list[tuple[int, Felt]]) -> Callable[[Array], float]:
    """By the words of docs/learn.md: overall, early (days 1 to 3), breakfast, dinner."""
    prior = Priors()
    sd = np.array([prior.overall, prior.early, prior.meal, prior.meal])

    def told(beta: Array) -> float:
        value = stats.norm.logpdf(beta, scale=sd).sum()
        for row in ITEMS:
            wish = 1 + beta[0] + (beta[1] if row.day < 4 else 0) + beta[
                2 if row.eating == "breakfast" else 3
            ]  # fmt: skip
            eaten = 1 - row.home_g / row.carried_g
            if eaten > 0.98:  # eaten up: at least three quarters of it was wanted
                value += stats.norm.logsf((0.75 - wish) / prior.item)
            elif eaten < 0.02:  # untouched: nothing was wanted
                value += stats.norm.logcdf((0 - wish) / prior.item)
            else:
                value += stats.norm.logpdf((eaten - wish) / prior.item)
        for day, felt in days:
            masses = {row.eating: row.carried_g for row in ITEMS if row.day == day}
            wish = 1 + beta[0] + (beta[1] if day < 4 else 0) + sum(
                mass / sum(masses.values()) * beta[2 if eating == "breakfast" else 3]
                for eating, mass in masses.items()
            )  # fmt: skip
            low, high = ((end - wish) / prior.day for end in FELT[felt])
            value += np.log(max(stats.norm.cdf(high) - stats.norm.cdf(low), 1e-300))
        return -float(value)

    return told


def test_the_belief_is_the_top_of_the_posterior_and_its_curvature() -> None:
    # 'enough' on day 3, on which food came home, says nothing more: the oracle leaves it out.
    target = minus_log_posterior([one for one in DAYS if one[1] != "enough"])
    best: Any = optimize.minimize(target, np.zeros(4), method="BFGS", options={"gtol": 1e-7})
    found = appetite_of("A", ITEMS, [Day(walker="A", day=day, felt=felt) for day, felt in DAYS])
    assert found.meals == ("breakfast", "dinner")
    assert (found.items, found.felt_days) == (10, 3)
    assert found.mean == pytest.approx(best.x, abs=1e-4)
    step, bend = 1e-4, np.zeros((4, 4))
    for i in range(4):
        for j in range(4):
            for a in (1, -1):
                for b in (1, -1):
                    at = np.array(best.x)
                    at[i] += a * step
                    at[j] += b * step
                    bend[i, j] += a * b * target(at) / (4 * step**2)
    assert np.array(found.covariance) == pytest.approx(np.linalg.inv(bend), abs=2e-4)
    late, early = found.wish("dinner"), found.wish("dinner", early=True)
    assert late.mean == pytest.approx(best.x[0] + best.x[3], abs=2e-4)
    assert early.mean == pytest.approx(late.mean + best.x[1], abs=2e-4)
    x = np.array([1.0, 1.0, 0.0, 1.0])
    assert early.sd == pytest.approx(float(np.sqrt(x @ np.linalg.inv(bend) @ x)), rel=5e-3)


def test_enough_counts_on_a_day_without_leftovers() -> None:
    days: list[tuple[int, Felt]] = [(4, "enough"), (6, "enough")]
    best: Any = optimize.minimize(minus_log_posterior(days), np.zeros(4), method="BFGS",
                                  options={"gtol": 1e-7})  # fmt: skip
    found = appetite_of("A", ITEMS, [Day(walker="A", day=day, felt=felt) for day, felt in days])
    assert found.felt_days == 2
    assert found.mean == pytest.approx(best.x, abs=1e-4)
