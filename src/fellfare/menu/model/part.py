"""A part of the menu chosen anew, all else standing: one small mixed model.

Free cells choose among their candidates; other plates may have their portions
free; the rest stands. Rows whose cells are all decided or free are kept (missing
them costs ``MISS_G`` per their own size); rows with cells still open are only
priced. Portions are whole numbers of steps, so what comes back can be weighed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Floats, Indices, activity, spans, weighed
from fellfare.menu.model.plan import Plan
from fellfare.menu.model.pricing import Prices, plate_prices
from fellfare.menu.model.relaxing import MISS_DISH_G, MISS_G
from fellfare.menu.solver import Effort, Outcome, Problem, solve
from fellfare.menu.solver.highs import Watch
from fellfare.menu.solver.problem import Ints

INFINITE = float("inf")


class Part(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The small model and how to read its answer."""

    problem: Problem
    start: tuple[Ints, Floats] | None
    x_cell: Indices
    x_dish: Indices
    e_plate: Indices
    e_dish: Indices
    e_column: Indices
    base: dict[int, list[tuple[int, int]]]  # cells whose dishes stand: (dish, times)
    cells: tuple[int, ...]


def part_of(
    plan: Plan,
    candidates: Mapping[int, Sequence[int]],
    portions: Sequence[int] = (),
    open_cells: Indices | None = None,
    prices: Prices | None = None,
    relaxed: frozenset[int] = frozenset(),
    by_steps: bool = True,
) -> Part:
    """The model for the cells in ``candidates``, with the plates of ``portions`` portioned anew.

    ``open_cells``: cells that nobody has decided yet (none by default); rows and
    families that reach into them are priced with ``prices``. Cells in ``relaxed``
    may take parts of dishes (an estimate for later).
    """
    board = plan.board
    rows = board.rows
    free = sorted(candidates)
    x_cell = np.array([c for c in free for _ in candidates[c]], dtype=np.int64)
    x_dish = np.array([r for c in free for r in candidates[c]], dtype=np.int64)
    nx = x_cell.shape[0]
    standing: dict[int, list[tuple[int, int]]] = {}
    plates_standing: list[int] = []
    for served_plate in portions:
        cell = int(board.plate_cell[served_plate])
        if cell in candidates or cell not in plan.picks:
            continue
        plates_standing.append(served_plate)
        standing[cell] = [(r, times) for r, times, _ in plan.picks[cell]]

    # one entry per (plate, dish) that the model may move
    counts = board.plate_start[x_cell + 1] - board.plate_start[x_cell]
    ex = np.repeat(np.arange(nx), counts)
    ep = spans(board.plate_start[x_cell], counts)
    ed = x_dish[ex] if nx else np.zeros(0, dtype=np.int64)
    served = [
        (p, r, times) for p in plates_standing for r, times in standing[int(board.plate_cell[p])]
    ]
    sp, sd, st = np.array(served, dtype=np.int64).reshape(len(served), 3).T
    span_x = np.rint((board.most[ed] - board.least[ed]) * board.steps[ed])
    span_s = np.rint((board.most[sd] - board.least[sd]) * board.steps[sd]) * st
    move_x, move_s = np.nonzero(span_x > 0)[0], np.nonzero(span_s > 0)[0]
    ne = move_x.shape[0] + move_s.shape[0]
    e_plate = np.concatenate([ep[move_x], sp[move_s]])
    e_dish = np.concatenate([ed[move_x], sd[move_s]])
    e_of = np.concatenate([ex[move_x], np.full(move_s.shape[0], -1, dtype=np.int64)])
    e_span = np.concatenate([span_x[move_x], span_s[move_s]])

    # coefficients on the rows of the board
    plate = np.concatenate([ep, e_plate])
    dish = np.concatenate([ed, e_dish])
    column = np.concatenate([ex, nx + np.arange(ne)])
    size = np.concatenate([board.least[ed], 1.0 / board.steps[e_dish]])
    terms = rows.term_start[plate + 1] - rows.term_start[plate]
    entry = np.repeat(np.arange(plate.shape[0]), terms)
    term = spans(rows.term_start[plate], terms)
    value = rows.term_value[term] * size[entry] * board.figures[dish[entry], rows.term_figure[term]]
    row = rows.term_row[term]
    col = column[entry]

    # which rows are kept, which only priced
    is_open = np.zeros(rows.count, dtype=np.bool_)
    open_now = np.zeros(board.cells, dtype=np.bool_)
    if open_cells is not None:
        open_now[open_cells] = True
        open_now[np.array(free, dtype=np.int64)] = False
        plate_open = open_now[board.plate_cell]
        per_term = np.repeat(plate_open, np.diff(rows.term_start))
        is_open[rows.term_row[per_term]] = True
    cost_of = board.plate_cost
    if prices is not None and is_open.any():
        cost_of = plate_prices(board, np.where(is_open, prices.rows, 0.0))
    per = np.einsum("ij,ij->i", cost_of[plate], board.figures[dish]) * size
    cost = np.bincount(column, weights=per, minlength=nx + ne)
    cost[:nx] += board.dish_bonus[x_dish] * counts
    index_of = {(int(c), int(r)): at for at, (c, r) in enumerate(zip(x_cell, x_dish, strict=True))}
    for cell, r, bonus in board.cell_bonus:
        if (cell, r) in index_of:
            cost[index_of[cell, r]] += bonus

    build = _Draft(nx + ne)
    build.cost[:] = cost.tolist()
    build.low[:] = [0.0] * (nx + ne)
    build.high[:] = [float(board.cell_twice[c]) for c in x_cell] + e_span.tolist()
    soft = np.array([c in relaxed for c in x_cell.tolist()], dtype=np.bool_)
    whole_e = np.array([by_steps and (o < 0 or not soft[o]) for o in e_of.tolist()], dtype=np.bool_)
    build.whole[:] = (~soft).tolist() + whole_e.tolist()

    _tie_rows(build, board, free, x_cell, nx, e_of, e_dish, candidates)
    rest = _rest(plan, candidates, plates_standing, sp, sd, st)
    _board_rows(build, plan, row, col, value, is_open, rest)
    _family_rows(build, plan, candidates, index_of, open_now, prices, x_cell, x_dish)
    e_column = nx + np.arange(ne)
    return Part(
        problem=build.problem(),
        start=None,
        x_cell=x_cell,
        x_dish=x_dish,
        e_plate=e_plate,
        e_dish=e_dish,
        e_column=e_column,
        base=standing,
        cells=tuple(free),
    )


