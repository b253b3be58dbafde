"""A few whole columns: solve them broken, then look at all whole numbers near by.

For the portions of a day, its dishes standing: six or eight numbers of steps,
whose best broken values one linear model gives. The whole numbers around them
are some thousands of combinations, reckoned in one go; the best that keeps all
rows is taken when it is near enough to the broken answer, which is its bound.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from fellfare.menu.solver.highs import beneath, version
from fellfare.menu.solver.outcome import Effort, Outcome
from fellfare.menu.solver.problem import Floats, Indices, Problem
from fellfare.menu.solver.tree import small_tree

#: So many combinations are looked at, of at most so many whole numbers for one column.
MOST = 1024
#: Where there are no more than so many in all, every one is: then the best is the best.
EVERY = 4096
WIDEST = 5
#: A row may be missed by so much of its limit, a count of packs by so much of a pack.
KEPT = 1e-9
WHOLE = 1e-9
#: Whole packs beside broken portions are sought in so many linear models.
PACKED = 24


def rounded(problem: Problem, effort: Effort, packs: Sequence[int] = ()) -> Outcome | None:
    """The best rounding, if within ``effort.gap`` or ``effort.near`` of its bound; else None.

    Whole columns are rounded, but for ``packs``: those are as few as their rows
    ask for. Broken columns must be misses, each of one row at a price, and are
    as small as will do. None as well when the model is not so plain, or too large.
    """
    misses, bought = _misses(problem), np.array(packs, dtype=np.int64)
    free = np.setdiff1d(np.nonzero(problem.whole)[0], bought)
    if misses is None or 2.0 ** free.shape[0] > MOST:
        return None
    table = np.zeros((problem.rows, problem.columns))
    row = np.repeat(np.arange(problem.rows), np.diff(problem.start))
    table[row, problem.index] = problem.value
    need = _need(problem, table, bought)
    if need is None:
        return None
    around = _Around(problem, effort, misses, bought, need, free, table)
    linear = beneath(problem, effort)
    found = linear.run({})
    if found is None or found[1] is None:
        return None
    out = around.best(found[1], found[0], linear.seconds)
    if out is None and bought.shape[0]:
        whole = np.zeros(problem.columns, dtype=np.bool_)
        whole[bought] = True
        packed = small_tree(replace(problem, whole=whole), effort, PACKED, packs)
        if packed is not None and packed.x is not None:
            out = around.best(packed.x, packed.bound, packed.seconds + linear.seconds)
    return out


class _Around:
    """The whole numbers around a broken answer."""

    def __init__(
        self,
        problem: Problem,
        effort: Effort,
        misses: list[tuple[int, int, float]],
        packs: Indices,
        need: list[int],
        free: Indices,
        table: Floats,
    ) -> None:
        self.problem, self.effort = problem, effort
        self.misses, self.packs, self.need, self.free = misses, packs, need, free
        self.of_free, self.of_packs = table[:, free].T, table[:, packs].T
        self.low = problem.row_low - _more(problem.row_low)
        self.high = problem.row_high + _more(problem.row_high)

    def best(self, x: Floats, bound: float, seconds: float) -> Outcome | None:
        problem, packs, free = self.problem, self.packs, self.free
        spread = problem.high[free] - problem.low[free] + 1.0
        every = bool(np.prod(spread) <= EVERY)
        tried = _around(x[free], problem.low[free], problem.high[free], every)
        if tried is None:
            return None
        act = tried @ self.of_free
        cost = tried @ problem.cost[free] + problem.offset
        many = np.zeros((tried.shape[0], packs.shape[0]))
        for at, r in enumerate(self.need):
            short = (act[:, r] - problem.row_high[r]) / -self.of_packs[at, r]
            many[:, at] = np.maximum(problem.low[packs[at]], np.ceil(short - WHOLE))
        act += many @ self.of_packs
        cost += many @ problem.cost[packs]
        under, over = np.maximum(0.0, self.low - act), np.maximum(0.0, act - self.high)
        missed = np.zeros((tried.shape[0], len(self.misses)))
        for at, (column, r, sign) in enumerate(self.misses):
            side = under if sign > 0 else over
            missed[:, at] = side[:, r]
            side[:, r] = 0.0
            cost += problem.cost[column] * missed[:, at]
        kept = ~np.any(under, axis=1) & ~np.any(over, axis=1)
        kept &= np.all(many <= problem.high[packs], axis=1)
        if not np.any(kept):
            return None
        best = int(np.argmin(np.where(kept, cost, np.inf)))
        value = float(cost[best])
        allowed = max(self.effort.near, self.effort.gap * abs(value))
        bound = value if every else min(bound, value)
        if value - bound > allowed:
            return None
        answer = np.zeros(problem.columns)
        answer[free], answer[packs] = tried[best], many[best]
        answer[[column for column, _, _ in self.misses]] = missed[best]
        return Outcome(
            status="good-enough", value=value, bound=bound, x=answer,
            seconds=seconds, nodes=1, solver=version(),
        )  # fmt: skip


def _more(limit: Floats) -> Floats:
    """By how much a limit may be missed: by the rounding of the sums."""
    return KEPT * np.maximum(1.0, np.abs(np.where(np.isfinite(limit), limit, 0.0)))


def _misses(problem: Problem) -> list[tuple[int, int, float]] | None:
    """(column, row, +1 under or -1 over) of what may be missed; None: other columns are broken."""
    row = np.repeat(np.arange(problem.rows), np.diff(problem.start))
    found = []
    for column in np.nonzero(~problem.whole)[0].tolist():
        entries = np.nonzero(problem.index == column)[0]
        if entries.shape[0] == 0 and problem.cost[column] >= 0:
            continue
        plain = problem.low[column] == 0 and problem.high[column] == np.inf
        if entries.shape[0] != 1 or not plain or problem.cost[column] < 0:
            return None
        sign = float(problem.value[entries[0]])
        if abs(sign) != 1:
            return None
        found.append((column, int(row[entries[0]]), sign))
    return found


def _around(x: Floats, low: Floats, high: Floats, every: bool) -> Floats | None:
    """Combinations of whole numbers near x (or ``every`` one), one a line; None: too many."""
    many = x.shape[0]
    if 2.0**many > MOST:
        return None
    lines: list[Floats] = []
    widths = [2] * many
    total = 2**many
    order = np.argsort(-np.abs(x - np.rint(x)), kind="stable").tolist()
    for width in range(3, WIDEST + 1):  # the most broken ones are tried more widely first
        for at in order:
            if total // widths[at] * width <= MOST:
                total = total // widths[at] * width
                widths[at] = width
    for at in range(many):
        first = np.floor(x[at] - (widths[at] - 2) / 2 + 1e-9)
        near = first + np.arange(widths[at])
        if every:
            near = np.arange(low[at], high[at] + 1.0)
        near = near[(near >= low[at]) & (near <= high[at])]
        if near.shape[0] == 0:
            return None
        lines.append(near)
    grid = np.meshgrid(*lines, indexing="ij")
    return np.stack([each.ravel() for each in grid], axis=1)


def _need(problem: Problem, table: Floats, packs: Indices) -> list[int] | None:
    """The row that asks for each pack; None where it is not so plain."""
    rows = []
    for column in packs.tolist():
        here = np.nonzero(table[:, column])[0]
        need = here[table[here, column] < 0]
        if need.shape[0] != 1 or problem.cost[column] < 0:
            return None
        alone = int((table[need[0], packs] != 0).sum()) == 1
        if not alone or np.isfinite(problem.row_low[here]).any():
            return None
        rows.append(int(need[0]))
    return rows
