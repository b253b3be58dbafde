"""A menu in the making: what stands in each cell, and what it adds up to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, TypeAlias

import numpy as np

from fellfare.menu.model.board import Board, Floats, Indices, Rows, activity, weighed

#: (dish, how often, steps per eater)
Pick: TypeAlias = tuple[int, int, tuple[int, ...]]

#: A limit that is missed by no more than this part of its size counts as kept.
#: The solver keeps rows to 1e-7; the checker (``menu.checking``) allows 1e-6.
KEPT: Final = 5e-7
#: What missing a row by its own size costs in the search [g], and missing one dish.
MISS_G: Final = 2e6
MISS_DISH_G: Final = 1e5


class Plan:
    """Picks per cell and their sums; a change makes a new plan (``with_cells``).

    ``act`` is what the picks bring to every row; ``missing`` how many dishes a
    cell lacks, ``over`` by how much a family of rows on choices is missed (only
    those that are).
    """

    def __init__(self, board: Board) -> None:
        self.board = board
        self.picks: dict[int, Sequence[Pick]] = {}
        self._empty()

    def _empty(self) -> None:
        board = self.board
        self.act = np.zeros(board.rows.count)
        self.cell_cost = np.zeros(board.cells)
        self.missing = {c: int(n) for c, n in enumerate(board.cell_least.tolist()) if n > 0}
        self.over = {
            f: family.low * family.keys
            for f, family in enumerate(board.families)
            if family.extra is None and np.isfinite(family.low) and family.low > 0
        }
        self._missed: Floats | None = None

    def settle(self) -> None:
        """Add up everything again from the picks (after they were written from outside)."""
        self._empty()
        self._changed(Plan(self.board), sorted(self.picks))

    def with_cells(self, new: Mapping[int, Sequence[Pick]]) -> Plan:
        """The plan with other picks in some cells (an empty cell: no picks)."""
        other = Plan.__new__(Plan)
        other.board = self.board
        other.picks = dict(self.picks)
        other.picks.update({cell: tuple(picks) for cell, picks in new.items()})
        other.act = self.act.copy()
        other.cell_cost = self.cell_cost.copy()
        other.missing = dict(self.missing)
        other.over = dict(self.over)
        other._missed = None
        other._changed(self, sorted(new))
        return other

    def without(self, cells: Iterable[int]) -> Plan:
        """The plan with these cells empty."""
        return self.with_cells(dict.fromkeys(cells, ()))

    def _changed(self, before: Plan, cells: list[int]) -> None:
        board = self.board
        old, now = before.portions(cells), self.portions(cells)
        if old[0].shape[0]:
            self.act -= activity(board, *old)
        if now[0].shape[0]:
            self.act += activity(board, *now)
        plate, dish, servings = now
        per = np.einsum("ij,ij->i", board.plate_cost[plate], board.figures[dish]) * servings
        cost = weighed(board.plate_cell[plate], per, board.cells)
        families: set[int] = set()
        for cell in cells:
            picks = self.picks[cell]
            eaters = int(board.plate_start[cell + 1] - board.plate_start[cell])
            liked = sum(float(board.dish_bonus[r]) * times * eaters for r, times, _ in picks)
            self.cell_cost[cell] = float(cost[cell]) + liked
            short = int(board.cell_least[cell]) - sum(times for _, times, _ in picks)
            self.missing.pop(cell, None)
            if short > 0:
                self.missing[cell] = short
            families.update(board.families_of[cell])
        changed = set(cells)
        for cell, r, bonus in board.cell_bonus:
            if cell in changed:
                self.cell_cost[cell] += bonus * sum(t for d, t, _ in self.picks[cell] if d == r)
        for f in sorted(families):
            self._count(f)

    def _count(self, f: int) -> None:
        family = self.board.families[f]
        if family.extra is not None:
            return
        use = self.used(family.cells.tolist(), family.key)
        miss = sum(max(0.0, many - family.high) for many in use.values())
        if np.isfinite(family.low):
            miss += sum(max(0.0, family.low - use.get(k, 0)) for k in range(family.keys))
        self.over.pop(f, None)
        if miss > 0:
            self.over[f] = miss

    def portions(self, cells: Iterable[int] | None = None) -> tuple[Indices, Indices, Floats]:
        """(plate, dish, servings) of all picks, or of those in some cells."""
        plate: list[int] = []
        dish: list[int] = []
        steps: list[int] = []
        start = self.board.plate_start
        for cell in self.picks if cells is None else cells:
            picks = self.picks.get(cell, ())
            if not picks:
                continue
            first = int(start[cell])
            for r, _, each in picks:
                plate.extend(range(first, first + len(each)))
                dish.extend([r] * len(each))
                steps.extend(each)
        dishes = np.array(dish, dtype=np.int64)
        return (
            np.array(plate, dtype=np.int64),
            dishes,
            np.array(steps, dtype=np.float64) / self.board.steps[dishes],
        )

    def packs(self) -> Floats:
        """The least each extra column can be: whole packs for what is eaten, dishes eaten."""
        board = self.board
        extras, rows = board.extras, board.rows
        count = np.zeros(extras.count)
        on = board.pack_rows[rows.extra_row]
        need = self.act[rows.extra_row[on]] / -rows.extra_value[on]
        count[rows.extra_column[on]] = np.maximum(0.0, np.ceil(need - 1e-9))
        for family in board.families:
            if family.extra is not None:
                for k in self.used(family.cells.tolist(), family.key):
                    count[family.extra[k]] = 1.0
        return count

    def cost(self) -> float:
        """The objective [g], nothing missed counted."""
        total = float(self.cell_cost.sum()) + self.board.offset
        if self.board.extras.count:
            total += float(self.board.extras.cost @ self.packs())
        return total

    def missed_rows(self) -> Floats:
        """Per row, by how much of its own size it is missed (0: kept)."""
        if self._missed is None:
            board = self.board
            rows = board.rows
            act = self.act
            if rows.extra_row.shape[0]:
                act = act.copy()
                np.add.at(act, rows.extra_row, self.packs()[rows.extra_column] * rows.extra_value)
            under = _short(rows.low - act, allowance(rows, rows.low))
            above = _short(act - rows.high, allowance(rows, rows.high))
            self._missed = np.maximum(under, above) / rows.scale
        return self._missed

    def missed_dishes(self) -> float:
        """How many dishes are missing, or stand too often."""
        return float(sum(self.missing.values())) + sum(self.over.values())

    def used(self, cells: Iterable[int], key: Indices) -> dict[int, int]:
        """How often each key stands in these cells (only those that do)."""
        use: dict[int, int] = {}
        for cell in cells:
            for r, times, _ in self.picks.get(cell, ()):
                k = int(key[r])
                if k >= 0:
                    use[k] = use.get(k, 0) + times
        return use

    def burden(self) -> float:
        """What the search makes least [g]: the cost and a high price for what is missed."""
        missed = MISS_G * float(self.missed_rows().sum())
        return self.cost() + missed + MISS_DISH_G * self.missed_dishes()

    @property
    def whole(self) -> bool:
        """Nothing is missed."""
        return not self.missing and not self.over and not self.missed_rows().any()


def allowance(rows: Rows, limit: Floats) -> Floats:
    """By how much each row may miss this limit and still count as kept.

    ``KEPT`` of the limit's own size; where the limit is nothing (a share of
    energy) of the row's scale.
    """
    size = np.maximum(np.abs(np.where(np.isfinite(limit), limit, 0.0)), 1.0)
    return np.asarray(KEPT * np.where(limit == 0.0, rows.scale, size), dtype=np.float64)


def _short(short: Floats, allowed: Floats) -> Floats:
    """By how much a limit is missed, 0 where it counts as kept."""
    return np.asarray(np.where(short > allowed, short, 0.0), dtype=np.float64)


def planned(board: Board, picks: Mapping[int, Sequence[Pick]]) -> Plan:
    """A plan with these picks in its cells."""
    return Plan(board).with_cells(picks)
