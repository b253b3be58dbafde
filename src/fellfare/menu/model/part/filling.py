"""From the small model's answer to the plan, and from a plan to where the model begins."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Floats
from fellfare.menu.model.part.building import Part
from fellfare.menu.model.plan import Pick, Plan
from fellfare.menu.solver import Effort, Outcome, rounded, small_tree, solve
from fellfare.menu.solver.highs import Watch

#: So many choices, broken portions with them, may be settled by ``solver.tree``, in so
#: many linear models.
MOST_CHOICES = 200
MOST_MODELS = 40


def begun_at(part: Part, plan: Plan) -> Part:
    """The same part, to begin from what a plan has in its cells."""
    board = plan.board
    times = {(c, r): many for c, picks in plan.picks.items() for r, many, _ in picks}
    steps = {
        (int(board.plate_start[c]) + at, r): each - _least(board, r) * many
        for c, picks in plan.picks.items()
        for r, many, portion in picks
        for at, each in enumerate(portion)
    }
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
    out = _few(part, effort) if watch is None and effort.light else None
    if out is None:
        out = solve(part.problem, effort, watch, part.start)
    if out.x is None:
        return out, None
    return out, filled(plan, part, out.x)


def _few(part: Part, effort: Effort) -> Outcome | None:
    """The same model without a solver's tree, where it is small; None: not settled so."""
    problem = part.problem
    free, steps = part.x_cell.shape[0], part.e_column.shape[0]
    packs = np.nonzero(problem.whole[free + steps :])[0] + free + steps
    if free == 0:
        return rounded(problem, effort, packs.tolist())
    if free <= MOST_CHOICES and not problem.whole[free : free + steps].any():
        out = small_tree(problem, effort, MOST_MODELS, packs.tolist())
        return None if out is None or out.status == "stopped" else out
    return None


def filled(plan: Plan, part: Part, x: Floats) -> Plan:
    """The plan with the part's answer in its cells, portions in whole steps."""
    board = plan.board
    new: dict[int, list[Pick]] = {cell: [] for cell in part.cells}
    above = {
        (plate, dish): round(float(x[column]))
        for plate, dish, column in zip(
            part.e_plate.tolist(), part.e_dish.tolist(), part.e_column.tolist(), strict=True
        )
    }
    for at, (cell, dish) in enumerate(zip(part.x_cell.tolist(), part.x_dish.tolist(), strict=True)):
        times = round(float(x[at]))
        if times > 0:
            steps = _steps(board, cell, dish, times, above, None)
            new[cell].append((dish, times, steps))
    for cell, picks in part.base.items():
        old = {dish: steps for dish, _, steps in plan.picks[cell]}
        new[cell] = [
            (dish, times, _steps(board, cell, dish, times, above, old[dish]))
            for dish, times in picks
        ]
    return plan.with_cells(new)


def _least(board: Board, dish: int) -> int:
    return round(float(board.least[dish] * board.steps[dish]))


def _steps(
    board: Board,
    cell: int,
    dish: int,
    times: int,
    above: Mapping[tuple[int, int], int],
    old: tuple[int, ...] | None,
) -> tuple[int, ...]:
    """Steps per eater: the least and what is above it, or (``old``) what stood where none moved."""
    least = _least(board, dish) * times
    first, last = int(board.plate_start[cell]), int(board.plate_start[cell + 1])
    if old is None:
        return tuple(least + above.get((p, dish), 0) for p in range(first, last))
    return tuple(
        least + above[p, dish] if (p, dish) in above else old[p - first] for p in range(first, last)
    )
