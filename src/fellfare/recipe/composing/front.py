"""Which dishes does no other beat?  The front, kept while the combinations stream by.

Figures come as whole numbers of noticeable steps, more is better.  One dish beats another
when it is at least as good in everything; of equals the one with the lower number stays.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.recipe.composing.laying import Floats, Whole

#: Dishes of the front with which a new block is thinned first.
CHAMPIONS: Final = 8
#: A block of more newcomers is first thinned by its own best.
MANY: Final = 200
#: Above so many dishes the steps are made coarser: nobody reads a longer front.
MOST_FRONT: Final = 4000


class Front:
    """The dishes that none seen so far beats; changed in place."""

    def __init__(self, aims: int) -> None:
        self.points: Floats = np.zeros((0, aims))
        self.numbers: Whole = np.zeros(0, dtype=np.int64)
        #: By how much the steps had to be coarsened.
        self.coarser = 1.0
        self._strongest: Whole | None = None

    def __len__(self) -> int:
        return int(self.numbers.shape[0])

    def add(self, points: Floats, numbers: Whole) -> None:
        """Take in what is not beaten; forget what is beaten now.

        ``points`` has one row for each aim, one column for each dish.
        """
        if self.coarser > 1.0:
            points = np.floor(points / self.coarser)
        if not points.shape[1]:
            return
        for champion in self.points[self._champions()]:
            # One after another: each looks only at what the ones before it left.
            here = np.flatnonzero(_above(points, champion))
            points, numbers = points.take(here, axis=1), numbers.take(here)
            if not here.shape[0]:
                return
        if points.shape[1] > MANY:
            points, numbers = _thinned(points, numbers)
        rows, numbers = unbeaten(np.ascontiguousarray(points.T), numbers)
        if len(self):
            kept = _not_beaten_by(rows, self.points)
            rows, numbers = rows[kept], numbers[kept]
        if not rows.shape[0]:
            return
        stay = ~_beaten_outright(self.points, rows)
        self._strongest = None
        self.points = np.concatenate([self.points[stay], rows])
        self.numbers = np.concatenate([self.numbers[stay], numbers])
        while len(self) > MOST_FRONT:
            self.coarser *= 2.0
            self.points, self.numbers = unbeaten(np.floor(self.points / 2.0), self.numbers)

    def _champions(self) -> Whole:
        """The best in each aim, and those with the largest sum; the largest first."""
        if not len(self):
            return np.zeros(0, dtype=np.int64)
        if self._strongest is None:
            spread = np.ptp(self.points, axis=0)
            scaled = (self.points - self.points.min(axis=0)) / np.where(spread > 0, spread, 1.0)
            by_sum = np.argsort(-scaled.sum(axis=1), kind="stable")[:CHAMPIONS]
            best = np.argmax(self.points, axis=0)
            self._strongest = np.concatenate([by_sum, np.setdiff1d(best, by_sum)])
        return self._strongest


def _above(points: Floats, champion: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Dishes better than the champion in something."""
    above = points[0] > champion[0]
    for row, mark in zip(points[1:], champion[1:], strict=True):
        above |= row > mark
    return np.asarray(above)


def _thinned(points: Floats, numbers: Whole) -> tuple[Floats, Whole]:
    """Without those that the block's own best beats or equals (itself stays)."""
    sums = points.sum(axis=0)
    ties = np.flatnonzero(sums == sums.max())
    at = int(ties[np.argmin(numbers[ties])])
    fresh = _above(points, points[:, at])
    fresh[at] = True
    here = np.flatnonzero(fresh)
    return points.take(here, axis=1), numbers.take(here)


def unbeaten(points: Floats, numbers: Whole) -> tuple[Floats, Whole]:
    """The points that no other of them beats, in the order of their sums.

    Sorting by the sum puts whatever can beat a point before it, so one pass does.
    """
    if not points.shape[0]:
        return points, numbers
    order = np.lexsort((numbers, -points.sum(axis=1)))
    points, numbers = points[order], numbers[order]
    at = 0
    while at < points.shape[0]:
        beaten = (points[at + 1 :] <= points[at]).all(axis=1)
        if beaten.any():
            keep = np.concatenate([np.ones(at + 1, dtype=np.bool_), ~beaten])
            points, numbers = points[keep], numbers[keep]
        at += 1
    return points, numbers


def _not_beaten_by(points: Floats, others: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    kept = np.ones(points.shape[0], dtype=np.bool_)
    for other in others:
        kept &= (points > other).any(axis=1)
        if not kept.any():
            break
    return kept


def _beaten_outright(points: Floats, others: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Beaten by a newcomer; equals stay (they came first)."""
    gone = np.zeros(points.shape[0], dtype=np.bool_)
    for other in others:
        gone |= (points <= other).all(axis=1) & (points < other).any(axis=1)
    return gone
