"""The small model of a part: which cells and portions are free, what stands, what is priced.

Free cells choose among their candidates; other plates may have their portions
free; the rest stands. A row that the plan keeps is kept; one that it misses may
be missed again, at a price; one that reaches into cells that wait is priced, and
held near to what those cells are expected to bring. Portions are whole numbers
of steps, so what comes back can be weighed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Flags, Floats, Indices, spans, weighed
from fellfare.menu.model.part.draft import INFINITE, Draft
from fellfare.menu.model.part.limits import family_rows, portion_rows, rest_of
from fellfare.menu.model.plan import MISS_DISH_G, Plan
from fellfare.menu.model.pricing import Guide
from fellfare.menu.model.waiting import Waiting
from fellfare.menu.solver import Problem
from fellfare.menu.solver.problem import Ints


class Part(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The small model and how to read its answer.

    Column j < len(``x_cell``) counts dish ``x_dish[j]`` in cell ``x_cell[j]``;
    ``e_column`` hold the steps above the least of ``e_dish`` on ``e_plate``.
    ``base``: cells whose dishes stand while portions move, (dish, times).
    """

    problem: Problem
    start: tuple[Ints, Floats] | None
    x_cell: Indices
    x_dish: Indices
    e_plate: Indices
    e_dish: Indices
    e_column: Indices
    base: dict[int, list[tuple[int, int]]]
    cells: tuple[int, ...]


