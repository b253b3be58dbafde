"""How much of what is planned does somebody want to eat?

The wish z of an item, as a share of what was planned for it, is taken as

    z = 1 + overall + early (days 1 to 3) + meal + error,

each term normal around 0.  Only what came home is seen: an item that was eaten up says that
the wish was at least 1, one that came home whole that it was nothing, anything between is the
wish itself (a censored regression; Tobin 1958 [TOBIN-1958]).  A day on which somebody was
hungry says that the wish of that day lay above the plan.  The logarithm of the posterior is
concave, so Newton's method finds its top, and the curvature there gives the band (Laplace).

Priors and errors are judgements, no source; they are arguments, so that they can be tried.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import erfc, exp, log, pi, sqrt
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.learn.belief import Belief
from fellfare.learn.log import Day, Eaten, Felt
from fellfare.walk.figures import Array

#: The first days, on which little is eaten.
EARLY_DAYS: Final = 3
#: Shares of an item below which nothing, and above which all of it, came home.
ALL_EATEN: Final = 0.02
#: People eat up what is in the bag: an item that was eaten up says no more than that the wish
#: was at least so much of it (a judgement, no source).
FINISHED_FROM: Final = 0.75
#: A day's wish over its plan: where one feeling ends and the next begins.
FELT: Final[dict[Felt, tuple[float, float]]] = {
    "too much": (-float("inf"), 0.93),
    "enough": (0.93, 1.07),
    "hungry": (1.07, 1.20),
    "very hungry": (1.20, float("inf")),
}


class Priors(Struct, frozen=True, kw_only=True):
    """Standard deviations of the terms, before anything was seen."""

    overall: float = 0.12
    early: float = 0.10
    meal: float = 0.12
    #: Of one item around them, and of one day's feeling.
    item: float = 0.20
    day: float = 0.12


class Appetite(Struct, frozen=True, kw_only=True, eq=False):
    """What is believed of one walker's wish; 0 is 'as planned'."""

    walker: str
    meals: tuple[str, ...]
    #: overall, early, then one per meal.
    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    #: Items and days that it rests on.
    items: int
    felt_days: int

    def wish(self, meal: str | None = None, *, early: bool = False) -> Belief:
        """Wish over plan less 1: of a meal, or (None) of all food alike."""
        x = np.zeros(len(self.mean))
        x[0] = 1.0
        x[1] = float(early)
        if meal is not None and meal in self.meals:
            x[2 + self.meals.index(meal)] = 1.0
        spread = float(x @ np.array(self.covariance) @ x)
        return Belief(float(x @ np.array(self.mean)), sqrt(max(spread, 0.0)))


def appetite_of(
    walker: str,
    items: Iterable[Eaten],
    days: Iterable[Day] = (),
    priors: Priors = Priors(),  # noqa: B008 - a frozen value
) -> Appetite:
    """One walker's wish from what came home and how the days felt.

    ``items`` and ``days`` may hold other walkers' rows; they are passed over.
    """
    mine = [row for row in items if row.walker == walker]
    felt = [row for row in days if row.walker == walker]
    meals = tuple(sorted({row.eating for row in mine}))
    size = 2 + len(meals)
    prior = np.array([priors.overall, priors.early, *[priors.meal] * len(meals)])
    rows = [
        _Seen(_place(row.day, row.eating, meals, size), *_item_ends(row), priors.item)
        for row in mine
    ]
    rows += _felt_rows(mine, felt, meals, size, priors.day)
    mean, covariance = _top(rows, prior)
    return Appetite(
        walker=walker,
        meals=meals,
        mean=tuple(float(x) for x in mean),
        covariance=tuple(tuple(float(x) for x in line) for line in covariance),
        items=len(mine),
        felt_days=len(rows) - len(mine),
    )


class _Seen(Struct, frozen=True):
    """The wish x @ beta + 1 lies between low and high (equal: it was seen), with error sd."""

    x: Array
    low: float
    high: float
    sd: float