class _Draft:
    """Columns and rows while they are put together."""

    def __init__(self, columns: int) -> None:
        self.cost: list[float] = [0.0] * columns
        self.low: list[float] = [0.0] * columns
        self.high: list[float] = [INFINITE] * columns
        self.whole: list[bool] = [False] * columns
        self.row_low: list[float] = []
        self.row_high: list[float] = []
        self.row: list[Indices] = []
        self.col: list[Indices] = []
        self.value: list[Floats] = []

    def column(self, cost: float, high: float, whole: bool = False) -> int:
        self.cost.append(cost)
        self.low.append(0.0)
        self.high.append(high)
        self.whole.append(whole)
        return len(self.cost) - 1

    def line(self, low: float, high: float, cols: Sequence[int], values: Sequence[float]) -> int:
        at = len(self.row_low)
        self.row_low.append(low)
        self.row_high.append(high)
        self.row.append(np.full(len(cols), at, dtype=np.int64))
        self.col.append(np.array(cols, dtype=np.int64))
        self.value.append(np.array(values, dtype=np.float64))
        return at

    def problem(self) -> Problem:
        row = np.concatenate(self.row) if self.row else np.zeros(0, dtype=np.int64)
        col = np.concatenate(self.col) if self.col else np.zeros(0, dtype=np.int64)
        value = np.concatenate(self.value) if self.value else np.zeros(0)
        many, wide = len(self.row_low), len(self.cost)
        marks, back = np.unique(row * np.int64(wide) + col, return_inverse=True)
        value = weighed(back, value, marks.shape[0])
        return Problem(
            cost=np.array(self.cost, dtype=np.float64),
            low=np.array(self.low, dtype=np.float64),
            high=np.array(self.high, dtype=np.float64),
            whole=np.array(self.whole, dtype=np.bool_),
            row_low=np.array(self.row_low, dtype=np.float64),
            row_high=np.array(self.row_high, dtype=np.float64),
            start=np.searchsorted(marks, np.arange(many + 1) * np.int64(wide)).astype(np.int32),
            index=(marks % max(1, wide)).astype(np.int32),
            value=value,
        )


def _tie_rows(
    build: _Draft,
    board: Board,
    free: Sequence[int],
    x_cell: Indices,
    nx: int,
    e_of: Indices,
    e_dish: Indices,
    candidates: Mapping[int, Sequence[int]],
) -> None:
    """How many dishes a cell takes; a portion above the least only for a dish that is chosen."""
    at = 0
    for cell in free:
        many = len(candidates[cell])
        cols = list(range(at, at + many))
        at += many
        least, most = float(board.cell_least[cell]), float(board.cell_most[cell])
        values = [1.0] * many
        if least > 0:
            cols.append(build.column(MISS_DISH_G, INFINITE))
            values.append(1.0)
        build.line(least, most, cols, values)
    for e, x in enumerate(e_of.tolist()):
        if x >= 0:
            r = int(e_dish[e])
            span = float(np.rint((board.most[r] - board.least[r]) * board.steps[r]))
            build.line(-INFINITE, 0.0, (nx + e, x), (1.0, -span))


