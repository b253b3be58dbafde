"""Good prices for the rules: the linear relaxation, solved by letting columns in as they pay.

The relaxation is kept small on purpose. A column is a dish in a group of cells
with each eater's portion at one end of its range (any portion between is a mix
of such columns, so no row is needed to tie portion to choice). Only columns
whose price pays are let in, only repeat rows that are overstepped are made.
Every row may be missed at a high cost, so there is always an answer; what is
proven is reckoned by ``pricing`` from the prices alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeAlias

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Floats
from fellfare.menu.model.grouping import Grouped, grouped
from fellfare.menu.model.master import Master, StoppedError
from fellfare.menu.model.pricing import (
    Priced,
    Prices,
    no_prices,
    plate_prices,
    priced_with_table,
    right_signs,
    values,
)
from fellfare.menu.solver import Effort

__all__ = ["Eaten", "Relaxed", "StoppedError", "relax"]


#: Dishes let in for every group in one round, and before the first: by a guess, by good prices.
PER_ROUND = 3
FIRST_COLUMNS = 8
WARM_COLUMNS = 4
#: Rounds of letting columns in, at most; of days taken together, whose prices the
#: whole begins with, and how near those are sought; with whole packs.
ROUNDS = 40
COARSE_ROUNDS = 5
COARSE_NEAR = 2e-3
GUIDE_ROUNDS = 3
#: How near whole packs are sought, and in how many linear models.
PACKS_GAP = 2e-3
PACKS_NODES = 50
#: How near the prices of the search are found.
GUIDE_NEAR = 1e-3

#: cell -> dish -> servings of it for every eater, as the relaxation eats (parts of dishes).
Eaten: TypeAlias = Mapping[int, Mapping[int, Floats]]
#: Asked between rounds, with the bound so far: True to stop.
Halt: TypeAlias = Callable[[float], bool]


class Relaxed(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The best bound found and the prices that prove it; what a search may go by.

    ``guide`` are prices to search by, ``priced`` the dishes of every cell at
    those prices, ``eaten`` what the relaxation eats. Where foods are bought in
    packs they come from a relaxation with whole packs and prove nothing; else
    ``guide`` is ``prices``. ``missed`` is how much of the rules the relaxation
    itself had to miss (then there may be no menu), ``packs`` what it buys where
    it buys in whole packs.
    """

    bound: float
    prices: Prices
    guide: Prices
    priced: Priced
    value: float
    missed: float
    eaten: Eaten
    packs: Floats | None = None
    seconds: float
    solves: int


def _pattern(board: Board, per_plate: Floats, cell: int, dish: int) -> Floats:
    a, b = board.plate_start[cell], board.plate_start[cell + 1]
    worth = per_plate[a:b] @ board.figures[dish]
    return np.asarray(np.where(worth > 0, board.least[dish], board.most[dish]), dtype=np.float64)


def _first_prices(board: Board) -> Prices:
    """A guess to begin with: energy at the mass that the leanest quarter of dishes needs for it."""
    energy = board.figures[:, 2]
    per_kcal = board.figures[:, 0] / np.maximum(energy, 1.0)
    guess = float(np.quantile(per_kcal[energy > 1.0], 0.25)) if (energy > 1.0).any() else 0.0
    kcal = np.array([unit == "kcal" for unit in board.rows.unit], dtype=np.bool_)
    rows = np.where(kcal & np.isfinite(board.rows.low), guess, 0.0)
    return msgspec.structs.replace(no_prices(board), rows=rows)


def relax(
    board: Board,
    block: list[int],
    effort: Effort,
    near: float = 2e-4,
    costs: bool = True,
    warm: Prices | None = None,
    halt: Halt | None = None,
    whole_packs: bool = True,
) -> Relaxed:
    """Find prices; stop when the bound is within ``near`` of the relaxation's own value.

    ``block``: each day's block (days of one block are taken together).
    ``costs`` False leaves the costs out (see ``pricing.priced``);
    ``whole_packs`` False spares the second relaxation with whole packs. Raises
    ``StoppedError`` when not even a first answer came in time.
    """
    coarse = None
    legs = [int(leg) for leg in board.legs]
    if warm is None and len(set(block)) == board.days > len(set(legs)):
        coarse = _Rounds(board, legs, effort, costs, halt)
        warm = coarse.begun(_first_prices(board), FIRST_COLUMNS, COARSE_ROUNDS, COARSE_NEAR)
    if coarse is not None and coarse.halted:
        rounds = coarse
    else:
        rounds = _Rounds(board, block, effort, costs, halt)
        few = FIRST_COLUMNS if warm is None else WARM_COLUMNS
        rounds.begun(_first_prices(board) if warm is None else warm, few, ROUNDS, near)
    assert rounds.best is not None
    bound, prices, found = rounds.best
    value, missed, x = rounds.value, rounds.master.missed(rounds.x), rounds.x
    guide = prices
    packs = None
    wanted = whole_packs and costs and bool(rounds.master.sold)
    if wanted and missed <= 1e-7 and not rounds.halted:
        packs = _whole_packs(board, prices, effort, coarse)
        if packs is not None and rounds.with_packs(packs):
            _, guide, found = rounds.best
            x = rounds.x
        else:
            packs = None
    before = 0.0 if coarse is None or coarse is rounds else coarse.master.seconds
    return Relaxed(
        bound=bound,
        prices=prices,
        guide=guide,
        priced=found,
        value=value,
        missed=missed,
        eaten=_by_cell(rounds.group, rounds.master.servings(x)),
        packs=packs,
        seconds=rounds.master.seconds + before,
        solves=rounds.master.solves,
    )


