"""The menu with every wish on a spring: what is the least that must give?

All choices of all eating times at once, in one mixed model. Every single wish
may be missed by an amount (a column ``s``, in parts of the wish's own size); a
column ``g`` of 0 or 1 per group says whether that group gives at all. What stays
firm: an eating time gets its dishes, and only dishes that its eaters may have.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from fellfare.menu.impossible.choices import choices
from fellfare.menu.impossible.singles import Apart
from fellfare.menu.impossible.springs import INFINITE, Build, Sprung
from fellfare.menu.model.board import Board, Family, Floats, Indices, spans, weighed
from fellfare.menu.model.laying import lay_board
from fellfare.menu.pool import Lock, Question


def sprung(apart: Apart, original: Question, light: bool = False) -> Sprung:
    """The model of a question taken apart (``original`` still has its locks and bans).

    ``light`` leaves the repeat rules out, which are most rows of a long walk:
    what cannot be done in a light model cannot be done, but not the other way round.
    """
    board = lay_board(apart.question)
    chosen, whole = choices(board, apart.question, original)
    x_cell = np.array([c for c, dishes in enumerate(chosen) for _ in dishes], dtype=np.int64)
    x_dish = np.array([r for dishes in chosen for r in dishes], dtype=np.int64)
    build = Build()
    held: dict[tuple[int, int], int] = {}
    for lock in original.locks:
        for place in held_cells(board, original, lock):
            held[place] = held.get(place, 0) + 1
    twice = [
        float(max(board.cell_twice[c], held.get((int(c), int(r)), 0)))
        for c, r in zip(x_cell.tolist(), x_dish.tolist(), strict=True)
    ]
    build.columns(twice, whole=True)

    counts = board.plate_start[x_cell + 1] - board.plate_start[x_cell]
    ex = np.repeat(np.arange(x_cell.shape[0]), counts)
    ep = spans(board.plate_start[x_cell], counts)
    ed = x_dish[ex]
    span = np.rint((board.most[ed] - board.least[ed]) * board.steps[ed])
    moves = np.nonzero(span > 0)[0]
    e_plate, e_dish, e_of = ep[moves], ed[moves], ex[moves]
    first_e = build.columns((span[moves] * np.array(twice)[e_of]).tolist(), whole=True)
    ties = build.lines([-INFINITE] * moves.shape[0], [0.0] * moves.shape[0], [-1] * moves.shape[0])
    tie = ties + np.arange(moves.shape[0])
    build.entries(tie, first_e + np.arange(moves.shape[0]), np.ones(moves.shape[0]))
    build.entries(tie, e_of, -span[moves])

    at = 0
    for cell, dishes in enumerate(chosen):
        cols = list(range(at, at + len(dishes)))
        at += len(dishes)
        build.line(
            float(board.cell_least[cell]), float(board.cell_most[cell]), cols, [1.0] * len(cols)
        )
    plate = np.concatenate([ep, e_plate])
    dish = np.concatenate([ed, e_dish])
    column = np.concatenate([ex, first_e + np.arange(moves.shape[0])])
    size = np.concatenate([board.least[ed], 1.0 / board.steps[e_dish]])
    tags = {single.tag: number for number, single in enumerate(apart.singles)}
    _portion_rows(build, apart, board, original, plate, dish, column, size)
    index = {(int(c), int(r)): k for k, (c, r) in enumerate(zip(x_cell, x_dish, strict=True))}
    families = [each for each in board.families if not light or np.isfinite(each.low)]
    _choice_rows(build, families, tags, chosen, index)
    _dish_rows(build, apart, board, original, index)

    group_column = build.columns([1.0] * len(apart.groups), whole=True)
    for spring in build.springs:
        group = apart.singles[spring.single].group
        build.line(-INFINITE, 0.0, [spring.column, group_column + group], [1.0, -spring.most])
    cost = np.zeros(len(build.high))
    per = np.einsum("ij,ij->i", board.plate_cost[plate], board.figures[dish]) * size
    np.add.at(cost, column, per)
    cost[: x_cell.shape[0]] += board.dish_bonus[x_dish] * counts
    return Sprung(
        apart=apart,
        board=board,
        problem=build.problem(),
        x_cell=x_cell,
        x_dish=x_dish,
        e_plate=e_plate,
        e_dish=e_dish,
        springs=tuple(build.springs),
        group_column=group_column,
        row_single=np.array(build.single, dtype=np.int64),
        cost=cost,
        whole=whole,
    )


def _portion_rows(
    build: Build,
    apart: Apart,
    board: Board,
    original: Question,
    plate: Indices,
    dish: Indices,
    column: Indices,
    size: Floats,
) -> None:
    """The board's own rows, each with a spring where a wish stands behind it."""
    rows = board.rows
    terms = rows.term_start[plate + 1] - rows.term_start[plate]
    entry = np.repeat(np.arange(plate.shape[0]), terms)
    term = spans(rows.term_start[plate], terms)
    value = rows.term_value[term] * size[entry] * board.figures[dish[entry], rows.term_figure[term]]
    row, col = rows.term_row[term], column[entry]
    highest = np.array(build.high)
    most = weighed(row, np.maximum(value, 0.0) * highest[col], rows.count)
    least = weighed(row, np.minimum(value, 0.0) * highest[col], rows.count)
    singles = _singles_of_rows(apart, board)
    first = build.lines(rows.low.tolist(), rows.high.tolist(), singles)
    build.entries(first + row, col, value)
    _extra_columns(build, apart, board, original, most)
    extra = build.extra
    for r, e, v in zip(
        rows.extra_row.tolist(), rows.extra_column.tolist(), rows.extra_value.tolist(), strict=True
    ):
        build.entries(np.array([first + r]), np.array([extra[e]]), np.array([v]))
        if v > 0 and np.isfinite(build.high[extra[e]]):
            most[r] += v * build.high[extra[e]]
    for r, number in enumerate(singles):
        if number < 0:
            continue
        single = apart.singles[number]
        if single.side == "low":
            needed, sign = max(0.0, rows.low[r] - least[r]), 1.0
        else:
            needed, sign = max(0.0, most[r] - rows.high[r]), -1.0
        scale = float(single.size)
        spring = build.spring(number, needed / scale)
        build.entries(np.array([first + r]), np.array([spring]), np.array([sign * scale]))


