"""Which dishes does no other beat?  The front, kept while the combinations stream by.

Figures come as whole numbers of noticeable steps, more is better.  One dish beats another
when it is at least as good in everything; of equals the one with the lower number stays.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.recipe.composing.beating import Beaters, beaters, unbeaten_by
from fellfare.recipe.composing.laying import Floats, Whole

#: Strongest dishes of the front, which others meet before they meet all the rest.
CHAMPIONS: Final = 2
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
        self._others: Beaters | None = None

    def __len__(self) -> int:
        return int(self.numbers.shape[0])

    def unmet(self, points: Floats, numbers: Whole) -> Whole:
        """Places of those that no dish of the front beats.

        ``points`` has one row for each aim, one column for each dish; or for each tile of
        dishes, with the best that is to be had in it and its lowest number: what is not among
        the places given back holds nothing for the front.
        """
        if self.coarser > 1.0:
            points = np.floor(points / self.coarser)
        here = np.arange(points.shape[1])
        if not len(self):
            return here
        #: Only what has a lower number can stay beside its equal.
        early = bool(numbers.min() < self.numbers.max()) if here.shape[0] else False
        sums, totals = (_sums(points), _sums(self.points.T)) if early else (points[0], points[0])
        champions, others = self._by_strength()
        for at in champions:
            # One after another: each looks only at what the ones before it left.
            if not here.shape[0]:
                return here
            champion = self.points[at]
            open_ = points[0] > champion[0]
            for row, mark in zip(points[1:], champion[1:], strict=True):
                open_ |= row > mark
            if early:
                open_ |= (sums >= totals[at]) & (numbers < self.numbers[at])
            left = np.flatnonzero(open_)
            if left.shape[0] < here.shape[0]:
                here, points = here.take(left), points.take(left, axis=1)
                sums, numbers = sums.take(left), numbers.take(left)
        if not others.shape[0] or not here.shape[0]:
            return here
        if self._others is None:
            self._others = beaters(self.points[others].T, self.numbers[others])
        return here[unbeaten_by(self._others, points, numbers)]

    def add(self, points: Floats, numbers: Whole) -> None:
        """Take in what is not beaten; forget what is beaten now.

        ``points`` has one row for each aim, one column for each dish.
        """
        here = self.unmet(points, numbers)
        if not here.shape[0]:
            return
        points, numbers = points.take(here, axis=1), numbers.take(here)
        if self.coarser > 1.0:
            points = np.floor(points / self.coarser)
        if points.shape[1] > MANY:
            points, numbers = _thinned(points, numbers)
        rows, numbers = unbeaten(np.ascontiguousarray(points.T), numbers)
        stay = ~_beaten(self.points, rows)
        self._strongest = self._others = None
        self.points = np.concatenate([self.points[stay], rows])
        self.numbers = np.concatenate([self.numbers[stay], numbers])
        while len(self) > MOST_FRONT:
            self.coarser *= 2.0
            self.points, self.numbers = unbeaten(np.floor(self.points / 2.0), self.numbers)

    def _by_strength(self) -> tuple[Whole, Whole]:
        """Those with the largest sum and the best in each aim; then the rest."""
        if self._strongest is None:
            spread = np.ptp(self.points, axis=0)
            scaled = (self.points - self.points.min(axis=0)) / np.where(spread > 0, spread, 1.0)
            self._strongest = np.argsort(-scaled.sum(axis=1), kind="stable")
        return self._strongest[:CHAMPIONS], self._strongest[CHAMPIONS:]


def _sums(rows: Floats) -> Floats:
    """The sum of all aims for each dish, always added in the same order."""
    total: Floats = rows[0].copy()
    for row in rows[1:]:
        total += row
    return total


def _thinned(points: Floats, numbers: Whole) -> tuple[Floats, Whole]:
    """Without those that the block's own best beats or equals (itself stays)."""
    sums = _sums(points)
    ties = np.flatnonzero(sums == sums.max())
    at = int(ties[np.argmin(numbers[ties])])
    fresh = np.asarray((points > points[:, at, None]).any(axis=0))
    fresh[at] = True
    here = np.flatnonzero(fresh)
    return points.take(here, axis=1), numbers.take(here)


def unbeaten(points: Floats, numbers: Whole) -> tuple[Floats, Whole]:
    """The points that no other of them beats, in the order of their sums.

    Sorting by the sum (where rounding makes sums equal: by each figure) puts whatever can
    beat a point before it, so one pass does.
    """
    if not points.shape[0]:
        return points, numbers
    order = np.lexsort((numbers, *-points.T[::-1], -_sums(points.T)))
    points, numbers = points[order], numbers[order]
    at = 0
    while at < points.shape[0]:
        beaten = (points[at + 1 :] <= points[at]).all(axis=1)
        if beaten.any():
            keep = np.concatenate([np.ones(at + 1, dtype=np.bool_), ~beaten])
            points, numbers = points[keep], numbers[keep]
        at += 1
    return points, numbers


def _beaten(points: Floats, others: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Beaten or equalled by a newcomer: of equals only one with a lower number comes so far."""
    gone = np.zeros(points.shape[0], dtype=np.bool_)
    for other in others:
        gone |= (points <= other).all(axis=1)
    return gone