class Entries(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Free choices x (cell, dish) and free steps e (plate, dish) above the least portion."""

    x_cell: Indices
    x_dish: Indices
    x_eaters: Indices
    xp_of: Indices  # per (x, eater): the x
    xp_plate: Indices
    xp_dish: Indices
    e_plate: Indices
    e_dish: Indices
    e_of: Indices  # the x that a step belongs to, or -1: it stands
    e_span: Floats  # how many steps there are at most
    s_plate: Indices  # portions of dishes that stand, at their least
    s_dish: Indices
    s_times: Indices

    @property
    def choices(self) -> int:
        return int(self.x_cell.shape[0])


def _entries(
    board: Board,
    candidates: Mapping[int, Sequence[int]],
    served: list[tuple[int, int, int]],
) -> Entries:
    free = sorted(candidates)
    x_cell = np.array([c for c in free for _ in candidates[c]], dtype=np.int64)
    x_dish = np.array([r for c in free for r in candidates[c]], dtype=np.int64)
    nx = x_cell.shape[0]
    eaters = board.plate_start[x_cell + 1] - board.plate_start[x_cell]
    xp_of = np.repeat(np.arange(nx), eaters)
    xp_plate = spans(board.plate_start[x_cell], eaters)
    xp_dish = x_dish[xp_of] if nx else np.zeros(0, dtype=np.int64)
    sp, sd, st = np.array(served, dtype=np.int64).reshape(len(served), 3).T
    range_x = np.rint((board.most[xp_dish] - board.least[xp_dish]) * board.steps[xp_dish])
    range_s = np.rint((board.most[sd] - board.least[sd]) * board.steps[sd]) * st
    move_x, move_s = np.nonzero(range_x > 0)[0], np.nonzero(range_s > 0)[0]
    return Entries(
        x_cell=x_cell,
        x_dish=x_dish,
        x_eaters=eaters,
        xp_of=xp_of,
        xp_plate=xp_plate,
        xp_dish=xp_dish,
        e_plate=np.concatenate([xp_plate[move_x], sp[move_s]]),
        e_dish=np.concatenate([xp_dish[move_x], sd[move_s]]),
        e_of=np.concatenate([xp_of[move_x], np.full(move_s.shape[0], -1, dtype=np.int64)]),
        e_span=np.concatenate([range_x[move_x], range_s[move_s]]),
        s_plate=sp,
        s_dish=sd,
        s_times=st,
    )


def part_of(
    plan: Plan,
    candidates: Mapping[int, Sequence[int]],
    portions: Sequence[int] = (),
    waiting: Waiting | None = None,
    guide: Guide | None = None,
    relaxed: frozenset[int] = frozenset(),
    by_steps: bool = True,
    strict: bool = False,
) -> Part:
    """The model for the cells in ``candidates``, with the plates of ``portions`` portioned anew.

    ``waiting``: cells that nobody has decided yet (none by default), with the
    prices of ``guide``. Cells in ``relaxed`` may take parts of dishes (an
    estimate for later). ``by_steps`` False lets portions be broken until they
    are read. ``strict``: no row may be missed, whatever the plan misses.
    """
    board = plan.board
    standing: dict[int, list[tuple[int, int]]] = {}
    served: list[tuple[int, int, int]] = []
    for moved in portions:
        cell = int(board.plate_cell[moved])
        if cell in candidates or cell not in plan.picks:
            continue
        standing[cell] = [(r, times) for r, times, _ in plan.picks[cell]]
        served += [(moved, r, times) for r, times in standing[cell]]
    entries = _entries(board, candidates, served)
    nx, ne = entries.choices, entries.e_plate.shape[0]

    plate = np.concatenate([entries.xp_plate, entries.e_plate])
    dish = np.concatenate([entries.xp_dish, entries.e_dish])
    column = np.concatenate([entries.xp_of, nx + np.arange(ne)])
    size = np.concatenate([board.least[entries.xp_dish], 1.0 / board.steps[entries.e_dish]])
    row, col, value = _coefficients(board, plate, dish, column, size)
    open_rows = _open(board, waiting)
    per = np.einsum("ij,ij->i", board.plate_cost[plate], board.figures[dish]) * size
    cost = weighed(column, per, nx + ne)
    if guide is not None and open_rows.any():
        counted = np.where(open_rows & ~board.pack_rows, guide.prices.rows, 0.0)
        cost -= weighed(col, counted[row] * value, nx + ne)
    cost[:nx] += board.dish_bonus[entries.x_dish] * entries.x_eaters
    index_of = {
        mark: at
        for at, mark in enumerate(
            zip(entries.x_cell.tolist(), entries.x_dish.tolist(), strict=True)
        )
    }
    for cell, r, bonus in board.cell_bonus:
        if (cell, r) in index_of:
            cost[index_of[cell, r]] += bonus

    soft = np.array([c in relaxed for c in entries.x_cell.tolist()], dtype=np.bool_)
    whole_e = [by_steps and (of < 0 or not soft[of]) for of in entries.e_of.tolist()]
    build = Draft(
        cost,
        np.concatenate([board.cell_twice[entries.x_cell], entries.e_span]).astype(np.float64),
        [*(~soft).tolist(), *whole_e],
    )
    _tie_rows(build, plan, entries, candidates, strict)
    rest = rest_of(plan, candidates, standing, entries.s_plate, entries.s_dish, entries.s_times)
    portion_rows(build, plan, (row, col, value), rest, open_rows, waiting, guide, strict)
    family_rows(build, plan, candidates, index_of, waiting, guide, strict)
    return Part(
        problem=build.problem(),
        start=None,
        x_cell=entries.x_cell,
        x_dish=entries.x_dish,
        e_plate=entries.e_plate,
        e_dish=entries.e_dish,
        e_column=nx + np.arange(ne),
        base=standing,
        cells=tuple(sorted(candidates)),
    )


def _coefficients(
    board: Board, plate: Indices, dish: Indices, column: Indices, size: Floats
) -> tuple[Indices, Indices, Floats]:
    """What one unit of each column brings to the board's rows: (row, column, value)."""
    rows = board.rows
    terms = rows.term_start[plate + 1] - rows.term_start[plate]
    entry = np.repeat(np.arange(plate.shape[0]), terms)
    term = spans(rows.term_start[plate], terms)
    figure = board.figures[dish[entry], rows.term_figure[term]]
    return rows.term_row[term], column[entry], rows.term_value[term] * size[entry] * figure


def _open(board: Board, waiting: Waiting | None) -> Flags:
    if waiting is None:
        return np.zeros(board.rows.count, dtype=np.bool_)
    return waiting.open_rows


def _tie_rows(
    build: Draft,
    plan: Plan,
    entries: Entries,
    candidates: Mapping[int, Sequence[int]],
    strict: bool,
) -> None:
    """How many dishes a cell takes; steps above the least only for a dish that is chosen."""
    board = plan.board
    at = 0
    for cell in sorted(candidates):
        many = len(candidates[cell])
        cols = list(range(at, at + many))
        at += many
        least, most = float(board.cell_least[cell]), float(board.cell_most[cell])
        filled = sum(times for _, times, _ in plan.picks.get(cell, ())) >= least
        values = [1.0] * many
        if not strict and not filled:
            cols.append(build.column(MISS_DISH_G, INFINITE))
            values.append(1.0)
        build.line(least, most, cols, values)
    nx = entries.choices
    for e, (x, r) in enumerate(zip(entries.e_of.tolist(), entries.e_dish.tolist(), strict=True)):
        if x >= 0:
            span = float(np.rint((board.most[r] - board.least[r]) * board.steps[r]))
            build.line(-INFINITE, 0.0, (nx + e, x), (1.0, -span))