def _rest(
    plan: Plan,
    candidates: Mapping[int, Sequence[int]],
    plates_standing: Sequence[int],
    sp: Indices,
    sd: Indices,
    st: Indices,
) -> Floats:
    """What all that stands brings to the rows; free portions of standing plates at their least."""
    board = plan.board
    rest = plan.act.copy()
    if candidates:
        moved = plan.portions([c for c in candidates if c in plan.picks])
        if moved[0].shape[0]:
            rest -= activity(board, *moved)
    if plates_standing:
        cells = sorted({int(board.plate_cell[p]) for p in plates_standing})
        plate, dish, servings = plan.portions(cells)
        mine = np.isin(plate, np.array(plates_standing))
        rest -= activity(board, plate[mine], dish[mine], servings[mine])
        rest += activity(board, sp, sd, board.least[sd] * st)
    return rest


def _board_rows(
    build: _Draft,
    plan: Plan,
    row: Indices,
    col: Indices,
    value: Floats,
    is_open: np.ndarray[tuple[int], np.dtype[np.bool_]],
    rest: Floats,
) -> None:
    board = plan.board
    rows = board.rows
    kept = ~is_open[row]
    row, col, value = row[kept], col[kept], value[kept]
    touched = np.zeros(rows.count, dtype=np.bool_)
    touched[row] = True
    extra_of: dict[int, int] = {}
    if rows.extra_row.shape[0]:
        bought = np.array([bool(food) for food in board.extras.food], dtype=np.bool_)
        on = bought[rows.extra_column] & ~is_open[rows.extra_row]
        for _ in range(2):  # rows -> packs -> rows of those packs and the purse
            columns = np.unique(rows.extra_column[on & touched[rows.extra_row]])
            touched[rows.extra_row[on & np.isin(rows.extra_column, columns)]] = True
        for e in columns.tolist():
            extra_of[e] = build.column(
                float(board.extras.cost[e]), float(board.extras.high[e]), whole=True
            )
    order = np.nonzero(touched)[0]
    local = np.full(rows.count, -1, dtype=np.int64)
    base = len(build.row_low)
    for at, r in enumerate(order.tolist()):
        local[r] = base + at
        cols: list[int] = []
        values: list[float] = []
        price = MISS_G / float(rows.scale[r])
        if np.isfinite(rows.low[r]):
            cols.append(build.column(price, INFINITE))
            values.append(1.0)
        if np.isfinite(rows.high[r]):
            cols.append(build.column(price, INFINITE))
            values.append(-1.0)
        build.line(float(rows.low[r] - rest[r]), float(rows.high[r] - rest[r]), cols, values)
    build.row.append(local[row])
    build.col.append(col)
    build.value.append(value)
    for r, e, v in zip(
        rows.extra_row.tolist(), rows.extra_column.tolist(), rows.extra_value.tolist(), strict=True
    ):
        if e in extra_of and local[r] >= 0:
            build.row.append(np.array([local[r]], dtype=np.int64))
            build.col.append(np.array([extra_of[e]], dtype=np.int64))
            build.value.append(np.array([v], dtype=np.float64))


def _family_rows(
    build: _Draft,
    plan: Plan,
    candidates: Mapping[int, Sequence[int]],
    index_of: Mapping[tuple[int, int], int],
    open_now: np.ndarray[tuple[int], np.dtype[np.bool_]],
    prices: Prices | None,
    x_cell: Indices,
    x_dish: Indices,
) -> None:
    board = plan.board
    touched = sorted({f for cell in candidates for f in board.families_of[cell]})
    price_of: dict[int, list[tuple[int, float]]] = {}
    if prices is not None:
        for f, k, price in zip(
            prices.family.tolist(), prices.key.tolist(), prices.price.tolist(), strict=True
        ):
            price_of.setdefault(f, []).append((k, price))
    seen: set[tuple[float, bytes]] = set()
    for f in touched:
        family = board.families[f]
        cells = family.cells.tolist()
        reaches_open = bool(open_now[family.cells].any())
        members: dict[int, list[int]] = {}
        for cell in cells:
            for r in candidates.get(cell, ()):
                k = int(family.key[r])
                if k >= 0:
                    members.setdefault(k, []).append(index_of[cell, r])
        if reaches_open:
            for k, price in price_of.get(f, ()):
                for at in members.get(k, ()):
                    build.cost[at] -= price
        if family.extra is not None:
            if not reaches_open:
                _count_different(build, plan, family.extra, family.key, cells, candidates, members)
            continue
        standing = plan.used([c for c in cells if c not in candidates], family.key, family.keys)
        if np.isfinite(family.low):
            if reaches_open:
                continue
            for k in range(family.keys):
                cols = [*members.get(k, ()), build.column(MISS_DISH_G, INFINITE)]
                build.line(family.low - standing[k], INFINITE, cols, [1.0] * len(cols))
            continue
        for k, cols in members.items():
            room = family.high - standing[k]
            most = sum(build.high[at] for at in cols)
            mark = (room, np.array(cols).tobytes())
            if most <= room or mark in seen:
                continue
            seen.add(mark)
            if room <= 0:
                for at in cols:
                    build.high[at] = 0.0
            else:
                build.line(-INFINITE, float(room), cols, [1.0] * len(cols))


