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
    priced,
    right_signs,
    values,
)
from fellfare.menu.solver import Effort

__all__ = ["Eaten", "Relaxed", "StoppedError", "relax"]

ROUNDS = 40

#: cell -> dish -> servings of it for every eater, as the relaxation eats (parts of dishes).
Eaten: TypeAlias = Mapping[int, Mapping[int, Floats]]
#: Asked between rounds, with the bound so far: True to stop.
Halt: TypeAlias = Callable[[float], bool]


class Relaxed(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The best bound found, the prices that prove it, and what the relaxation ate."""

    bound: float
    prices: Prices
    priced: Priced
    value: float
    missed: float
    eaten: Eaten
    seconds: float
    solves: int
    packs: Floats | None = None  # whole packs, where foods are bought in packs


def _pattern(board: Board, per_plate: Floats, cell: int, dish: int) -> Floats:
    a, b = board.plate_start[cell], board.plate_start[cell + 1]
    worth = per_plate[a:b] @ board.figures[dish]
    return np.asarray(np.where(worth > 0, board.least[dish], board.most[dish]), dtype=np.float64)


def _first_prices(board: Board) -> Floats:
    """A guess to begin with: energy at the mass that the leanest quarter of dishes needs for it."""
    energy = board.figures[:, 2]
    per_kcal = board.figures[:, 0] / np.maximum(energy, 1.0)
    guess = float(np.quantile(per_kcal[energy > 1.0], 0.25)) if (energy > 1.0).any() else 0.0
    kcal = np.array([unit == "kcal" for unit in board.rows.unit], dtype=np.bool_)
    return np.where(kcal & np.isfinite(board.rows.low), guess, 0.0)


def relax(
    board: Board,
    block: list[int],
    effort: Effort,
    near: float = 2e-4,
    costs: bool = True,
    per_round: int = 3,
    warm: Prices | None = None,
    halt: Halt | None = None,
    packs: Floats | None = None,
) -> Relaxed:
    """Find prices; stop when the bound is within ``near`` of the relaxation's own value.

    ``block``: each day's block (days of one block are taken together).
    ``costs`` False leaves the costs out (see ``pricing.priced``). ``packs``
    fixes how many packs there are; the bound then holds for those only.
    Raises ``StoppedError`` when not even a first answer came in time.
    """
    group = grouped(board, block)
    master = Master(board, group, costs, effort, packs)
    master.floors()
    if warm is None:
        start = msgspec.structs.replace(no_prices(board), rows=_first_prices(board))
    else:
        start = warm
    _let_in(master, right_signs(board, start), None, 8, costs)
    best: tuple[float, Prices, Priced] | None = None
    value, x = 0.0, np.zeros(0)
    offset = board.offset if costs else 0.0
    for _ in range(ROUNDS):
        try:
            value, x, duals = master.run()
        except StoppedError:
            if best is None:
                raise
            break
        new_rows = master.overstepped(master.eaten(x))
        prices = right_signs(board, master.prices(duals))
        found = priced(board, prices, costs=costs)
        if best is None or found.bound > best[0]:
            best = (found.bound, prices, found)
        total = value + offset
        close = best[0] >= total - near * max(abs(total), 1.0)
        if (not new_rows and close) or (halt is not None and halt(best[0])):
            break
        new_columns = _let_in(master, prices, duals, per_round, costs)
        if not new_rows and not new_columns:
            break
    assert best is not None
    return Relaxed(
        bound=best[0],
        prices=best[1],
        priced=best[2],
        value=value + offset,
        missed=master.missed(x),
        eaten=_by_cell(group, master.servings(x)),
        seconds=master.seconds,
        solves=master.solves,
        packs=master.whole_packs(1e-3, 3.0) if packs is None and costs else packs,
    )


def _by_cell(group: Grouped, servings: Mapping[tuple[int, int], Floats]) -> Eaten:
    cells: dict[int, list[int]] = {}
    for cell, g in enumerate(group.group_of_cell.tolist()):
        cells.setdefault(g, []).append(cell)
    eaten: dict[int, dict[int, Floats]] = {}
    for (g, dish), amounts in servings.items():
        for cell in cells[g]:
            eaten.setdefault(cell, {})[dish] = amounts / float(group.size[g])
    return eaten


def _let_in(master: Master, prices: Prices, duals: Floats | None, many: int, costs: bool) -> int:
    """The best-paying dishes of every group at these prices become columns."""
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
