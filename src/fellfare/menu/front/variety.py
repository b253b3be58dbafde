"""How many grams does one more different dinner cost?

One plan is made. Its prices value every dish at every eating time, so the
cheapest way to k different dishes is a matching of seats and dishes, and one
run of it bounds the whole front (``floors``). The menus themselves go step by
step: the next matching says which few dishes change, a small model settles
them and the portions of those days, the rest stands. What the rest loses
against its bound is the same in all points, so their differences are sharp.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import msgspec
import numpy as np

from fellfare.menu.front.matching import cheapest_matchings
from fellfare.menu.front.seats import Seat, Seats, seats_of
from fellfare.menu.model.board import Board, Floats
from fellfare.menu.model.part import part_of, solve_part
from fellfare.menu.model.plan import Plan, planned
from fellfare.menu.model.pricing import Prices, plate_prices, priced, values
from fellfare.menu.solver import Effort

#: Further dishes that each changing seat may take instead.
BESIDE = 3
#: Ways that are tried for one step before the front ends.
TURNS = 4
#: How near the small models are solved: dishes, then portions in whole steps (nodes at most).
CHOOSE = 5e-4
PORTIONS = 3e-4
NODES = 2_000


class Floors(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """What any menu with at least k different dishes weighs at least, k from 0 on [g].

    Past the last entry there is no such menu.
    """

    bound: tuple[float, ...]

    def at(self, many: int) -> float:
        """The floor for ``many`` different dishes; infinite where there cannot be so many."""
        return self.bound[many] if many < len(self.bound) else float("inf")

    def or_better(self, other: Floors) -> Floors:
        """The higher of two floors at every place: both are proven."""
        return Floors(bound=tuple(max(a, b) for a, b in zip(self.bound, other.bound, strict=True)))


def floors(board: Board, prices: Prices, cells: Iterable[int]) -> Floors:
    """A floor for every number of different dishes from one set of prices.

    ``cells`` filled as cheaply as can be cost a sum of seats, cheapest first.
    Any other filling costs, seat by seat in that order, at least as much; so k
    different dishes cost at least the cheapest matching of k seats and k
    dishes whose weights are what a dish costs more than its seat did.
    """
    table, own = value_table(board, prices, cells), list(cells)
    weights = []
    for row, cell in zip(table, own, strict=True):
        ranked = np.sort(row[np.isfinite(row)])
        least, most = int(board.cell_least[cell]), int(board.cell_most[cell])
        twice = int(board.cell_twice[cell])
        filling = np.repeat(ranked, twice)[:most]
        for seat in range(min(most, filling.shape[0])):
            before = float(filling[seat]) if seat < least else min(0.0, float(filling[seat]))
            weights.append(np.maximum(row - before, 0.0))
    if not weights:
        return Floors(bound=(priced(board, prices, keep=1).bound,))
    found = cheapest_matchings(np.array(weights))
    bound = priced(board, prices, keep=1).bound
    return Floors(bound=tuple(bound + one.weight for one in found))


def value_table(board: Board, prices: Prices, cells: Iterable[int]) -> Floats:
    """What each dish costs at these prices in each of the cells; infinite: it may not stand."""
    per_plate = plate_prices(board, prices.rows)
    wanted = list(cells)
    table = np.empty((len(wanted), board.dishes))
    step = max(1, 4_000_000 // max(1, board.dishes))
    for first in range(0, board.cells, step):
        last = min(board.cells, first + step)
        inside = [at for at, cell in enumerate(wanted) if first <= cell < last]
        if inside:
            part = values(board, per_plate, prices, first, last)
            table[inside] = part[[wanted[at] - first for at in inside]]
    return table


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
        self.effort = effort
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
            new = self._settled(plan, seats, wanted, many)
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

    def _settled(self, plan: Plan, seats: Seats, wanted: dict[int, int], many: int) -> Plan | None:
        """The changed days with the dishes wanted, or others near as good, portioned anew."""
        board = self.board
        standing = {r for cell in self.cells for r, _, _ in plan.picks.get(cell, ())}
        changed = sorted({seats.seat[at].cell for at in wanted})
        candidates = {}
        for cell in changed:
            line = self.table[self.place[cell]]
            fresh = [int(r) for r in np.argsort(line, kind="stable") if int(r) not in standing]
            near = [r for r in fresh if np.isfinite(line[r])][:BESIDE]
            now = [r for r, _, _ in plan.picks.get(cell, ())]
            asked = [dish for at, dish in wanted.items() if seats.seat[at].cell == cell]
            candidates[cell] = sorted({*near, *now, *asked})
        eating = {
            (int(board.cell_day[cell]), int(walker))
            for cell in changed
            for walker in board.plate_walker[board.plate_start[cell] : board.plate_start[cell + 1]]
        }
        plates = [plate for each in sorted(eating) for plate in self.plates_on[each]]
        there = planned(asking(board, self.row, many), plan.picks)
        part = part_of(there, candidates, portions=plates, by_steps=False)
        _, new = solve_part(there, part, self.effort(CHOOSE, None))
        self.solves += 1
        if new is None:
            return None
        for each in sorted(eating):
            part = part_of(new, {}, portions=self.plates_on[each])
            _, portioned = solve_part(new, part, self.effort(PORTIONS, NODES))
            self.solves += 1
            new = portioned or new
        return new if new.whole and self.different(new) >= many else None


def asking(board: Board, row: int, many: int) -> Board:
    """The same board, asking for at least so many different dishes."""
    low = board.rows.low.copy()
    low[row] = float(many)
    return msgspec.structs.replace(board, rows=msgspec.structs.replace(board.rows, low=low))


__all__ = ["Climb", "Floors", "Seat", "asking", "floors", "value_table"]
