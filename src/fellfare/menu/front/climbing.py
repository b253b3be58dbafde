"""From a menu to menus of more and more different dinners, step by step.

The matching at the first menu's prices says which few dishes should change; a
small model settles them and the portions of those days, the rest stands. What
the rest loses against its bound is the same in all menus, so their differences
are sharp.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import msgspec
import numpy as np

from fellfare.menu.front.floors import value_table
from fellfare.menu.front.matching import cheapest_matchings
from fellfare.menu.front.seats import Seats, seats_of
from fellfare.menu.model.board import Board
from fellfare.menu.model.part import Part, part_of, solve_part
from fellfare.menu.model.plan import Plan, planned
from fellfare.menu.model.pricing import Priced, Prices, priced
from fellfare.menu.solver import Effort

#: Further dishes that each changing seat may take instead, and other seats of that day.
BESIDE = 3
OTHERS = 4
#: Ways that are tried for one step before the front ends.
TURNS = 4
#: How near the small models are solved, and in how many nodes: dishes (by width), portions.
CHOOSE: Final = ((5e-4, None), (1e-3, 400), (2e-3, 400))
PORTIONS = 3e-4
NODES = 2_000


class Climb:
    """From a menu to menus of more and more different dishes."""

    def __init__(
        self,
        board: Board,
        row: int,
        cells: list[int],
        prices: Prices,
        effort: Callable[[float, int | None], Effort],
    ) -> None:
        self.board, self.row, self.cells = board, row, cells
        self.prices, self.effort = prices, effort
        self.ranked: Priced | None = None
        self.table = value_table(board, prices, cells)
        self.place = {cell: at for at, cell in enumerate(cells)}
        self.solves = 0
        self.plates_on: dict[tuple[int, int], list[int]] = {}
        for plate in range(board.plates):
            day = int(board.cell_day[board.plate_cell[plate]])
            self.plates_on.setdefault((day, int(board.plate_walker[plate])), []).append(plate)

    def also(self, prices: Prices) -> None:
        """Value the dishes by the mean of these prices and the first ones."""
        other = value_table(self.board, prices, self.cells)
        finite = np.isfinite(self.table)
        self.table[finite] = 0.5 * (self.table[finite] + other[finite])

    def different(self, plan: Plan) -> int:
        """How many different dishes stand in the cells."""
        return len({r for cell in self.cells for r, _, _ in plan.picks.get(cell, ())})

    def to(self, plan: Plan, many: int) -> Plan | None:
        """A whole plan of at least ``many`` different dishes near this one, or None."""
        refused: set[tuple[int, int]] = set()
        for _ in range(TURNS):
            seats = seats_of(self.board, plan, self.cells)
            wanted = self._wanted(seats, many, refused)
            if wanted is None:
                return None
            for width in range(len(CHOOSE)):
                new = self._settled(plan, seats, wanted, many, width)
                if new is not None:
                    return new
            refused.update((seats.seat[at].cell, dish) for at, dish in wanted.items())
        return None

    def _wanted(
        self, seats: Seats, many: int, refused: set[tuple[int, int]]
    ) -> dict[int, int] | None:
        """Seat -> the dish that it should change to, by the prices."""
        weight = np.empty((len(seats.seat), self.board.dishes))
        for at, seat in enumerate(seats.seat):
            line = self.table[self.place[seat.cell]]
            weight[at] = np.maximum(line - line[seat.dish], 0.0)
            weight[at, seat.beside] = np.inf
            for cell, dish in refused:
                if cell == seat.cell:
                    weight[at, dish] = np.inf
            weight[at, seat.dish] = 0.0
        found = cheapest_matchings(weight, begin=seats.begin, most=many)
        last = found[-1]
        if last.size < many:
            return None
        return {
            at: int(dish)
            for at, dish in enumerate(last.dish.tolist())
            if dish >= 0 and dish != seats.seat[at].dish
        }

    def _settled(
        self, plan: Plan, seats: Seats, wanted: dict[int, int], many: int, width: int
    ) -> Plan | None:
        """The changed days with the dishes wanted, or others near as good, portioned anew.

        ``width`` 1: what else those who eat it have on those days may change too;
        2: the seats of the days beside as well.
        """
        board = self.board
        standing = {r for cell in self.cells for r, _, _ in plan.picks.get(cell, ())}
        changed = sorted({seats.seat[at].cell for at in wanted})
        candidates: dict[int, list[int]] = {}
        for cell in changed:
            line = self.table[self.place[cell]]
            fresh = [int(r) for r in np.argsort(line, kind="stable") if int(r) not in standing]
            near = [r for r in fresh if np.isfinite(line[r])][:BESIDE]
            now = [r for r, _, _ in plan.picks.get(cell, ())]
            asked = [dish for at, dish in wanted.items() if seats.seat[at].cell == cell]
            candidates[cell] = sorted({*near, *now, *asked})
        if width > 1:
            candidates |= self._beside(plan, changed)
        eating = {
            (int(board.cell_day[cell]), int(walker))
            for cell in candidates
            for walker in board.plate_walker[board.plate_start[cell] : board.plate_start[cell + 1]]
        }
        plates = [plate for each in sorted(eating) for plate in self.plates_on[each]]
        own = self._others(plan, eating, changed) if width > 0 else {}
        there = planned(asking(board, self.row, many), plan.picks)
        part = part_of(
            there, candidates | own, portions=plates, relaxed=frozenset(own), by_steps=False
        )
        new = self._solved(there, part, CHOOSE[width])
        if new is None:
            return None
        if own:
            new = new.without(own)  # in the choice of the seats they were only estimated
        for each in sorted(eating):
            mine = self.plates_on[each]
            cells = {int(board.plate_cell[plate]) for plate in mine} & own.keys()
            if cells:
                free = {cell: own[cell] for cell in sorted(cells)}
                part = part_of(new, free, portions=mine, by_steps=False)
                new = self._solved(new, part, CHOOSE[width]) or new
            new = self._solved(new, part_of(new, {}, portions=mine), (PORTIONS, NODES)) or new
        return new if new.whole and self.different(new) >= many else None

    def _solved(self, plan: Plan, part: Part, near: tuple[float, int | None]) -> Plan | None:
        self.solves += 1
        return solve_part(plan, part, self.effort(*near))[1]

    def _others(
        self, plan: Plan, eating: set[tuple[int, int]], changed: list[int]
    ) -> dict[int, list[int]]:
        """Everybody's own dishes of those days, and a few near as good."""
        board = self.board
        if self.ranked is None:
            self.ranked = priced(board, self.prices, keep=OTHERS)
        found = {}
        for each in eating:
            for plate in self.plates_on[each]:
                cell = int(board.plate_cell[plate])
                if cell in changed or cell in self.place or int(board.cell_walker[cell]) < 0:
                    continue
                fits = np.isfinite(self.ranked.value[cell])
                near = set(self.ranked.dish[cell][fits].tolist())
                found[cell] = sorted(near | {r for r, _, _ in plan.picks.get(cell, ())})
        return found

    def _beside(self, plan: Plan, changed: list[int]) -> dict[int, list[int]]:
        """Seats of the days beside, and dishes for them: rules on repeats reach there."""
        day_of = self.board.cell_day
        days = {int(day_of[cell]) for cell in changed}
        found = {}
        for cell in self.cells:
            if cell in changed or not any(abs(int(day_of[cell]) - day) <= 1 for day in days):
                continue
            line = self.table[self.place[cell]]
            near = [
                int(r) for r in np.argsort(line, kind="stable")[:OTHERS] if np.isfinite(line[r])
            ]
            found[cell] = sorted({*near, *(r for r, _, _ in plan.picks.get(cell, ()))})
        return found


def asking(board: Board, row: int, many: int) -> Board:
    """The same board, asking for at least so many different dishes."""
    low = board.rows.low.copy()
    low[row] = float(many)
    return msgspec.structs.replace(board, rows=msgspec.structs.replace(board.rows, low=low))