def _count_different(
    build: _Draft,
    plan: Plan,
    extra: Indices,
    key: Indices,
    cells: Sequence[int],
    candidates: Mapping[int, Sequence[int]],
    members: Mapping[int, Sequence[int]],
) -> None:
    """At least so many different dishes: those that stand count, new ones count once."""
    board = plan.board
    rows = board.rows
    standing = plan.used([c for c in cells if c not in candidates], key, extra.shape[0])
    wanted = rows.extra_row[np.isin(rows.extra_column, extra)]
    if wanted.shape[0] == 0:
        return
    row = int(wanted[0])
    need = float(rows.low[row]) - float((standing > 0).sum())
    if need <= 0:
        return
    cols = [build.column(MISS_G / float(rows.scale[row]), INFINITE)]
    for k, at in members.items():
        if standing[k] > 0:
            continue
        counts = build.column(0.0, 1.0)
        build.line(0.0, INFINITE, [*at, counts], [1.0] * len(at) + [-1.0])
        cols.append(counts)
    build.line(need, INFINITE, cols, [1.0] * len(cols))


def begun_at(part: Part, plan: Plan) -> Part:
    """The same part, to begin from what a plan has in its cells."""
    board = plan.board
    times = {(c, r): many for c, picks in plan.picks.items() for r, many, _ in picks}
    steps = {
        (int(board.plate_start[c]) + at, r): each - round(
            float(board.least[r] * board.steps[r])
        ) * many
        for c, picks in plan.picks.items()
        for r, many, portion in picks
        for at, each in enumerate(portion)
    }  # fmt: skip
    x = [
        float(times.get((c, r), 0))
        for c, r in zip(part.x_cell.tolist(), part.x_dish.tolist(), strict=True)
    ]
    e = [
        float(steps.get((p, r), 0))
        for p, r in zip(part.e_plate.tolist(), part.e_dish.tolist(), strict=True)
    ]
    index = np.concatenate([np.arange(len(x)), part.e_column]).astype(np.int32)
    return msgspec.structs.replace(part, start=(index, np.array(x + e, dtype=np.float64)))


def solve_part(
    plan: Plan, part: Part, effort: Effort, watch: Watch | None = None
) -> tuple[Outcome, Plan | None]:
    """Solve it; the plan with the part filled in (None when nothing was found)."""
    out = solve(part.problem, effort, watch, part.start)
    if out.x is None:
        return out, None
    return out, filled(plan, part, out.x)


def filled(plan: Plan, part: Part, x: Floats) -> Plan:
    """The plan with the part's answer in its cells, portions in whole steps."""
    board = plan.board
    new = plan.copy()
    above: dict[tuple[int, int], int] = {}
    for plate, dish, column in zip(
        part.e_plate.tolist(), part.e_dish.tolist(), part.e_column.tolist(), strict=True
    ):
        above[plate, dish] = round(float(x[column]))
    for cell in part.cells:
        new.picks[cell] = []
    touched = list(part.cells)
    for at, (cell, dish) in enumerate(zip(part.x_cell.tolist(), part.x_dish.tolist(), strict=True)):
        times = round(float(x[at]))
        if times > 0:
            new.picks[cell].append((dish, times, _steps(board, cell, dish, times, above, None)))
    for cell, picks in part.base.items():
        old = {dish: steps for dish, _, steps in plan.picks[cell]}
        new.picks[cell] = [
            (dish, times, _steps(board, cell, dish, times, above, old[dish]))
            for dish, times in picks
        ]
        touched.append(cell)
    before = plan.portions([c for c in touched if c in plan.picks])
    after = new.portions(touched)
    if before[0].shape[0]:
        new.act = new.act - activity(board, *before)
    if after[0].shape[0]:
        new.act = new.act + activity(board, *after)
    return new


def _steps(
    board: Board,
    cell: int,
    dish: int,
    times: int,
    above: Mapping[tuple[int, int], int],
    old: tuple[int, ...] | None,
) -> tuple[int, ...]:
    least = round(float(board.least[dish] * board.steps[dish])) * times
    first, last = int(board.plate_start[cell]), int(board.plate_start[cell + 1])
    if old is None:
        return tuple(least + above.get((p, dish), 0) for p in range(first, last))
    return tuple(
        least + above[p, dish] if (p, dish) in above else old[p - first] for p in range(first, last)
    )
