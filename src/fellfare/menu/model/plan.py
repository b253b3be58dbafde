"""A menu in the making: what stands in each cell, and what it adds up to."""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.board import Board, Floats, Indices, activity
from fellfare.menu.model.relaxing import MISS_DISH_G, MISS_G

#: A row that is missed by less than this part of its size counts as kept; the
#: checker's own tolerance is stated there.
KEPT = 1e-9


class Plan:
    """Picks per cell: (dish, how often, steps per eater). Changed in place by the search."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.picks: dict[int, list[tuple[int, int, tuple[int, ...]]]] = {}
        self.act = np.zeros(board.rows.count)

    def copy(self) -> Plan:
        other = Plan(self.board)
        other.picks = {cell: list(picks) for cell, picks in self.picks.items()}
        other.act = self.act.copy()
        return other

    def portions(self, cells: list[int] | None = None) -> tuple[Indices, Indices, Floats]:
        """(plate, dish, servings) of all picks, or of those in some cells."""
        plate: list[int] = []
        dish: list[int] = []
        steps: list[int] = []
        for cell in self.picks if cells is None else cells:
            first = int(self.board.plate_start[cell])
            for r, _, each in self.picks.get(cell, ()):
                for at, many in enumerate(each):
                    plate.append(first + at)
                    dish.append(r)
                    steps.append(many)
        dishes = np.array(dish, dtype=np.int64)
        return (
            np.array(plate, dtype=np.int64),
            dishes,
            np.array(steps, dtype=np.float64) / self.board.steps[dishes],
        )

    def settle(self) -> None:
        """Add up all rows again from the picks."""
        self.act = activity(self.board, *self.portions())

    def packs(self) -> Floats:
        """The least each extra column can be: whole packs for what is eaten, dishes eaten."""
        board = self.board
        extras, rows = board.extras, board.rows
        count = np.zeros(extras.count)
        for row, column, value in zip(
            rows.extra_row.tolist(),
            rows.extra_column.tolist(),
            rows.extra_value.tolist(),
            strict=True,
        ):
            if extras.food[column] and value < 0:
                count[column] = np.ceil(self.act[row] / -value - 1e-9)
        eaten = {r for picks in self.picks.values() for r, _, _ in picks}
        for family in board.families:
            if family.extra is None:
                continue
            here: set[int] = set()
            for cell in family.cells.tolist():
                here.update(r for r, _, _ in self.picks.get(cell, ()))
            for r in sorted(here & eaten):
                count[family.extra[family.key[r]]] = 1.0
        return count

    def cost(self) -> float:
        """The objective [g], nothing missed counted."""
        board = self.board
        plate, dish, servings = self.portions()
        per = np.einsum("ij,ij->i", board.plate_cost[plate], board.figures[dish])
        total = float(per @ servings) + board.offset
        eaters = board.eaters()
        for cell, picks in self.picks.items():
            for r, times, _ in picks:
                total += float(board.dish_bonus[r]) * times * int(eaters[cell])
        for cell, r, bonus in board.cell_bonus:
            total += bonus * sum(times for d, times, _ in self.picks.get(cell, ()) if d == r)
        if board.extras.count:
            total += float(board.extras.cost @ self.packs())
        return total

    def missed_rows(self) -> Floats:
        """Per row, by how much of its own size it is missed (0: kept)."""
        rows = self.board.rows
        act = self.act.copy()
        if rows.extra_row.shape[0]:
            np.add.at(act, rows.extra_row, self.packs()[rows.extra_column] * rows.extra_value)
        short = np.maximum(np.maximum(rows.low - act, act - rows.high), 0.0) / rows.scale
        return np.where(short > KEPT, short, 0.0)

    def missed_dishes(self) -> float:
        """How many dishes are missing, or stand too often."""
        board = self.board
        total = 0.0
        for cell in range(board.cells):
            have = sum(times for _, times, _ in self.picks.get(cell, ()))
            total += max(0, int(board.cell_least[cell]) - have)
        for family in board.families:
            if family.extra is not None:
                continue
            use = self.used(family.cells.tolist(), family.key, family.keys)
            if np.isfinite(family.high):
                total += float(np.maximum(use - family.high, 0.0).sum())
            if np.isfinite(family.low):
                total += float(np.maximum(family.low - use, 0.0).sum())
        return total

    def used(self, cells: list[int], key: Indices, keys: int) -> Floats:
        """How often each key stands in these cells."""
        use = np.zeros(keys)
        for cell in cells:
            for r, times, _ in self.picks.get(cell, ()):
                if key[r] >= 0:
                    use[key[r]] += times
        return use

    def burden(self) -> float:
        """What the search makes least [g]: the cost and a high price for what is missed."""
        return (
            self.cost()
            + MISS_G * float(self.missed_rows().sum())
            + (MISS_DISH_G * self.missed_dishes())
        )

    @property
    def whole(self) -> bool:
        """Nothing is missed."""
        return not self.missed_rows().any() and self.missed_dishes() == 0.0
