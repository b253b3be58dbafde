"""The rows of a small model: the board's rows on portions and on choices."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from fellfare.menu.model.board import Board, Flags, Floats, Indices, activity
from fellfare.menu.model.part.draft import INFINITE, Draft
from fellfare.menu.model.plan import MISS_DISH_G, MISS_G, Plan, allowance
from fellfare.menu.model.pricing import Guide
from fellfare.menu.model.waiting import Waiting

#: Straying from what is expected of cells that wait costs so many times the row's
#: own price, and what the guide says.
STRAY_TIMES = 3.0
#: Foods may stray by so much of a pack at what other rows may by all that is expected.
PART_OF_PACK = 0.25


def rest_of(
    plan: Plan,
    candidates: Mapping[int, Sequence[int]],
    standing: Mapping[int, object],
    s_plate: Indices,
    s_dish: Indices,
    s_times: Indices,
) -> Floats:
    """What all that stands brings to the rows; free portions of standing plates at their least."""
    board = plan.board
    rest = plan.act.copy()
    moved = plan.portions([c for c in candidates if c in plan.picks])
    if moved[0].shape[0]:
        rest -= activity(board, *moved)
    if standing:
        plate, dish, servings = plan.portions(sorted(standing))
        mine = np.isin(plate, s_plate)
        rest -= activity(board, plate[mine], dish[mine], servings[mine])
        rest += activity(board, s_plate, s_dish, board.least[s_dish] * s_times)
    return rest


def widened(board: Board, limit: Floats, sign: float) -> Floats:
    """Limits moved outwards by a part of what counts as kept, so that no rounding misses them.

    Not those of packs: a crumb too much is a pack more.
    """
    more = np.where(board.pack_rows, 0.0, allowance(board.rows, limit) / 4)
    return np.asarray(limit + sign * more, dtype=np.float64)


def portion_rows(
    build: Draft,
    plan: Plan,
    entries: tuple[Indices, Indices, Floats],
    rest: Floats,
    open_rows: Flags,
    waiting: Waiting | None,
    guide: Guide | None,
    strict: bool,
) -> None:
    """Rows that the part touches, and the packs and the purse that hang on them."""
    board = plan.board
    rows = board.rows
    expected = waiting.expected if waiting is not None else None
    # a row of one day that reaches into days to come is only priced
    left_out = open_rows & (rows.rule >= 0)
    strays = open_rows & ~left_out if expected is not None else np.zeros_like(open_rows)
    if expected is not None:
        rest = rest + expected
    row, col, value = entries
    kept = ~left_out[row]
    row, col, value = row[kept], col[kept], value[kept]
    touched = np.zeros(rows.count, dtype=np.bool_)
    touched[row] = True
    packs = waiting.packs if waiting is not None and expected is not None else None
    extra_of = _packs(build, plan, touched, packs, strays)
    missed, pack_rows = plan.missed_rows() > 0, board.pack_rows
    low, high = widened(board, rows.low, -1.0), widened(board, rows.high, 1.0)
    local = np.full(rows.count, -1, dtype=np.int64)
    for r in np.nonzero(touched)[0].tolist():
        price = MISS_G / float(rows.scale[r])
        if strays[r] and guide is not None:
            assert expected is not None
            left = max(abs(float(expected[r])), float(rows.scale[r]) * 1e-3)
            if pack_rows[r]:  # a part too much is a pack too much
                left = PART_OF_PACK * float(rows.scale[r])
            price = STRAY_TIMES * abs(float(guide.prices.rows[r])) + guide.stray_g / left
        cols: list[int] = []
        values: list[float] = []
        loose = strays[r] or (not pack_rows[r] and (missed[r] or expected is not None))
        if pack_rows[r] and packs is None:
            loose = False
        if not strict and loose:
            if np.isfinite(low[r]):
                cols.append(build.column(price, INFINITE))
                values.append(1.0)
            if np.isfinite(high[r]):
                cols.append(build.column(price, INFINITE))
                values.append(-1.0)
        local[r] = build.line(float(low[r] - rest[r]), float(high[r] - rest[r]), cols, values)
    build.block(local[row], col, value)
    for r, e, v in zip(
        rows.extra_row.tolist(), rows.extra_column.tolist(), rows.extra_value.tolist(), strict=True
    ):
        if e in extra_of and local[r] >= 0:
            build.block(np.array([local[r]]), np.array([extra_of[e]]), np.array([v]))


def _packs(
    build: Draft, plan: Plan, touched: Flags, packs: Floats | None, strays: Flags
) -> dict[int, int]:
    """Columns for the packs that the part can change; marks their rows and the purse.

    While cells wait, packs are as many as ``packs`` says, or may be broken: what is
    left of them is for those cells. Else they are whole.
    """
    board = plan.board
    rows, extras = board.rows, board.extras
    if rows.extra_row.shape[0] == 0:
        return {}
    bought = np.array([bool(food) for food in extras.food], dtype=np.bool_)[rows.extra_column]
    for _ in range(2):  # rows -> their packs -> the purse -> all packs that it pays for
        columns = np.unique(rows.extra_column[bought & touched[rows.extra_row]])
        touched[rows.extra_row[bought & np.isin(rows.extra_column, columns)]] = True
    low, high = np.zeros(extras.count), extras.high.copy()
    waits = rows.extra_column[board.pack_rows[rows.extra_row] & strays[rows.extra_row]]
    if packs is not None:
        low[waits] = high[waits] = packs[waits]
    whole = np.ones(extras.count, dtype=np.bool_)
    whole[waits] = False
    return {
        e: build.column(float(extras.cost[e]), float(high[e]), bool(whole[e]), float(low[e]))
        for e in columns.tolist()
    }


def family_rows(
    build: Draft,
    plan: Plan,
    candidates: Mapping[int, Sequence[int]],
    index_of: Mapping[tuple[int, int], int],
    waiting: Waiting | None,
    guide: Guide | None,
    strict: bool,
) -> None:
    """Repeats, favourites and different dishes, as far as the free cells can change them."""
    board = plan.board
    seen: set[tuple[float, bytes]] = set()
    for f in sorted({f for cell in candidates for f in board.families_of[cell]}):
        family = board.families[f]
        cells = family.cells.tolist()
        reaches_open = waiting is not None and bool(waiting.cells[family.cells].any())
        members: dict[int, list[int]] = {}
        for cell in cells:
            for r in candidates.get(cell, ()):
                k = int(family.key[r])
                if k >= 0:
                    members.setdefault(k, []).append(index_of[cell, r])
        if reaches_open and guide is not None:
            for k, price in guide.of_family.get(f, ()):
                for at in members.get(k, ()):
                    build.cost[at] -= price
        standing = plan.used([c for c in cells if c not in candidates], family.key)
        if family.extra is not None:
            if not reaches_open:
                _count_different(build, plan, family.extra, standing, members, strict)
        elif np.isfinite(family.low):
            if not reaches_open:
                _at_least(build, plan, f, standing, members, strict)
        else:
            _at_most(build, family.high, standing, members, seen)


def _at_least(
    build: Draft,
    plan: Plan,
    f: int,
    standing: Mapping[int, int],
    members: Mapping[int, Sequence[int]],
    strict: bool,
) -> None:
    family = plan.board.families[f]
    now = plan.used(family.cells.tolist(), family.key)
    for k in range(family.keys):
        cols = list(members.get(k, ()))
        if not strict and now.get(k, 0) < family.low:
            cols.append(build.column(MISS_DISH_G, INFINITE))
        build.line(family.low - standing.get(k, 0), INFINITE, cols, [1.0] * len(cols))


def _at_most(
    build: Draft,
    high: float,
    standing: Mapping[int, int],
    members: Mapping[int, Sequence[int]],
    seen: set[tuple[float, bytes]],
) -> None:
    """What stands already too often is not taken again; the same row is made only once."""
    for k, cols in members.items():
        room = high - standing.get(k, 0)
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
    build: Draft,
    plan: Plan,
    extra: Indices,
    standing: Mapping[int, int],
    members: Mapping[int, Sequence[int]],
    strict: bool,
) -> None:
    """At least so many different dishes: those that stand count, new ones count once.

    Where every different one is worth something they are counted beyond what is asked for.
    """
    rows, worth = plan.board.rows, plan.board.extras.cost[extra]
    wanted = rows.extra_row[np.isin(rows.extra_column, extra)]
    if wanted.shape[0] == 0:
        return
    row = int(wanted[0])
    need = float(rows.low[row]) - sum(many > 0 for many in standing.values())
    if need <= 0 and not worth.any():
        return
    cols: list[int] = []
    if not strict and plan.missed_rows()[row] > 0:
        cols.append(build.column(MISS_G / float(rows.scale[row]), INFINITE))
    for k, at in members.items():
        if standing.get(k, 0) > 0:
            continue
        counts = build.column(float(worth[k]), 1.0)
        build.line(0.0, INFINITE, [*at, counts], [1.0] * len(at) + [-1.0])
        cols.append(counts)
    if need > 0:
        build.line(need, INFINITE, cols, [1.0] * len(cols))