def _singles_of_rows(apart: Apart, board: Board) -> list[int]:
    """Which single wish each row stands for; rows of the pot are known by day and time."""
    tags = {single.tag: number for number, single in enumerate(apart.singles)}
    pots = {}
    for number, single in enumerate(apart.singles):
        if single.kind == "pot":
            slot = apart.question.slots[single.at]
            pots[f"what the pot holds, {slot.time}", f"day {slot.day}"] = number
    return [
        tags.get(wish, pots.get((wish, where), -1))
        for wish, where in zip(board.rows.wish, board.rows.where, strict=True)
    ]


def _extra_columns(
    build: Build, apart: Apart, board: Board, original: Question, most: Floats
) -> None:
    """Packs that are bought, and dishes that count as different."""
    extras, rows = board.extras, board.rows
    stock = {
        original.packs[single.at].food: number
        for number, single in enumerate(apart.singles)
        if single.kind == "packs"
    }
    at = build.extra
    for e in range(extras.count):
        food = extras.food[e]
        if not food:
            at[e] = build.columns([1.0], whole=False)
            continue
        packs = float(extras.high[e])
        for r, c, v in zip(
            rows.extra_row.tolist(),
            rows.extra_column.tolist(),
            rows.extra_value.tolist(),
            strict=True,
        ):
            if c == e and v < 0:
                packs = float(np.ceil(most[r] / -v)) + 1.0
        at[e] = build.columns([packs], whole=True)
        if food in stock:
            number = stock[food]
            size = apart.singles[number].size
            limit = apart.singles[number].limit
            spring = build.spring(number, max(0.0, packs - limit) / size)
            build.line(-INFINITE, limit, [at[e], spring], [1.0, -size], number)


