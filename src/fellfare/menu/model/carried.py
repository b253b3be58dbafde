"""What of an old answer still holds on a new board: its picks, and its prices.

Cells are known by day, eating time, walker and their number there; dishes by
name; rows by what they say. Prices may be anything and still prove a bound, so
a price without a counterpart is simply left out.
"""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.board import Board
from fellfare.menu.model.plan import Pick, Plan, planned
from fellfare.menu.model.pricing import Prices


def cell_names(board: Board) -> list[tuple[int, str, str, int]]:
    """(day, time, walker or '', number) of every cell; the number counts cells of one time."""
    seen: dict[tuple[int, str, str], int] = {}
    names = []
    for cell in range(board.cells):
        who = int(board.cell_walker[cell])
        key = (
            int(board.cell_day[cell]),
            board.cell_time[cell],
            "" if who < 0 else board.walker_ids[who],
        )
        names.append((*key, seen.get(key, 0)))
        seen[key] = seen.get(key, 0) + 1
    return names


def plan_on(new: Board, old: Board, plan: Plan) -> Plan:
    """The plan's picks on another board, as far as the dishes may stand there.

    Portions of a dish whose range has changed are drawn into the new range.
    """
    place = {name: cell for cell, name in enumerate(cell_names(new))}
    dish_at = {name: at for at, name in enumerate(new.dish_ids)}
    carried: dict[int, list[Pick]] = {}
    for cell, name in enumerate(cell_names(old)):
        there = place.get(name)
        if there is None or cell not in plan.picks:
            continue
        eaters = eaters_of(new, there)
        before = eaters_of(old, cell)
        room = int(new.cell_most[there])
        allowed = new.allowed(there)
        kept: list[Pick] = []
        for r, times, steps in plan.picks[cell]:
            at = dish_at.get(old.dish_ids[r])
            if at is None or not allowed[at] or room <= 0:
                continue
            many = min(times, room, int(new.cell_twice[there]))
            room -= many
            share = dict(zip(before, steps, strict=True))
            kept.append((at, many, _drawn_in(new, old, at, r, many, eaters, share)))
        carried[there] = kept
    return planned(new, carried)


def eaters_of(board: Board, cell: int) -> list[str]:
    """Who eats from a cell, in the order of its plates."""
    first, last = int(board.plate_start[cell]), int(board.plate_start[cell + 1])
    return [board.walker_ids[int(w)] for w in board.plate_walker[first:last]]


def _drawn_in(
    new: Board, old: Board, at: int, r: int, times: int, eaters: list[str], share: dict[str, int]
) -> tuple[int, ...]:
    low = round(float(new.least[at] * new.steps[at])) * times
    high = round(float(new.most[at] * new.steps[at])) * times
    scale = float(new.steps[at] / old.steps[r])
    return tuple(max(low, min(high, round(share.get(who, 0) * scale))) for who in eaters)


def prices_on(new: Board, old: Board, prices: Prices) -> Prices:
    """The prices on another board; rules that are not there are left out, new ones cost nothing."""
    named = {name: float(price) for name, price in zip(_row_names(old), prices.rows, strict=True)}
    rows = np.array([named.get(name, 0.0) for name in _row_names(new)], dtype=np.float64)
    place = {name: at for at, name in enumerate(_family_names(new))}
    old_names = _family_names(old)
    keys: dict[int, dict[str, int]] = {}
    family, key, price = [], [], []
    for f, k, value in zip(
        prices.family.tolist(), prices.key.tolist(), prices.price.tolist(), strict=True
    ):
        at = place.get(old_names[f])
        members = np.nonzero(old.families[f].key == k)[0]
        if at is None or members.shape[0] == 0:
            continue
        if at not in keys:
            numbers = new.families[at].key.tolist()
            keys[at] = {
                name: number
                for name, number in zip(new.dish_ids, numbers, strict=True)
                if number >= 0
            }
        number = keys[at].get(old.dish_ids[int(members[0])])
        if number is not None:
            family.append(at)
            key.append(number)
            price.append(value)
    return Prices(
        rows=rows,
        family=np.array(family, dtype=np.int64),
        key=np.array(key, dtype=np.int64),
        price=np.array(price, dtype=np.float64),
    )


def _row_names(board: Board) -> list[tuple[str, str, str, bool, int]]:
    rows = board.rows
    seen: dict[tuple[str, str, str, bool], int] = {}
    names = []
    for at in range(rows.count):
        name = (rows.wish[at], rows.unit[at], rows.where[at], bool(np.isfinite(rows.low[at])))
        names.append((*name, seen.get(name, 0)))
        seen[name] = seen.get(name, 0) + 1
    return names


def _family_names(board: Board) -> list[tuple[str, int, int, int, tuple[str, ...]]]:
    names = []
    for family in board.families:
        first = int(family.cells[0]) if family.cells.shape[0] else 0
        who = tuple(eaters_of(board, first)) if family.cells.shape[0] else ()
        names.append((family.wish, family.rule, family.first_day, family.span, who))
    return names
