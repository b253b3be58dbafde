"""All choices that can still be in a better menu, given to the solver at once.

A dish whose forced presence would lift the bound above the best menu found is
left out: no menu lighter than that one holds it. So what the solver proves of
the rest is proven of the whole.
"""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Floats
from fellfare.menu.model.part import begun_at, part_of, solve_part
from fellfare.menu.model.plan import Plan
from fellfare.menu.model.pricing import Prices, plate_prices, values
from fellfare.menu.solver import Effort
from fellfare.menu.solver.highs import Watch

#: Above so many columns the whole is not given to the solver at once.
MOST_COLUMNS = 30_000


class Finished(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The best plan; a bound on the whole board; whether nothing keeps all rows (proven)."""

    plan: Plan
    bound: float
    impossible: bool
    seconds: float


def finished(
    board: Board, prices: Prices, bound: float, plan: Plan, effort: Effort, watch: Watch
) -> Finished | None:
    """The best of all menus, if the choices left are few enough (None: they are too many).

    ``bound`` is proven already with ``prices``. A ``plan`` that is not whole
    says nothing about what is best, so every dish that may stand stays then.
    """
    upper = plan.cost() if plan.whole else float("inf")
    kept = survivors(board, prices, bound, upper)
    plates = sum(
        len(dishes) * (1 + int(board.plate_start[cell + 1] - board.plate_start[cell]))
        for cell, dishes in kept.items()
    )
    if plates > MOST_COLUMNS:
        return None
    if plan.whole:
        for cell, picks in plan.picks.items():
            kept[cell] = sorted(set(kept[cell]) | {r for r, _, _ in picks})
    part = part_of(Plan(board), kept, strict=True)
    if plan.whole:
        part = begun_at(part, plan)
    out, new = solve_part(Plan(board), part, effort, watch)
    # what was left out cannot be in a menu lighter than ``upper``
    proven = max(bound, min(out.bound + board.offset, upper))
    best = plan
    if new is not None and new.whole and (not plan.whole or new.cost() < upper):
        best = new
    return Finished(
        plan=best,
        bound=proven,
        impossible=out.status == "impossible" and not plan.whole,
        seconds=out.seconds,
    )


def survivors(board: Board, prices: Prices, bound: float, upper: float) -> dict[int, list[int]]:
    """Per cell the dishes that a menu lighter than ``upper`` may still hold.

    Forcing a dish into a cell raises the bound by at least what it costs more
    than the dish it displaces; where that passes ``upper`` the dish is out.
    """
    per_plate = plate_prices(board, prices.rows)
    room = upper - bound + 1e-6 * abs(upper)
    kept: dict[int, list[int]] = {}
    step = max(1, 4_000_000 // max(1, board.dishes))
    for first in range(0, board.cells, step):
        last = min(board.cells, first + step)
        table = values(board, per_plate, prices, first, last)
        for cell in range(first, last):
            line = table[cell - first]
            fits = np.isfinite(line)
            displaced = _displaced(board, cell, np.sort(line[fits]))
            kept[cell] = np.nonzero(fits & (line - displaced <= room))[0].tolist()
    return kept


def _displaced(board: Board, cell: int, ranked: Floats) -> float:
    """The value that a forced dish would push out at most: the last one taken, or none (0)."""
    least, most = int(board.cell_least[cell]), int(board.cell_most[cell])
    twice = int(board.cell_twice[cell])
    taken: list[float] = []
    for value in ranked[: most + 1].tolist():
        for _ in range(twice):
            if len(taken) < least or (len(taken) < most and value < 0):
                taken.append(value)
    if not taken or (len(taken) < most and len(taken) > least):
        return 0.0
    # in a full cell the last goes; in one with room left it only may
    return taken[-1] if len(taken) == most else max(0.0, taken[-1])
