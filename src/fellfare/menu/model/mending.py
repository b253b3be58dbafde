"""A better neighbour of a menu, and a better one of that: where it loses most, first.

How far each walker's day is from the best at the search's prices is known, so
small models are spent where there is most to gain. Rows that are kept stay
kept; rows that are missed cost dearly until they are kept too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeAlias

import numpy as np

from fellfare.menu.model.board import Floats
from fellfare.menu.model.part import part_of
from fellfare.menu.model.plan import Plan
from fellfare.menu.model.pricing import plate_prices
from fellfare.menu.model.searching import NEAR, Search, Unit
from fellfare.menu.model.waiting import Waiting

#: How near a small model that mends is solved, and in how many nodes at most.
MEND = 1e-3
NODES = 300
#: A gain of this part of the whole makes it worth while to try the days around again.
WORTH = 5e-5
#: Of a menu that will do, one day in so many is tried once more.
POLISHED = 5
#: Kinds of neighbours, the cheap ones first.
KINDS = ("day", "steps", "two days", "common", "three days", "wide")
#: The same where something is missed.
REPAIRS = ("steps", "leg", "everyone", "wide", "two days", "common", "three days")

Move: TypeAlias = tuple[str, tuple[Unit, ...]]


class Losses:
    """Per cell, how much dearer than the best at these prices the picks are [g]."""

    def __init__(self, search: Search) -> None:
        self.search = search
        self.prices = plate_prices(search.board, search.guide.prices.rows)
        self.of_family = {f: dict(each) for f, each in search.guide.of_family.items()}
        self.cell: Floats = np.zeros(search.board.cells)

    def count(self, plan: Plan, cells: Iterable[int]) -> None:
        """Reckon these cells again."""
        board, best = self.search.board, self.search.relaxed.priced.best
        for cell in cells:
            first = int(board.plate_start[cell])
            total = -float(best[cell])
            for r, times, steps in plan.picks.get(cell, ()):
                per = self.prices[first : first + len(steps)] @ board.figures[r]
                total += float(per @ np.array(steps)) / float(board.steps[r])
                total += float(board.dish_bonus[r]) * times * len(steps)
                for f in board.families_of[cell]:
                    price = self.of_family.get(f)
                    if price:
                        total -= price.get(int(board.families[f].key[r]), 0.0) * times
            self.cell[cell] = total

    def by_unit(self) -> dict[Unit, float]:
        """Per walker's day; what is common falls on all who eat it alike."""
        board = self.search.board
        each = self.cell / np.maximum(1, np.diff(board.plate_start))
        return {
            unit: float(each[board.plate_cell[np.array(plates)]].sum())
            for unit, plates in self.search.plates_of.items()
        }


def troubled(search: Search, plan: Plan) -> set[Unit]:
    """Walkers' days at which something is missed: a limit of that day or of all, a dish."""
    board = search.board
    rows, missed = board.rows, plan.missed_rows() > 0
    found: set[Unit] = set()
    cells = set(plan.missing)
    for f in plan.over:
        cells.update(board.families[f].cells.tolist())
    for cell in cells:
        for p in range(int(board.plate_start[cell]), int(board.plate_start[cell + 1])):
            found.add((int(board.cell_day[cell]), int(board.plate_walker[p])))
    if missed.any():
        ofday = rows.rule >= 0
        everywhere = missed & ~ofday
        for day, walkers in search.walkers_on.items():
            here = everywhere | (missed & ofday & (rows.day == day))
            if here.any():
                found.update((day, w) for w in walkers if search.touches((day, w), here))
    return found


