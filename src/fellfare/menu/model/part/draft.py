"""Columns and rows of a small model while they are put together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fellfare.menu.model.board import Floats, Indices, weighed
from fellfare.menu.solver import Problem

INFINITE = float("inf")


class Draft:
    """A model that grows by single columns, by rows and by blocks of entries."""

    def __init__(self, cost: Floats, high: Floats, whole: Sequence[bool]) -> None:
        self.cost: list[float] = cost.tolist()
        self.low: list[float] = [0.0] * len(self.cost)
        self.high: list[float] = high.tolist()
        self.whole: list[bool] = list(whole)
        self.row_low: list[float] = []
        self.row_high: list[float] = []
        self.row: list[Indices] = []
        self.col: list[Indices] = []
        self.value: list[Floats] = []

    def column(self, cost: float, high: float, whole: bool = False, low: float = 0.0) -> int:
        """One more column from ``low`` to ``high``; its number."""
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(whole)
        return len(self.cost) - 1

    def line(self, low: float, high: float, cols: Sequence[int], values: Sequence[float]) -> int:
        """One more row with its entries; its number."""
        at = len(self.row_low)
        self.row_low.append(low)
        self.row_high.append(high)
        self.row.append(np.full(len(cols), at, dtype=np.int64))
        self.col.append(np.array(cols, dtype=np.int64))
        self.value.append(np.array(values, dtype=np.float64))
        return at

    def block(self, row: Indices, col: Indices, value: Floats) -> None:
        """Entries of rows and columns that are there."""
        self.row.append(row)
        self.col.append(col)
        self.value.append(value)

    def problem(self) -> Problem:
        """The model; entries of the same row and column are added up."""
        row = np.concatenate(self.row) if self.row else np.zeros(0, dtype=np.int64)
        col = np.concatenate(self.col) if self.col else np.zeros(0, dtype=np.int64)
        value = np.concatenate(self.value) if self.value else np.zeros(0)
        many, wide = len(self.row_low), len(self.cost)
        marks, back = np.unique(row * np.int64(wide) + col, return_inverse=True)
        value = weighed(back, value, marks.shape[0])
        return Problem(
            cost=np.array(self.cost, dtype=np.float64),
            low=np.array(self.low, dtype=np.float64),
            high=np.array(self.high, dtype=np.float64),
            whole=np.array(self.whole, dtype=np.bool_),
            row_low=np.array(self.row_low, dtype=np.float64),
            row_high=np.array(self.row_high, dtype=np.float64),
            start=np.searchsorted(marks, np.arange(many + 1) * np.int64(wide)).astype(np.int32),
            index=(marks % max(1, wide)).astype(np.int32),
            value=value,
        )
