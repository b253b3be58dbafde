"""Scores every combination that a composition allows; hands out what no other beats."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.composing.hindering import Hindered, hindered
from fellfare.recipe.composing.laying import Laid, Portion, Whole, lay
from fellfare.recipe.composing.question import RATIOS, SUMS, Aim, Composition
from fellfare.recipe.composing.rounds import Sweep

Watch: TypeAlias = Callable[["Progress"], bool]


class Progress(Struct, frozen=True):
    """How far the sweep is."""

    seen: int
    of: int
    fitting: int
    front: int


class Dish(Struct, frozen=True, kw_only=True):
    """One combination with its figures; None is unknown."""

    number: int
    #: For each part in turn what it holds.
    fillings: tuple[tuple[Portion, ...], ...]
    figures: tuple[tuple[str, float | None], ...]
    minutes: float | None
    tastes: int

    def figure(self, name: str) -> float | None:
        """One figure for one eater; a ratio is None when either part is unknown or nothing."""
        if name == "minutes":
            return self.minutes
        if name == "tastes":
            return float(self.tastes.bit_count())
        sums = dict(self.figures)
        if name in sums:
            return sums[name]
        above, below, per = RATIOS[name]
        top, bottom = sums[above], sums[below]
        return None if top is None or not bottom else per * top / bottom


class Composed(Struct, frozen=True, kw_only=True):
    """The front, best in the first aim first, and what was gone through."""

    asked: Composition
    dishes: tuple[Dish, ...]
    combinations: int
    seen: int
    fitting: int
    #: At most so many had to be scored one by one; bounds ruled out the others.
    scored: int
    stopped: bool
    #: The best of every kind in the first aim, best first; most of them on no front.
    kinds: tuple[Dish, ...]
    #: The usual steps were widened so many times, for a front that can be read.
    coarser: float
    findings: tuple[Finding, ...]
    #: Where nothing keeps everything: what is in the way.
    hindered: Hindered | None = None


def compose(
    asked: Composition, pantry: Pantry, watch: Watch | None = None, *, bounds: bool = True
) -> Composed:
    """Score all combinations and keep those that no other beats.

    Parameters
    ----------
    asked
        Parts, pairings, limits and aims, for one eater.
    pantry
        Where the foods come from.
    watch
        Hears of the progress after each block; True stops, and what was found so far
        is handed over (``stopped``).
    bounds
        False scores every dish that keeps the limits; the same answer, later.

    Raises
    ------
    Mistake
        Those of :func:`fellfare.recipe.composing.laying.lay`.
    """
    laid = lay(asked, pantry)
    sweep = Sweep(laid, bounds=bounds)
    seen, stopped = 0, False
    for seen in sweep.run():
        told = Progress(seen, laid.combinations, sweep.fitting, len(sweep.front))
        if watch is not None and watch(told) and seen < laid.combinations:
            stopped = True
            break
    why = None
    if not sweep.fitting and not stopped:

        def stops(seen: int, of: int) -> bool:
            return watch is not None and watch(Progress(seen, of, 0, 0))

        why = hindered(laid, stops)
    return Composed(
        asked=asked,
        dishes=_ranked(laid, sweep.front.numbers),
        kinds=_ranked(laid, sweep.kind_number[sweep.kind_number >= 0]),
        combinations=laid.combinations,
        seen=seen if stopped else laid.combinations,
        fitting=sweep.fitting,
        # a first look ahead may have met some of them already
        scored=sweep.scored if stopped else min(sweep.scored, sweep.fitting),
        stopped=stopped,
        coarser=sweep.front.coarser,
        findings=laid.findings,
        hindered=why,
    )


def _ranked(laid: Laid, numbers: Whole) -> tuple[Dish, ...]:
    first = laid.asked.aims[0]
    dishes = [dish_of(laid, number) for number in numbers.tolist()]
    return tuple(sorted(dishes, key=lambda dish: (_worse(dish, first), dish.number)))


def _worse(dish: Dish, aim: Aim) -> float:
    value = dish.figure(aim.figure)
    if value is None:
        return float("inf")
    return -value if aim.better == "more" else value


def dish_of(laid: Laid, number: int) -> Dish:
    """Combination ``number`` with its figures, each part added up afresh."""
    places = laid.places(number)
    low = sum(part.low[at] for part, at in zip(laid.parts, places, strict=True))
    high = sum(part.high[at] for part, at in zip(laid.parts, places, strict=True))
    minutes = max(float(part.minutes[at]) for part, at in zip(laid.parts, places, strict=True))
    tastes = 0
    for part, at in zip(laid.parts, places, strict=True):
        tastes |= int(part.tastes[at])
    figures = tuple(
        (name, float(low[at]) if np.isfinite(high[at]) else None) for at, name in enumerate(SUMS)
    )
    return Dish(
        number=number,
        fillings=laid.fillings(number),
        figures=figures,
        minutes=minutes if np.isfinite(minutes) else None,
        tastes=tastes,
    )
