"""An old menu on a new board: where it has holes or misses a rule, mend it there and only there."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from fellfare.menu.answer import Plate
from fellfare.menu.model.board import Board
from fellfare.menu.model.carried import eaters_of
from fellfare.menu.model.part import part_of, solve_part
from fellfare.menu.model.plan import Pick, Plan, planned
from fellfare.menu.model.relaxing import Relaxed
from fellfare.menu.solver import Effort
from fellfare.menu.trying import Trying

#: Candidates for a hole, and for a dish that may have to give way.
FOR_HOLE = 12
FOR_OTHER = 5
#: How near each small model is solved.
CHOOSE = 5e-4
PORTIONS = 3e-4
NODES = 2_000
#: Rounds over the damaged days.
ROUNDS = 3


def plan_of(board: Board, plates: Iterable[Plate]) -> Plan:
    """Plates as picks on a board, as far as they may stand there; the narrowest cell first.

    Where a time is common now and was not, the dish of most eaters is taken.
    """
    filled: dict[int, list[Pick]] = {}
    dish_at = {name: at for at, name in enumerate(board.dish_ids)}
    cells_at: dict[tuple[int, str, str | None], list[int]] = {}
    for cell in range(board.cells):
        who = int(board.cell_walker[cell])
        key = (
            int(board.cell_day[cell]),
            board.cell_time[cell],
            None if who < 0 else board.walker_ids[who],
        )
        cells_at.setdefault(key, []).append(cell)
    room = {cell: int(board.cell_most[cell]) for cell in range(board.cells)}
    breadth = np.array([int(board.allowed(cell).sum()) for cell in range(board.cells)])
    for plate in sorted(plates, key=lambda each: -len(each.portions)):
        r = dish_at.get(plate.dish)
        if r is None:
            continue
        steps = {portion.walker: portion.steps for portion in plate.portions}
        for eater in (None, *steps):
            cells = sorted(
                cells_at.get((plate.day, plate.time, eater), ()), key=lambda c: int(breadth[c])
            )
            left = plate.times
            for cell in cells:
                already = {dish for dish, _, _ in filled.get(cell, ())}
                many = min(left, room[cell], int(board.cell_twice[cell]))
                if many < 1 or r in already or not board.allowed(cell)[r]:
                    continue
                portions = _portions(board, cell, r, many, plate.times, steps)
                filled.setdefault(cell, []).append((r, many, portions))
                room[cell] -= many
                left -= many
    return planned(board, {cell: sorted(picks) for cell, picks in filled.items()})


def _portions(
    board: Board, cell: int, r: int, many: int, of: int, steps: dict[str, int]
) -> tuple[int, ...]:
    """Everybody's steps drawn into the dish's range; who is new gets the mean of the others."""
    low = round(float(board.least[r] * board.steps[r])) * many
    high = round(float(board.most[r] * board.steps[r])) * many
    mean = round(sum(steps.values()) / max(1, len(steps)))
    return tuple(
        max(low, min(high, round(steps.get(who, mean) * many / of)))
        for who in eaters_of(board, cell)
    )


def repaired(plan: Plan, relaxed: Relaxed, tries: Trying) -> Plan:
    """A plan near to this one, as whole as days mended on their own can make it."""
    mending = _Mending(plan.board, relaxed, tries)
    for turn in range(ROUNDS):
        if plan.whole:
            break
        for unit in mending.damaged(plan):
            plan = mending.mend(plan, unit, wide=turn > 0)
    return plan


class _Mending:
    def __init__(self, board: Board, relaxed: Relaxed, tries: Trying) -> None:
        self.board, self.relaxed, self.tries = board, relaxed, tries
        self.plates_on: dict[tuple[int, int], list[int]] = {}
        for plate in range(board.plates):
            day = int(board.cell_day[board.plate_cell[plate]])
            self.plates_on.setdefault((day, int(board.plate_walker[plate])), []).append(plate)

    def effort(self, gap: float, nodes: int | None) -> Effort:
        return Effort(
            seconds=min(10.0, self.tries.seconds),
            gap=gap,
            nodes=nodes,
            threads=self.tries.threads,
            seed=self.tries.seed,
            light=True,
        )

    def damaged(self, plan: Plan) -> list[tuple[int, int]]:
        """(day, walker) with holes, or with a rule that is missed; walker -1: what all eat."""
        board, rows = self.board, self.board.rows
        found: dict[tuple[int, int], None] = {}
        for cell in sorted(plan.missing):
            found[int(board.cell_day[cell]), int(board.cell_walker[cell])] = None
        missed = plan.missed_rows() > 0
        for unit, plates in self.plates_on.items():
            for plate in plates:
                touched = rows.term_row[rows.term_start[plate] : rows.term_start[plate + 1]]
                if missed[touched].any():
                    found[unit] = None
                    break
        for f in sorted(plan.over):
            last = int(board.families[f].cells[-1])
            found[int(board.cell_day[last]), int(board.cell_walker[last])] = None
        return sorted(found, key=lambda unit: (unit[1] >= 0, unit))

    def mend(self, plan: Plan, unit: tuple[int, int], wide: bool) -> Plan:
        """Portions of that day first; then its holes; then (``wide``) all that is eaten then."""
        board = self.board
        day, walker = unit
        holes = set(plan.missing)
        mine = [
            cell
            for cell in range(board.cells)
            if int(board.cell_day[cell]) == day
            and (walker < 0 or int(board.cell_walker[cell]) == walker)
        ]
        eating = [
            each for each in sorted(self.plates_on)
            if each[0] == day and (walker < 0 or each[1] == walker)
        ]  # fmt: skip
        opened = [cell for cell in mine if cell in holes or (wide and walker >= 0)]
        if wide and walker < 0:
            opened = [c for c in mine if c in holes or int(board.cell_walker[c]) < 0]
        if opened:
            candidates = {
                cell: self._candidates(plan, cell, FOR_HOLE if cell in holes else FOR_OTHER)
                for cell in opened
            }
            plates = [plate for each in eating for plate in self.plates_on[each]]
            part = part_of(plan, candidates, portions=plates, by_steps=False)
            _, new = solve_part(plan, part, self.effort(CHOOSE, None))
            plan = plan if new is None else new
        for each in eating:
            part = part_of(plan, {}, portions=self.plates_on[each])
            _, new = solve_part(plan, part, self.effort(PORTIONS, NODES))
            plan = plan if new is None else new
        return plan

    def _candidates(self, plan: Plan, cell: int, many: int) -> list[int]:
        ranked = self.relaxed.priced
        fits = np.isfinite(ranked.value[cell][:many])
        near = set(ranked.dish[cell][:many][fits].tolist())
        near.update(self.relaxed.eaten.get(cell, ()))
        near.update(r for r, _, _ in plan.picks.get(cell, ()))
        return sorted(near)