def _place(day: int, meal: str, meals: tuple[str, ...], size: int) -> Array:
    x = np.zeros(size)
    x[0] = 1.0
    x[1] = float(day <= EARLY_DAYS)
    x[2 + meals.index(meal)] = 1.0
    return x


def _item_ends(row: Eaten) -> tuple[float, float]:
    eaten = 1.0 - row.home_g / row.carried_g
    if eaten >= 1.0 - ALL_EATEN:
        return FINISHED_FROM, float("inf")
    if eaten <= ALL_EATEN:
        return -float("inf"), 0.0
    return eaten, eaten


def _felt_rows(
    mine: list[Eaten], felt: list[Day], meals: tuple[str, ...], size: int, sd: float
) -> list[_Seen]:
    rows = []
    for day in felt:
        todays = [row for row in mine if row.day == day.day]
        # 'enough' after leaving something says no more than what was left
        if day.felt == "enough" and any(row.home_g > ALL_EATEN * row.carried_g for row in todays):
            continue
        x = np.zeros(size)
        x[0], x[1] = 1.0, float(day.day <= EARLY_DAYS)
        whole = sum(row.carried_g for row in todays)
        for row in todays:
            x[2 + meals.index(row.eating)] += row.carried_g / whole
        rows.append(_Seen(x, *FELT[day.felt], sd))
    return rows


def _top(
    rows: list[_Seen], prior_sd: Array
) -> tuple[
    Array,
    Array,
]:
    """Newton's method with halved steps; then the inverse curvature."""
    beta = np.zeros(prior_sd.shape[0])
    value, slope, bend = _posterior(rows, prior_sd, beta)
    for _ in range(60):
        step = np.linalg.solve(bend, slope)
        size = 1.0
        while size > 1e-6:
            trial = _posterior(rows, prior_sd, beta + size * step)
            if trial[0] >= value - 1e-12:
                break
            size /= 2
        beta = beta + size * step
        value, slope, bend = trial
        if float(np.abs(size * step).max(initial=0.0)) < 1e-9:
            break
    return beta, np.asarray(np.linalg.inv(bend), dtype=np.float64)


def _posterior(
    rows: list[_Seen],
    prior_sd: Array,
    beta: Array,
) -> tuple[
    float,
    Array,
    Array,
]:
    """Logarithm of the posterior, its slope, and its curvature with the sign turned."""
    value = -0.5 * float(((beta / prior_sd) ** 2).sum())
    slope = -beta / prior_sd**2
    bend = np.diag(1.0 / prior_sd**2)
    for row in rows:
        middle = 1.0 + float(row.x @ beta)
        told, first, second = interval_log(
            (row.low - middle) / row.sd, (row.high - middle) / row.sd
        )
        value += told
        slope = slope - first / row.sd * row.x
        bend = bend - second / row.sd**2 * np.outer(row.x, row.x)
    return value, slope, bend


def interval_log(a: float, b: float) -> tuple[float, float, float]:
    """log P(a < Z < b) of a standard normal Z (its density where a = b), with the first and
    second derivative when both ends move up together."""
    if a == b:
        return -0.5 * a * a, -a, -1.0
    if a > 0:  # by symmetry: the lower tail keeps its figures
        told, first, second = interval_log(-b, -a)
        return told, -first, second
    whole = _phi(b) - _phi(a)
    if whole < 1e-290:  # far below: the tail beyond b alone, Mills' ratio
        return -0.5 * b * b - log(-b * sqrt(2 * pi)), -b, -1.0
    low, high = _density(a), _density(b)
    first = (high - low) / whole
    ends = (high * b if abs(b) < 1e300 else 0.0) - (low * a if abs(a) < 1e300 else 0.0)
    return log(whole), first, -ends / whole - first * first


def _phi(z: float) -> float:
    return 0.5 * erfc(-z / sqrt(2.0))


def _density(z: float) -> float:
    return exp(-0.5 * z * z) / sqrt(2.0 * pi) if abs(z) < 38 else 0.0