class _Rounds:
    """Solve, price, let in what pays; again and again."""

    def __init__(
        self, board: Board, block: list[int], effort: Effort, costs: bool, halt: Halt | None
    ) -> None:
        self.group = grouped(board, block)
        self.master = Master(board, self.group, costs, effort)
        self.master.floors()
        self.board, self.costs, self.halt = board, costs, halt
        self.best: tuple[float, Prices, Priced] | None = None
        self.value, self.x = 0.0, np.zeros(0)
        self.halted = False

    def begun(self, prices: Prices, columns: int, most: int, near: float) -> Prices:
        """Begin with what pays at these prices; the best prices found."""
        _let_in(self.master, right_signs(self.board, prices), None, columns, self.costs)
        self.run(self.board, most, near)
        assert self.best is not None
        return self.best[1]

    def run(self, board: Board, most: int, near: float) -> None:
        """Until the bound on ``board`` is near the relaxation's value, or nothing new pays."""
        master, costs = self.master, self.costs
        for _ in range(most):
            try:
                value, self.x, duals = master.run()
            except StoppedError:
                if self.best is None:
                    raise
                self.halted = True
                return
            self.value = value + (board.offset if costs else 0.0)
            new_rows = master.overstepped(master.eaten(self.x))
            prices = right_signs(board, master.prices(duals))
            found, table = priced_with_table(board, prices, costs=costs)
            if self.best is None or found.bound > self.best[0]:
                self.best = (found.bound, prices, found)
            close = self.best[0] >= self.value - near * max(abs(self.value), 1.0)
            if not new_rows and close:
                return
            if self.halt is not None and board is self.board and self.halt(self.best[0]):
                self.halted = True
                return
            new_columns = _let_in(master, prices, duals, PER_ROUND, costs, table)
            if not new_rows and not new_columns:
                return

    def with_packs(self, packs: Floats) -> bool:
        """Go on with so many packs; False, and as before, when nothing keeps the rules so."""
        sold = np.array([bool(food) for food in self.board.extras.food], dtype=np.bool_)
        extras = msgspec.structs.replace(
            self.board.extras,
            low=np.where(sold, packs, self.board.extras.low),
            high=np.where(sold, packs, self.board.extras.high),
        )
        before, value, x = self.best, self.value, self.x
        self._forget()
        self.master.fix_packs(packs)
        try:
            self.run(msgspec.structs.replace(self.board, extras=extras), GUIDE_ROUNDS, GUIDE_NEAR)
        except StoppedError:
            self._forget()
        if self.best is None or self.master.missed(self.x) > 1e-7:
            self.best, self.value, self.x = before, value, x
            return False
        return True

    def _forget(self) -> None:
        self.best = None


def _whole_packs(
    board: Board, prices: Prices, effort: Effort, coarse: _Rounds | None
) -> Floats | None:
    """How many packs of each food: from days taken together by leg, packs whole, dishes not."""
    if coarse is not None:
        return coarse.master.whole_packs(PACKS_GAP, PACKS_NODES, effort.seconds)
    master = Master(board, grouped(board, [int(leg) for leg in board.legs]), True, effort)
    master.floors()
    _let_in(master, prices, None, 2 * PER_ROUND, costs=True)
    for _ in range(2):
        try:
            _, x, _ = master.run()
        except StoppedError:
            return None
        if not master.overstepped(master.eaten(x)):
            break
    return master.whole_packs(PACKS_GAP, PACKS_NODES, effort.seconds)


def _by_cell(group: Grouped, servings: Mapping[tuple[int, int], Floats]) -> Eaten:
    cells: dict[int, list[int]] = {}
    for cell, g in enumerate(group.group_of_cell.tolist()):
        cells.setdefault(g, []).append(cell)
    eaten: dict[int, dict[int, Floats]] = {}
    for (g, dish), amounts in servings.items():
        for cell in cells[g]:
            eaten.setdefault(cell, {})[dish] = amounts / float(group.size[g])
    return eaten


def _let_in(
    master: Master,
    prices: Prices,
    duals: Floats | None,
    many: int,
    costs: bool,
    table: Floats | None = None,
) -> int:
    """The best-paying dishes of every group at these prices become columns.

    ``table``: the values at these prices, where they are known.
    """
    board, group = master.board, master.group
    per_plate = plate_prices(board, prices.rows, costs)
    new: list[tuple[int, int, Floats]] = []
    step = max(1, 4_000_000 // max(1, board.dishes))
    firsts = group.first_cell
    order = np.argsort(firsts, kind="stable")
    for first in range(0, board.cells, step):
        last = min(board.cells, first + step)
        inside = order[(firsts[order] >= first) & (firsts[order] < last)]
        if inside.shape[0] == 0:
            continue
        if table is None or last - first < board.cells:
            table = values(board, per_plate, prices, first, last, costs)
        for g in inside.tolist():
            cell = int(firsts[g])
            line = table[cell - first]
            if group.size[g] > 1:
                others = np.nonzero(group.group_of_cell[first:last] == g)[0]
                line = table[others].mean(axis=0)
            keep = min(many, line.shape[0])
            chosen = np.argpartition(line, keep - 1)[:keep]
            chosen = chosen[np.argsort(line[chosen], kind="stable")]
            for dish in chosen.tolist():
                if not np.isfinite(line[dish]):
                    continue
                if duals is not None and line[dish] >= duals[g] - 1e-6:
                    continue
                new.append((g, dish, _pattern(board, per_plate, cell, dish)))
                if duals is None:
                    ones = np.ones(int(board.plate_start[cell + 1] - board.plate_start[cell]))
                    new.append((g, dish, ones * board.least[dish]))
                    new.append((g, dish, ones * board.most[dish]))
    return master.add(new)
