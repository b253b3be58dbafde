"""From prices to a menu: day by day, then portions in whole steps.

Every step is a small model that leaves the rest standing (``part``), so a long
walk takes as many small models as it has days and eaters, not one large one.
Days are taken from the last of a leg to its first: what is eaten later is
carried, and burdens the days before it, never the other way round.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import TypeAlias

import numpy as np

from fellfare.menu.model.board import Board, Flags
from fellfare.menu.model.figures import FIGURE
from fellfare.menu.model.part import Part, part_of, solve_part
from fellfare.menu.model.plan import Plan
from fellfare.menu.model.pricing import guide_of
from fellfare.menu.model.relaxing import Relaxed
from fellfare.menu.model.waiting import Waiting
from fellfare.menu.solver import Effort

#: Asked between small models: (stage, best so far or None) -> True to stop.
Halt: TypeAlias = Callable[[str, float | None], bool]
#: One walker's day.
Unit: TypeAlias = tuple[int, int]

#: How near each small model is solved: a first menu, its portions.
FIRST = 2e-3
PORTIONS = 5e-4
#: The same as parts of what a walker's day may lose by the gap asked for.
FIRST_PART = 0.25
PORTIONS_PART = 0.1
#: Candidates per cell in a first menu.
NEAR = 6
#: How often a day's portions are set again where a row is still missed.
AGAIN = 2
#: The figure 'mass carried', which in a day's limit is load, not food.
CARRIED = FIGURE["carried_g"]
#: The longest that one small model may take [s].
LONGEST = 10.0


class Search:
    """The search over one board with one set of prices."""

    def __init__(
        self,
        board: Board,
        relaxed: Relaxed,
        threads: int,
        seed: int,
        halt: Halt,
        left: Callable[[], float],
        stray_g: float = 500.0,
        near_g: float = 0.0,
    ) -> None:
        self.board, self.relaxed = board, relaxed
        self.halt, self.left = halt, left
        self.guide = guide_of(relaxed.guide, stray_g)
        self.threads, self.seed, self.near_g = threads, seed, near_g
        self.solves, self.seconds = 0, 0.0
        self.cells_on: dict[int, list[int]] = {}
        for cell in range(board.cells):
            self.cells_on.setdefault(int(board.cell_day[cell]), []).append(cell)
        self.plates_of: dict[Unit, list[int]] = {}
        for plate in range(board.plates):
            day = int(board.cell_day[board.plate_cell[plate]])
            self.plates_of.setdefault((day, int(board.plate_walker[plate])), []).append(plate)
        self.days = sorted(self.cells_on, key=lambda day: (int(board.legs[day - 1]), -day))
        self.walkers_on: dict[int, list[int]] = {day: [] for day in self.days}
        for day, walker in sorted(self.plates_of):
            self.walkers_on[day].append(walker)

    def effort(
        self,
        gap: float,
        seconds: float = LONGEST,
        nodes: int | None = None,
        part: float = 0.0,
    ) -> Effort:
        """What one small model may take; never more than is left of the whole.

        ``part``: the part of what a walker's day may lose that this model may.
        """
        return Effort(
            seconds=max(0.01, min(seconds, self.left())),
            gap=gap,
            near=part * self.near_g,
            nodes=nodes,
            threads=self.threads,
            seed=self.seed,
            light=True,
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

    def solve(self, plan: Plan, part: Part, effort: Effort) -> Plan | None:
        """One small model; None when it has no answer in its time."""
        out, new = solve_part(plan, part, effort)
        self.solves += 1
        self.seconds += out.seconds
        return new

    # -- a first menu ---------------------------------------------------------

    def first(self, many: int = NEAR) -> Plan:
        """Day by day; common dishes of a day before each walker's own."""
        plan = Plan(self.board)
        waiting = Waiting(self.board, self.relaxed.eaten, packs=self.relaxed.packs)
        for day in self.days:
            cells = self.cells_on[day]
            shared = [c for c in cells if self.board.cell_walker[c] < 0]
            own = [c for c in cells if self.board.cell_walker[c] >= 0]
            if len(self.walkers_on[day]) == 1 or not own:
                plan = self.decide(plan, cells, [], waiting, many)
            else:
                if shared:
                    plan = self.common(plan, shared, own, waiting, many)
                for walker in self.walkers_on[day]:
                    mine = [c for c in own if self.board.cell_walker[c] == walker]
                    plan = self.decide(plan, mine, self.plates_of[day, walker], waiting, many)
            if self.halt("first menu", None):
                break
        return plan

    def decide(
        self,
        plan: Plan,
        cells: Sequence[int],
        plates: Sequence[int],
        waiting: Waiting | None,
        many: int = NEAR,
    ) -> Plan:
        """Choose for these cells, the plates' portions with them; more candidates if too few."""
        if waiting is not None:
            waiting.decide(cells)
        for wider in (many, 3 * many, self.board.dishes):
            part = part_of(
                plan,
                {c: self.candidates(c, wider, plan) for c in cells},
                portions=plates,
                waiting=waiting,
                guide=self.guide,
                by_steps=False,
            )
            new = self.solve(plan, part, self.effort(FIRST, part=FIRST_PART))
            if new is not None and not any(c in new.missing for c in cells):
                return new
        return plan if new is None else new

    def common(
        self,
        plan: Plan,
        shared: Sequence[int],
        own: Sequence[int],
        waiting: Waiting | None,
        many: int = NEAR,
    ) -> Plan:
        """Choose what all eat, with everybody's own food only estimated."""
        if waiting is not None:
            waiting.decide([*shared, *own])
        for wider in (many, 3 * many, self.board.dishes):
            near = {c: self.candidates(c, wider, plan) for c in shared}
            near |= {c: self.candidates(c, max(3, many // 2), plan) for c in own}
            part = part_of(
                plan,
                near,
                waiting=waiting,
                guide=self.guide,
                relaxed=frozenset(own),
                by_steps=False,
            )
            new = self.solve(plan, part, self.effort(FIRST, part=FIRST_PART))
            if new is not None and not any(c in new.missing for c in shared):
                break
        return plan if new is None else new.without(own)

    # -- portions in whole steps ------------------------------------------------

    def portioned(self, plan: Plan, units: Collection[Unit] | None = None) -> Plan:
        """Portions of one walker's day after another, the dishes standing.

        The days before one that is being portioned are only priced: they come
        after it, with its final load. What a day's last walkers do to the rows
        of its first, and a day to those before it, is mended in another round.
        """
        for day in self._days_of(units):
            waiting = Waiting(self.board, cells=(), before=day)
            walkers = [w for w in self.walkers_on[day] if units is None or (day, w) in units]
            for _ in range(1 + AGAIN):
                for walker in walkers:
                    plan = self._portions(plan, (day, walker), waiting)
                walkers = self._missing(plan, day)
                if not walkers or len(self.walkers_on[day]) == 1:
                    break
            if self.halt("portions", None):
                break
        return plan

    def _days_of(self, units: Collection[Unit] | None) -> list[int]:
        """The days of these units and those before them in their legs, the last first."""
        if units is None:
            return self.days
        last: dict[int, int] = {}
        for day, _ in units:
            leg = int(self.board.legs[day - 1])
            last[leg] = max(day, last.get(leg, day))
        return [day for day in self.days if day <= last.get(int(self.board.legs[day - 1]), 0)]

    def _portions(self, plan: Plan, unit: Unit, waiting: Waiting | None) -> Plan:
        part = part_of(plan, {}, portions=self.plates_of[unit], waiting=waiting, guide=self.guide)
        return self.solve(plan, part, self.effort(PORTIONS, nodes=2000, part=PORTIONS_PART)) or plan

    def _missing(self, plan: Plan, day: int) -> list[int]:
        """Walkers of whom a row of that day is missed."""
        rows = self.board.rows
        missed = (plan.missed_rows() > 0) & (rows.rule >= 0) & (rows.day == day)
        if not missed.any():
            return []
        return [w for w in self.walkers_on[day] if self.touches((day, w), missed)]

    def touches(self, unit: Unit, flags: Flags) -> bool:
        """Does one of these rows hang on what that walker eats that day?

        That somebody's need grows with a common load does not count.
        """
        rows = self.board.rows
        for p in self.plates_of[unit]:
            span = slice(int(rows.term_start[p]), int(rows.term_start[p + 1]))
            row = rows.term_row[span]
            eaten = (rows.term_figure[span] != CARRIED) | (rows.rule[row] < 0)
            if bool((flags[row] & eaten).any()):
                return True
        return False