class Mending:
    """Tries neighbours of a plan until it is good enough or none helps."""

    def __init__(self, search: Search) -> None:
        self.search = search
        self.board = search.board
        self.shared = bool((self.board.cell_walker < 0).any())
        self.everyone = max(len(walkers) for walkers in search.walkers_on.values()) > 1

    def mended(self, plan: Plan, good: Callable[[Plan], bool], most: int | None = None) -> Plan:
        """The best plan found; ``good`` says when it will do, ``most`` how many tries at most."""
        losses = Losses(self.search)
        losses.count(plan, range(self.board.cells))
        best, burden = plan, plan.burden()
        tried: set[Move] = set()
        moves = 0
        while not good(best) and moves != most:
            moves += 1
            if self.search.halt("mending", best.cost() if best.whole else None):
                break
            move = self._next(losses.by_unit(), tried, troubled(self.search, best))
            if move is None:
                break
            tried.add(move)
            new = self._moved(best, *move)
            if new is None:
                continue
            value = new.burden()
            if value < burden - 1e-6:
                much = burden - value > WORTH * burden
                best, burden = new, value
                days = {day for day, _ in move[1]}
                losses.count(best, (c for day in days for c in self.search.cells_on[day]))
                if much:
                    near = {day + shift for day in days for shift in range(-3, 4)}
                    tried = {t for t in tried if not any(day in near for day, _ in t[1])} | {move}
        return best

    def polished(self, plan: Plan) -> Plan:
        """The days that lose most chosen once more, a few of them: little work, some grams."""
        losses = Losses(self.search)
        losses.count(plan, range(self.board.cells))
        loss = losses.by_unit()
        ranked = sorted(loss, key=lambda unit: (-round(loss[unit], 6), unit))
        for unit in ranked[: len(ranked) // POLISHED]:
            if self.search.halt("polishing", plan.cost()):
                break
            new = self._moved(plan, "day", (unit,))
            if new is not None and new.whole and new.cost() < plan.cost() - 1e-6:
                plan = new
        return plan

    def _next(self, loss: dict[Unit, float], tried: set[Move], first: set[Unit]) -> Move | None:
        ranked = sorted(loss, key=lambda unit: (-round(loss[unit], 6), unit))
        worst = [unit for unit in ranked if unit in first]
        return self._untried(REPAIRS, worst, loss, tried) or self._untried(
            KINDS, ranked, loss, tried
        )

    def _untried(
        self, kinds: tuple[str, ...], ranked: list[Unit], loss: dict[Unit, float], tried: set[Move]
    ) -> Move | None:
        for kind in kinds:
            if kind == "common" and not (self.everyone and self.shared):
                continue
            for day, walker in ranked:
                if kind in ("common", "everyone"):
                    move: Move = (kind, ((day, -1),))
                elif kind == "leg":
                    leg = self.board.legs == self.board.legs[day - 1]
                    move = (kind, ((int(np.argmax(leg)) + 1, walker),))
                else:
                    many = {"two days": 2, "three days": 3}.get(kind, 1)
                    days = self._beside(loss, day, walker, many)
                    if len(days) < many and many > 1:
                        continue
                    move = (kind, tuple((each, walker) for each in sorted(days)))
                if move not in tried:
                    return move
        return None

    def _beside(self, loss: dict[Unit, float], day: int, walker: int, many: int) -> list[int]:
        """This day and its neighbours of the largest loss."""
        days = [day]
        while len(days) < many:
            beside = [d for d in (min(days) - 1, max(days) + 1) if (d, walker) in loss]
            if not beside:
                break
            days.append(max(beside, key=lambda d: loss[d, walker]))
        return days

    def _moved(self, plan: Plan, kind: str, units: tuple[Unit, ...]) -> Plan | None:
        if kind == "common":
            return self._common(plan, units[0][0])
        if kind in ("leg", "everyone"):
            return self._rebalanced(plan, kind, units[0])
        board, search = self.board, self.search
        plates = [p for unit in units for p in search.plates_of[unit]]
        eaters = np.diff(board.plate_start)
        cells = [
            int(board.plate_cell[p])
            for p in plates
            if board.cell_walker[board.plate_cell[p]] >= 0 or eaters[board.plate_cell[p]] == 1
        ]
        many = 2 * NEAR if kind == "wide" else NEAR
        by_steps = kind in ("steps", "wide")
        first = min(day for day, _ in units)
        waiting = None if by_steps else Waiting(board, cells=(), before=first)
        part = part_of(
            plan,
            {c: search.candidates(c, many, plan) for c in cells},
            portions=plates,
            waiting=waiting,
            guide=search.guide,
            by_steps=by_steps,
        )
        new = search.solve(plan, part, search.effort(MEND, nodes=NODES))
        if new is None or by_steps:
            return new
        return search.portioned(new, units)

    def _rebalanced(self, plan: Plan, kind: str, unit: Unit) -> Plan | None:
        """Portions only, of a walker's whole leg or of everybody's day: room changes hands."""
        search, legs = self.search, self.board.legs
        day, walker = unit
        if kind == "leg":
            units = [
                u for u in search.plates_of if u[1] == walker and legs[u[0] - 1] == legs[day - 1]
            ]
        else:
            units = [(day, each) for each in search.walkers_on[day]]
        plates = [p for each in sorted(units) for p in search.plates_of[each]]
        part = part_of(plan, {}, portions=plates)
        return search.solve(plan, part, search.effort(MEND, nodes=NODES // 10))

    def _common(self, plan: Plan, day: int) -> Plan | None:
        """Another common dish on one day, and everybody's own food after it."""
        board, search = self.board, self.search
        cells = search.cells_on[day]
        shared = [c for c in cells if board.cell_walker[c] < 0]
        own = [c for c in cells if board.cell_walker[c] >= 0]
        if not shared or not own:
            return None
        new = search.common(plan, shared, own, Waiting(board, cells=(), before=day))
        same = all(
            {r for r, _, _ in new.picks[c]} == {r for r, _, _ in plan.picks.get(c, ())}
            for c in shared
        )
        if same:
            return None
        waiting = Waiting(board, search.relaxed.eaten, own, before=day)
        for walker in search.walkers_on[day]:
            mine = [c for c in own if board.cell_walker[c] == walker]
            new = search.decide(new, mine, search.plates_of[day, walker], waiting)
        return search.portioned(new, [(day, walker) for walker in search.walkers_on[day]])
