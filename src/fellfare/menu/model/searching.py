"""From prices to a menu: day by day, then portions in whole steps, then mending.

Every step is a small model that leaves the rest standing (``part``), so a long
walk takes as many small models as it has days and eaters, not one large one.
How far the menu is from the bound is known after every step; the search stops
when that is near enough, and begins each time where the loss is largest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeAlias

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Floats, activity, weighed
from fellfare.menu.model.part import part_of, solve_part
from fellfare.menu.model.plan import Plan
from fellfare.menu.model.pricing import plate_prices
from fellfare.menu.model.relaxing import Relaxed
from fellfare.menu.solver import Effort

#: Asked between small models: (stage, best so far or None) -> True to stop.
Halt: TypeAlias = Callable[[str, float | None], bool]

#: How near each small model is solved: a first menu, its portions, its mending.
FIRST = 2e-3
PORTIONS = 3e-4
MEND = 1e-3
#: Candidates per cell in a first menu.
NEAR = 8


class Found(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The best plan, its burden, and how many small models it took."""

    plan: Plan
    burden: float
    solves: int
    seconds: float


class Search:
    """The search over one board with one set of prices."""

    def __init__(self, board: Board, relaxed: Relaxed, threads: int, seed: int, halt: Halt) -> None:
        self.board, self.relaxed, self.halt = board, relaxed, halt
        self.threads, self.seed = threads, seed
        self.solves, self.seconds = 0, 0.0
        self.cells_on: dict[int, list[int]] = {}
        for cell in range(board.cells):
            self.cells_on.setdefault(int(board.cell_day[cell]), []).append(cell)
        self.order = self._day_order()
        self.plates_of: dict[tuple[int, int], list[int]] = {}
        for plate in range(board.plates):
            day = int(board.cell_day[board.plate_cell[plate]])
            self.plates_of.setdefault((day, int(board.plate_walker[plate])), []).append(plate)

    def _day_order(self) -> list[int]:
        """Within a leg from its last day back: what is carried later weighs on the days before."""
        days = sorted(self.cells_on)
        return sorted(days, key=lambda day: (int(self.board.legs[day - 1]), -day))

    def effort(self, gap: float, seconds: float = 20.0, nodes: int | None = None) -> Effort:
        return Effort(
            seconds=seconds, gap=gap, nodes=nodes, threads=self.threads, seed=self.seed, light=True
        )

    def candidates(self, cell: int, many: int, plan: Plan | None = None) -> list[int]:
        """The dishes of the best values, those the relaxation eats, those that stand."""
        priced = self.relaxed.priced
        fits = np.isfinite(priced.value[cell][:many])
        chosen = set(priced.dish[cell][:many][fits].tolist())
        chosen.update(self.relaxed.eaten.get(cell, ()))
        if plan is not None:
            chosen.update(r for r, _, _ in plan.picks.get(cell, ()))
        return sorted(chosen)

    def solve(self, plan: Plan, part: object, effort: Effort) -> Plan | None:
        out, new = solve_part(plan, part, effort)  # type: ignore[arg-type]
        self.solves += 1
        self.seconds += out.seconds
        return new

    # -- a first menu ---------------------------------------------------------

    def first(self, many: int = NEAR) -> Plan:
        """Day by day; common dishes of a day before each walker's own."""
        plan = Plan(self.board)
        undecided = set(range(self.board.cells))
        for day in self.order:
            cells = self.cells_on[day]
            walkers = sorted({w for d, w in self.plates_of if d == day})
            shared = [c for c in cells if self.board.cell_walker[c] < 0]
            own = [c for c in cells if self.board.cell_walker[c] >= 0]
            if len(walkers) == 1 or not own:
                plan = self._decide(plan, cells, [], undecided, many)
                continue
            if shared:
                plan = self._common(plan, shared, own, undecided, many)
            for walker in walkers:
                mine = [c for c in own if self.board.cell_walker[c] == walker]
                plan = self._decide(plan, mine, self.plates_of[day, walker], undecided, many)
            if self.halt("first menu", None):
                break
        return plan

    def _decide(
        self, plan: Plan, cells: list[int], plates: list[int], undecided: set[int], many: int
    ) -> Plan:
        undecided.difference_update(cells)
        part = part_of(
            plan,
            {c: self.candidates(c, many) for c in cells},
            portions=plates,
            open_cells=np.array(sorted(undecided), dtype=np.int64),
            prices=self.relaxed.prices,
            by_steps=False,
        )
        return self.solve(plan, part, self.effort(FIRST)) or plan

    def _common(
        self, plan: Plan, shared: list[int], own: list[int], undecided: set[int], many: int
    ) -> Plan:
        """Choose what all eat, with everybody's own food estimated."""
        near = {c: self.candidates(c, many) for c in shared}
        near |= {c: self.candidates(c, max(3, many // 2)) for c in own}
        part = part_of(
            plan,
            near,
            open_cells=np.array(sorted(undecided - set(shared) - set(own)), dtype=np.int64),
            prices=self.relaxed.prices,
            relaxed=frozenset(own),
            by_steps=False,
        )
        new = self.solve(plan, part, self.effort(FIRST))
        if new is None:
            return plan
        for cell in own:
            new.picks.pop(cell, None)
        new.settle()
        undecided.difference_update(shared)
        return new

    # -- portions in whole steps ------------------------------------------------

    def portioned(self, plan: Plan, units: Iterable[tuple[int, int]] | None = None) -> Plan:
        """Portions of one walker's day after another, the dishes standing."""
        every = list(units) if units is not None else self._units()
        waiting = {p for unit in every for p in self.plates_of[unit]} if units is None else set()
        for unit in every:
            plates = self.plates_of[unit]
            waiting.difference_update(plates)
            still_open = np.unique(self.board.plate_cell[np.array(sorted(waiting), dtype=np.int64)])
            mine = np.unique(self.board.plate_cell[np.array(plates, dtype=np.int64)])
            part = part_of(
                plan,
                {},
                portions=plates,
                open_cells=np.setdiff1d(still_open, mine),
                prices=self.relaxed.prices,
            )
            plan = self.solve(plan, part, self.effort(PORTIONS, nodes=2000)) or plan
        return plan

    def _units(self) -> list[tuple[int, int]]:
        place = {day: at for at, day in enumerate(self.order)}
        return sorted(self.plates_of, key=lambda unit: (place[unit[0]], unit[1]))

    # -- mending ------------------------------------------------------------------

    def losses(self, plan: Plan) -> dict[tuple[int, int], float]:
        """Per walker's day, how much dearer than the best at these prices [g]."""
        board, prices = self.board, self.relaxed.prices
        per_plate = plate_prices(board, prices.rows)
        on_dish: dict[tuple[int, int], float] = {}
        for f, k, price in zip(
            prices.family.tolist(), prices.key.tolist(), prices.price.tolist(), strict=True
        ):
            family = board.families[f]
            for cell in family.cells.tolist():
                for r, times, _ in plan.picks.get(cell, ()):
                    if family.key[r] == k:
                        on_dish[cell, r] = on_dish.get((cell, r), 0.0) - price * times
        plate, dish, servings = plan.portions()
        each = np.einsum("ij,ij->i", per_plate[plate], board.figures[dish]) * servings
        of_plate = np.bincount(plate, weights=each, minlength=board.plates)
        best = self.relaxed.priced.best
        loss: dict[tuple[int, int], float] = dict.fromkeys(self.plates_of, 0.0)
        for cell in range(board.cells):
            first, last = int(board.plate_start[cell]), int(board.plate_start[cell + 1])
            total = float(of_plate[first:last].sum()) - float(best[cell])
            for r, times, _ in plan.picks.get(cell, ()):
                total += on_dish.get((cell, r), 0.0)
                total += float(board.dish_bonus[r]) * times * (last - first)
            for p in range(first, last):
                loss[int(board.cell_day[cell]), int(board.plate_walker[p])] += total / (
                    last - first
                )
        missed = plan.missed_rows()
        if missed.any():
            for unit, plates in self.plates_of.items():
                rows = board.rows
                for p in plates:
                    touched = rows.term_row[rows.term_start[p] : rows.term_start[p + 1]]
                    if missed[touched].any():
                        loss[unit] += 1000.0
                        break
        return loss

    def mended(self, plan: Plan, goal: Callable[[float], bool]) -> Plan:
        """Better neighbours, where the loss is largest first, until ``goal`` or none helps."""
        best, burden = plan, plan.burden()
        tried: set[tuple[str, tuple[tuple[int, int], ...]]] = set()
        while not goal(burden):
            if self.halt("mending", burden):
                break
            move = self._next_move(best, tried)
            if move is None:
                break
            tried.add(move)
            new = self._moved(best, *move)
            if new is None:
                continue
            value = new.burden()
            if value < burden - 1e-6:
                days = {day for day, _ in move[1]}
                best, burden = new, value
                near = {day + shift for day in days for shift in range(-3, 4)}
                tried = {t for t in tried if not any(day in near for day, _ in t[1])} | {move}
        return best

    def _next_move(
        self, plan: Plan, tried: set[tuple[str, tuple[tuple[int, int], ...]]]
    ) -> tuple[str, tuple[tuple[int, int], ...]] | None:
        loss = self.losses(plan)
        ranked = sorted(loss, key=lambda unit: (-loss[unit], unit))
        everyone = len({walker for _, walker in loss}) > 1
        shared = bool((self.board.cell_walker < 0).any())
        for kind in ("steps", "two days", "common", "three days", "wide"):
            if kind == "common" and not (everyone and shared):
                continue
            for day, walker in ranked:
                days = {"steps": [day], "wide": [day], "common": [day]}.get(kind) or (
                    self._near(loss, day, walker, 2 if kind == "two days" else 3)
                )
                move = (kind, tuple((each, walker) for each in sorted(days)))
                if kind == "common":
                    move = (kind, ((day, -1),))
                if move not in tried:
                    return move
        return None

    def _near(
        self, loss: dict[tuple[int, int], float], day: int, walker: int, many: int
    ) -> list[int]:
        """This day and its neighbours of the largest loss."""
        days = [day]
        while len(days) < many:
            beside = [d for d in (min(days) - 1, max(days) + 1) if (d, walker) in loss]
            if not beside:
                break
            days.append(max(beside, key=lambda d: loss[d, walker]))
        return days

    def _moved(self, plan: Plan, kind: str, units: tuple[tuple[int, int], ...]) -> Plan | None:
        board = self.board
        if kind == "common":
            return self._common_again(plan, units[0][0])
        cells = [
            int(board.plate_cell[p])
            for unit in units
            for p in self.plates_of[unit]
            if board.cell_walker[board.plate_cell[p]] >= 0
            or board.plate_start[board.plate_cell[p] + 1] - board.plate_start[board.plate_cell[p]]
            == 1
        ]
        plates = [p for unit in units for p in self.plates_of[unit]]
        many = 2 * NEAR if kind == "wide" else NEAR
        by_steps = kind in ("steps", "wide")
        part = part_of(
            plan,
            {c: self.candidates(c, many, plan) for c in cells},
            portions=plates,
            by_steps=by_steps,
        )
        effort = self.effort(MEND, seconds=5.0, nodes=400 if by_steps else None)
        new = self.solve(plan, part, effort)
        if new is None or by_steps:
            return new
        return self.portioned(new, units)

    def _common_again(self, plan: Plan, day: int) -> Plan | None:
        """Another common dish on one day, and everybody's own food after it."""
        board = self.board
        cells = self.cells_on[day]
        shared = [c for c in cells if board.cell_walker[c] < 0]
        own = [c for c in cells if board.cell_walker[c] >= 0]
        if not shared:
            return None
        near = {c: self.candidates(c, NEAR, plan) for c in shared}
        near |= {c: self.candidates(c, NEAR // 2, plan) for c in own}
        part = part_of(plan, near, relaxed=frozenset(own), by_steps=False)
        new = self.solve(plan, part, self.effort(MEND))
        if new is None:
            return None
        if all(
            {r for r, _, _ in new.picks[c]} == {r for r, _, _ in plan.picks.get(c, ())}
            for c in shared
        ):
            return None
        for cell in own:
            new.picks.pop(cell, None)
        new.settle()
        undecided = set(own)
        units = [unit for unit in self.plates_of if unit[0] == day]
        for _, walker in units:
            mine = [c for c in own if board.cell_walker[c] == walker]
            new = self._decide(new, mine, self.plates_of[day, walker], undecided, NEAR)
        return self.portioned(new, units)


def mass_of(plan: Plan) -> Floats:
    """Food, packaging and fuel per day [g]."""
    board = plan.board
    plate, dish, servings = plan.portions()
    day = board.cell_day[board.plate_cell[plate]]
    return weighed(day, board.figures[dish, 0] * servings, board.days + 1)[1:]


__all__ = ["Found", "Halt", "Search", "activity", "mass_of"]
