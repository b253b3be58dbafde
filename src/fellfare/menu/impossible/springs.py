"""Columns and rows of the model on springs, while they are put together and after."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np

from fellfare.menu.impossible.singles import Apart
from fellfare.menu.model.board import Board, Floats, Indices, weighed
from fellfare.menu.solver import Problem

INFINITE = float("inf")


class Spring(msgspec.Struct, frozen=True, kw_only=True):
    """A column by which a single wish (by number) is missed, and what it costs."""

    single: int
    column: int
    most: float


class Sprung(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The model, and what its columns and rows mean.

    Costs are left at 0: what is made least is the caller's affair; ``cost`` is
    what the menu itself weighs. ``row_single`` is the wish that a row stands for
    (-1: none). ``whole`` is False when some dishes were left out to keep the
    model small: then nothing is proven by it.
    """

    apart: Apart
    board: Board
    problem: Problem
    x_cell: Indices
    x_dish: Indices
    e_plate: Indices
    e_dish: Indices
    springs: tuple[Spring, ...]
    group_column: int
    row_single: Indices
    cost: Floats
    whole: bool

    @property
    def groups(self) -> int:
        """How many groups of wishes there are."""
        return len(self.apart.groups)

    def group_of(self, spring: Spring) -> int:
        """Which group gives when this spring is stretched."""
        return self.apart.singles[spring.single].group


class Build:
    """Columns and rows while they are put together."""

    def __init__(self) -> None:
        self.high: list[float] = []
        self.whole: list[bool] = []
        self.low_row: list[float] = []
        self.high_row: list[float] = []
        self.row: list[Indices] = []
        self.col: list[Indices] = []
        self.value: list[Floats] = []
        self.single: list[int] = []
        self.springs: list[Spring] = []
        #: Extra column of the board -> column here.
        self.extra: dict[int, int] = {}

    def columns(self, highs: Sequence[float], whole: bool) -> int:
        first = len(self.high)
        self.high.extend(highs)
        self.whole.extend([whole] * len(highs))
        return first

    def spring(self, single: int, most: float, whole: bool = False) -> int:
        column = self.columns([most], whole)
        self.springs.append(Spring(single=single, column=column, most=most))
        return column

    def line(
        self,
        low: float,
        high: float,
        cols: Sequence[int],
        values: Sequence[float],
        single: int = -1,
    ) -> int:
        at = self.lines([low], [high], [single])
        self.entries(np.full(len(cols), at), np.array(cols), np.array(values, dtype=np.float64))
        return at

    def lines(self, lows: Sequence[float], highs: Sequence[float], singles: Sequence[int]) -> int:
        first = len(self.low_row)
        self.low_row.extend(lows)
        self.high_row.extend(highs)
        self.single.extend(singles)
        return first

    def entries(self, row: Indices, col: Indices, value: Floats) -> None:
        self.row.append(np.asarray(row, dtype=np.int64))
        self.col.append(np.asarray(col, dtype=np.int64))
        self.value.append(value)

    def problem(self) -> Problem:
        row, col = np.concatenate(self.row), np.concatenate(self.col)
        value = np.concatenate(self.value)
        wide = len(self.high)
        marks, back = np.unique(row * np.int64(wide) + col, return_inverse=True)
        return Problem(
            cost=np.zeros(wide),
            low=np.zeros(wide),
            high=np.array(self.high, dtype=np.float64),
            whole=np.array(self.whole, dtype=np.bool_),
            row_low=np.array(self.low_row, dtype=np.float64),
            row_high=np.array(self.high_row, dtype=np.float64),
            start=np.searchsorted(marks, np.arange(len(self.low_row) + 1) * np.int64(wide)).astype(
                np.int32
            ),
            index=(marks % wide).astype(np.int32),
            value=weighed(back, value, marks.shape[0]),
        )