def _choice_rows(
    build: Build,
    families: Sequence[Family],
    tags: Mapping[str, int],
    chosen: Sequence[Sequence[int]],
    index: Mapping[tuple[int, int], int],
) -> None:
    """Repeats, favourites, dishes that count as different."""
    windows: dict[int, list[tuple[list[int], float, float]]] = {}
    for family in families:
        members: dict[int, list[int]] = {}
        for cell in family.cells.tolist():
            for r in chosen[cell]:
                k = int(family.key[r])
                if k >= 0:
                    members.setdefault(k, []).append(index[cell, r])
        if family.extra is not None:
            for k, e in enumerate(family.extra.tolist()):
                cols = [*members.get(k, ()), build.extra[e]]
                build.line(0.0, INFINITE, cols, [1.0] * (len(cols) - 1) + [-1.0])
            continue
        if family.wish not in tags:  # no wish: what stands only beside a certain pot
            for cols in members.values():
                build.line(-INFINITE, family.high, cols, [1.0] * len(cols))
            continue
        number = tags[family.wish]
        if np.isfinite(family.low):
            cols = [*members.get(0, ()), build.spring(number, family.low)]
            build.line(family.low, INFINITE, cols, [1.0] * len(cols), number)
            continue
        for cols in members.values():
            most = sum(build.high[at] for at in cols)
            if most > family.high:
                windows.setdefault(number, []).append((cols, family.high, most))
    for number, rows in windows.items():
        # one spring for all dishes, eaters and days: it is the rule's own limit that gives
        spring = build.spring(number, max(most for _, _, most in rows))
        for cols, high, _ in rows:
            values = [1.0] * len(cols) + [-1.0]
            build.line(-INFINITE, high, [*cols, spring], values, number)


def _dish_rows(
    build: Build,
    apart: Apart,
    board: Board,
    original: Question,
    index: Mapping[tuple[int, int], int],
) -> None:
    """Fixed, banned and disliked dishes."""
    fixed: dict[tuple[int, int], list[int]] = {}
    for number, single in enumerate(apart.singles):
        if single.kind == "lock":
            spring = build.spring(number, 1.0, whole=True)
            for place in held_cells(board, original, original.locks[single.at]):
                fixed.setdefault(place, []).append(spring)
        elif single.kind in ("ban", "dislike"):
            barred = _barred(apart, board, original, number)
            here = [at for place, at in index.items() if place in barred]
            if here:
                spring = build.spring(number, 1.0, whole=True)
                for at in here:
                    build.line(-INFINITE, 0.0, [at, spring], [1.0, -build.high[at]], number)
    for place, springs in fixed.items():
        cols = [*springs, *([index[place]] if place in index else [])]
        # the row stands for the first of them: two of one dish are fixed together or not at all
        number = next(each.single for each in build.springs if each.column == springs[0])
        build.line(float(len(springs)), INFINITE, cols, [1.0] * len(cols), number)


def held_cells(board: Board, original: Question, lock: Lock) -> list[tuple[int, int]]:
    """(cell, dish) of a fixed dish, for one walker or everybody."""
    at = next(r for r, each in enumerate(original.dishes) if each.id == lock.dish)
    return [
        (cell, at)
        for cell in range(board.cells)
        if (int(board.cell_day[cell]), board.cell_time[cell]) == (lock.day, lock.time)
        and lock.walker in (None, _own(board, cell))
    ]


def _own(board: Board, cell: int) -> str:
    """Whose choice it is; '' for a common one."""
    who = int(board.cell_walker[cell])
    return "" if who < 0 else board.walker_ids[who]


def _barred(apart: Apart, board: Board, original: Question, number: int) -> set[tuple[int, int]]:
    """(cell, dish) that a ban or a dislike speaks against."""
    single = apart.singles[number]
    found: set[tuple[int, int]] = set()
    for cell in range(board.cells):
        day, time, own = int(board.cell_day[cell]), board.cell_time[cell], _own(board, cell)
        if single.kind == "ban":
            ban = original.bans[single.at]
            hit = ban.day in (None, day) and ban.time in (None, time) and ban.walker in (None, own)
            words = {ban.dish}
        else:
            eaters = board.plate_walker[board.plate_start[cell] : board.plate_start[cell + 1]]
            hit = single.at in eaters.tolist()
            words = {single.word}
        if hit:
            found.update(
                (cell, r)
                for r, dish in enumerate(original.dishes)
                if dish.id in words or (single.kind == "dislike" and dish.family in words)
            )
    return found
