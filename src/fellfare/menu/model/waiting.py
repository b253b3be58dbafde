"""What nobody has decided yet, and what it is expected to bring."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from fellfare.menu.model.board import Board, Flags, Floats, Indices, activity, spans
from fellfare.menu.model.relaxing import Eaten


class Waiting:
    """Cells that wait; how many of each row's terms lie in them; what they should bring.

    ``eaten`` says what the relaxation eats in each cell: its activity stands in
    for the cell until it is decided. ``cells`` None: all.

    ``before``: the limits of the days before that one, in its leg, wait too.
    What is eaten on a day burdens the days before it, whose portions are set
    after it; until then the burden is only priced.

    ``packs``: what is bought, as the relaxation has it in whole packs; what the
    cells that wait will need is in them.
    """

    def __init__(
        self,
        board: Board,
        eaten: Eaten | None = None,
        cells: Sequence[int] | None = None,
        before: int | None = None,
        packs: Floats | None = None,
    ) -> None:
        self.board, self.eaten, self.packs = board, eaten, packs
        rows = board.rows
        self.before: Flags = np.zeros(rows.count, dtype=np.bool_)
        if before is not None:
            leg = board.legs[rows.day - 1] == board.legs[before - 1]
            self.before = (rows.rule >= 0) & leg & (rows.day < before)
        every = range(board.cells) if cells is None else cells
        self.cells: Flags = np.zeros(board.cells, dtype=np.bool_)
        self.cells[list(every)] = True
        self.terms: Indices = np.bincount(
            board.rows.term_row[self._terms_of(every)], minlength=board.rows.count
        )
        self.expected: Floats | None = None if eaten is None else self._brings(every)

    def _terms_of(self, cells: Sequence[int]) -> Indices:
        rows, start = self.board.rows, self.board.plate_start
        at = np.array(cells, dtype=np.int64)
        plates = spans(start[at], start[at + 1] - start[at])
        first = rows.term_start[plates]
        return spans(first, rows.term_start[plates + 1] - first)

    def _brings(self, cells: Iterable[int]) -> Floats:
        assert self.eaten is not None
        plates: list[Indices] = []
        dishes: list[Indices] = []
        servings: list[Floats] = []
        for cell in cells:
            first, last = int(self.board.plate_start[cell]), int(self.board.plate_start[cell + 1])
            for dish, amounts in self.eaten.get(cell, {}).items():
                plates.append(np.arange(first, last))
                dishes.append(np.full(last - first, dish, dtype=np.int64))
                servings.append(amounts)
        if not plates:
            return np.zeros(self.board.rows.count)
        return activity(
            self.board, np.concatenate(plates), np.concatenate(dishes), np.concatenate(servings)
        )

    def decide(self, cells: Iterable[int]) -> None:
        """These cells are being decided now: they wait no longer."""
        now = [cell for cell in cells if self.cells[cell]]
        if not now:
            return
        self.cells[now] = False
        np.subtract.at(self.terms, self.board.rows.term_row[self._terms_of(now)], 1)
        if self.expected is not None:
            self.expected = self.expected - self._brings(now)

    @property
    def open_rows(self) -> Flags:
        """Rows that reach into a cell that waits, or wait themselves."""
        return np.asarray((self.terms > 0) | self.before, dtype=np.bool_)
