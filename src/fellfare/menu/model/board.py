"""The question as arrays: cells to fill, plates to portion, rows to keep.

A *cell* is one choice of dishes: a shared eating time, or one walker's own.
A *plate* is one eater at one cell. Choosing dish r in cell c is a count
x[c, r]; the portion of plate p is y[p, r] servings with

    least[r] x[c, r] <= y[p, r] <= most[r] x[c, r].

Every rule on portions is a row whose coefficient is (a number per plate) times
(a figure per dish), so rows are kept as terms (row, plate, figure, number) and
no table of rows by dishes is ever made. Rules on choices are *families*: a set
of cells and a key per dish, one row per key. A few *extras* are columns of
their own (packs bought, dishes counted as different).
"""

from __future__ import annotations

from typing import TypeAlias

import msgspec
import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Indices: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]


class Family(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Rows on choices: for each key k, low <= sum of x over ``cells`` and dishes of key k <= high.

    ``extra`` is, per key, a column counted with -1 on the other side (or -1: none).
    ``rule``, ``first_day`` and ``span`` (days) say what it stands for when days are put together.
    """

    wish: str
    rule: int
    first_day: int
    span: int
    cells: Indices
    key: Indices
    keys: int
    low: float
    high: float
    extra: Indices | None = None


class Rows(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Rows on portions, and their terms sorted by plate (``term_start`` has plates + 1 entries)."""

    wish: tuple[str, ...]
    unit: tuple[str, ...]
    where: tuple[str, ...]
    rule: Indices
    day: Indices
    low: Floats
    high: Floats
    scale: Floats
    term_start: Indices
    term_row: Indices
    term_figure: Indices
    term_value: Floats
    extra_row: Indices
    extra_column: Indices
    extra_value: Floats

    @property
    def count(self) -> int:
        return int(self.low.shape[0])


class Extras(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Columns of their own: cost, bounds, and what they are called."""

    name: tuple[str, ...]
    cost: Floats
    low: Floats
    high: Floats
    dish: Indices  # the dish whose difference it counts, or -1
    food: tuple[str, ...]  # the food whose packs it counts, or ""

    @property
    def count(self) -> int:
        return int(self.cost.shape[0])


class Board(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Everything that pricing, relaxing and building need; see the module's words."""

    days: int
    dish_ids: tuple[str, ...]
    walker_ids: tuple[str, ...]
    figures: Floats  # dishes x figures
    least: Floats  # servings
    most: Floats
    steps: Floats  # steps per serving
    cell_day: Indices
    cell_time: tuple[str, ...]
    cell_slot: Indices
    cell_walker: Indices  # -1: shared
    cell_least: Indices
    cell_most: Indices
    cell_twice: Indices
    cell_mask: Indices
    masks: Flags  # classes x dishes
    plate_start: Indices  # cells + 1
    plate_cell: Indices
    plate_walker: Indices
    plate_cost: Floats  # plates x figures: cost of a portion
    dish_bonus: Floats  # cost of choosing, per eater (below zero: liked)
    cell_bonus: tuple[tuple[int, int, float], ...]  # (cell, dish, cost) on top
    rows: Rows
    families: tuple[Family, ...]
    families_of: tuple[tuple[int, ...], ...]  # per cell
    extras: Extras
    offset: float
    legs: Indices  # per day (index day-1): number of the leg

    @property
    def cells(self) -> int:
        return int(self.cell_day.shape[0])

    @property
    def plates(self) -> int:
        return int(self.plate_cell.shape[0])

    @property
    def dishes(self) -> int:
        return len(self.dish_ids)

    @property
    def pack_rows(self) -> Flags:
        """Rows 'what is eaten of a food <= size x packs bought' (one flag per row)."""
        rows = self.rows
        bought = np.array([bool(food) for food in self.extras.food], dtype=np.bool_)
        flags = np.zeros(rows.count, dtype=np.bool_)
        if bought.any():
            flags[rows.extra_row[(rows.extra_value < 0) & bought[rows.extra_column]]] = True
        return flags

    def allowed(self, cell: int) -> Flags:
        """Which dishes may stand in this cell."""
        return np.asarray(self.masks[self.cell_mask[cell]], dtype=np.bool_)


def activity(board: Board, plate: Indices, dish: Indices, servings: Floats) -> Floats:
    """What these portions bring to each row [row's own unit]."""
    rows = board.rows
    first = rows.term_start[plate]
    counts = rows.term_start[plate + 1] - first
    if counts.sum() == 0:
        return np.zeros(rows.count)
    entry = np.repeat(np.arange(plate.shape[0]), counts)
    term = spans(first, counts)
    value = (
        rows.term_value[term] * servings[entry] * board.figures[dish[entry], rows.term_figure[term]]
    )
    return weighed(rows.term_row[term], value, rows.count)


def weighed(at: Indices, weights: Floats, count: int) -> Floats:
    """How much of ``weights`` falls on each of the numbers 0 to ``count`` - 1."""
    return np.asarray(np.bincount(at, weights=weights, minlength=count), dtype=np.float64)


def spans(first: Indices, counts: Indices) -> Indices:
    """The whole numbers first[i], first[i] + 1, ... (counts[i] of them), one span after another."""
    total = int(counts.sum())
    ends = np.cumsum(counts)
    return np.arange(total) - np.repeat(ends - counts, counts) + np.repeat(first, counts)
