"""Small mixed models by a tree of our own over warm linear ones.

HiGHS takes some four milliseconds to set up even the smallest mixed model and
half of one for the linear model beneath it; solved again with one bound moved
it takes a twentieth of one. A day's menu is such a model: its linear answer is
nearly whole, and a dive and a few branches settle it. What is not settled in so
many linear models is given back, to be asked of HiGHS's own tree.

Branch and bound as in Land and Doig 1960: down one dive, the fullest choice
first, then on from the open branch of the lowest bound. Work is counted in linear
models, so the same comes out on a slow machine and a fast one.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np

from fellfare.menu.solver.highs import Linear, Moved, beneath, version
from fellfare.menu.solver.outcome import Effort, Outcome, Status, gap_of
from fellfare.menu.solver.problem import Floats, Indices, Problem

#: A figure so near a whole number is one.
WHOLE = 1e-6


def small_tree(
    problem: Problem, effort: Effort, most: int, packs: Sequence[int] = ()
) -> Outcome | None:
    """The best answer to within ``effort.gap`` or ``effort.near``, in ``most`` linear models.

    ``packs``: whole columns that are branched on last, once rounding them up does
    not do. 'Stopped' when it took too many; None when a model was not solved.
    """
    late = np.zeros(problem.columns, dtype=np.bool_)
    late[list(packs)] = True
    first, last = np.nonzero(problem.whole & ~late)[0], np.nonzero(problem.whole & late)[0]
    return branched(beneath(problem, effort), effort, most, first, last)


def branched(
    linear: Linear, effort: Effort, most: int, whole: Indices, packs: Indices | None = None
) -> Outcome | None:
    """As ``small_tree``, over a linear model that stands already."""
    none = np.zeros(0, dtype=np.int64)
    return _Tree(linear, effort, whole, none if packs is None else packs).grown(most)


class _Tree:
    def __init__(self, linear: Linear, effort: Effort, early: Indices, late: Indices) -> None:
        self.linear, self.effort, self.early, self.late = linear, effort, early, late
        self.open: list[tuple[float, int, Moved]] = [(float("-inf"), 0, {})]
        self.value = float("inf")
        self.x: Floats | None = None
        self.floor = float("inf")  # of the branches that were given up as good as the best
        self.above = float("-inf")  # the bound of the branch that is being gone down

    @property
    def allowed(self) -> float:
        """How far above its bound the best may stay."""
        if self.x is None:
            return 0.0
        return max(self.effort.near, self.effort.gap * abs(self.value))

    def grown(self, most: int) -> Outcome | None:
        while self.open and self.value - self.open[0][0] > self.allowed:
            _, _, moved = heapq.heappop(self.open)
            branch: Moved | None = moved
            while branch is not None:
                if self.linear.runs >= most:
                    self.floor = min(self.floor, self.above)
                    return self._told(done=False)
                found = self.linear.run(branch)
                if found is None:
                    return None
                branch = self._deeper(branch, *found)
        return self._told(done=True)

    def _deeper(self, moved: Moved, value: float, x: Floats | None) -> Moved | None:
        """The branch to go down next; None where this one ends."""
        self.above = value
        if x is None:
            return None  # nothing keeps the rows here
        if value >= self.value - self.allowed:
            self.floor = min(self.floor, value)
            return None
        at = _broken(x, self.early)
        if at is None:
            self._taken(moved, value, x)
            if value >= self.value - self.allowed:
                self.floor = min(self.floor, value)
                return None
            at = _broken(x, self.late)
            if at is None:
                return None
        linear = self.linear
        low, high = moved.get(at, (float(linear.low[at]), float(linear.high[at])))
        below = float(np.floor(x[at]))
        heapq.heappush(self.open, (value, self.linear.runs, {**moved, at: (low, below)}))
        return {**moved, at: (below + 1.0, high)}

    def _taken(self, moved: Moved, value: float, x: Floats) -> None:
        """Keep this answer if it is better, the packs rounded up."""
        if _broken(x, self.late) is not None:
            fixed = {at: (float(np.rint(x[at])),) * 2 for at in self.early.tolist()}
            fixed |= {at: (float(np.ceil(x[at] - WHOLE)),) * 2 for at in self.late.tolist()}
            found = self.linear.run({**moved, **fixed})
            if found is None or found[1] is None:
                return
            value, x = found[0], found[1]
        if value < self.value:
            self.value, self.x = value, x

    def _told(self, done: bool) -> Outcome:
        bound = min(self.value, self.floor, self.open[0][0] if self.open else float("inf"))
        gap = gap_of(self.value if self.x is not None else None, bound)
        status: Status
        if not done:
            status = "stopped"
        elif self.x is None:
            status = "impossible"
        else:
            status = "optimal" if gap <= WHOLE else "good-enough"
        return Outcome(
            status=status,
            value=self.value if self.x is not None else None,
            bound=bound,
            x=self.x,
            seconds=self.linear.seconds,
            nodes=self.linear.runs,
            solver=version(),
        )


def _broken(x: Floats, among: Indices) -> int | None:
    """The column whose part above a whole number is largest; None: all are whole."""
    parts = x[among] - np.floor(x[among] + WHOLE)
    if parts.shape[0] == 0:
        return None
    at = int(np.argmax(parts))
    return int(among[at]) if parts[at] > WHOLE else None
