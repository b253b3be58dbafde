"""The inner dishes in tiles: neighbours by their figures lie together, each tile has a bound."""

from __future__ import annotations

from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.recipe.composing.laying import Floats, Whole
from fellfare.recipe.composing.tables import KIND, Column, Table, bounded

#: Dishes in a tile of each level, the coarsest first; a level of single dishes follows.
SIZES: Final = (4096, 512, 64, 8)
#: Bits of a place on the curve that neighbours follow.
CURVE_BITS: Final = 16


class Level(Struct, frozen=True, kw_only=True, eq=False):
    """Tiles of one size; ``starts`` and ``ends`` lead to those of the next level."""

    table: Table
    starts: Whole
    ends: Whole
    #: First dish of each tile.
    dishes: Whole

    def __len__(self) -> int:
        return int(self.dishes.shape[0])


def levels_of(table: Table) -> tuple[Level, ...]:
    """From the coarsest tiles to single dishes (``table`` in the order of the tiles)."""
    size = table[KIND].shape[0]
    every = np.arange(size)
    levels = [Level(table=table, starts=every, ends=every + 1, dishes=every)]
    for most in reversed(SIZES):
        below = levels[0]
        starts = _cut(below, size, most)
        levels.insert(
            0,
            Level(
                table=bounded(below.table, starts),
                starts=starts,
                ends=np.append(starts[1:], len(below)),
                dishes=below.dishes[starts],
            ),
        )
    return tuple(levels)


def _cut(below: Level, size: int, most: int) -> Whole:
    """Which of the tiles below begin a new one: at another kind, and every so many dishes."""
    kinds = below.table[KIND]
    new = np.ones(len(below), dtype=np.bool_)
    new[1:] = kinds[1:] != kinds[:-1]
    begins = below.dishes[new]
    many = np.diff(begins, append=size)
    # the dishes of one kind in tiles of about one size
    each = np.ceil(many / np.ceil(many / most)).astype(np.int64)
    which = np.cumsum(new) - 1
    place = (below.dishes - begins[which]) // each[which]
    new[1:] |= place[1:] != place[:-1]
    return np.flatnonzero(new)


def order_of(table: Table, telling: tuple[Column, ...]) -> Whole:
    """An order in which dishes of one kind, then of like tastes, then of like figures meet."""
    columns = [(name, table[kind, name]) for kind, name in telling]
    columns = [(name, values) for name, values in columns if values.min() < values.max()]
    figures = [values for name, values in columns if name != "tastes"]
    order = np.arange(table[KIND].shape[0])
    if figures:
        order = np.argsort(_on_curve(figures[:CURVE_BITS]), kind="stable")
    for values in (*(values for name, values in columns if name == "tastes"), table[KIND]):
        small = values.astype(np.uint16) if values.max() < 1 << 16 else values
        order = order[np.argsort(small[order], kind="stable")]
    return order


def _on_curve(figures: list[Floats]) -> np.ndarray[tuple[int, ...], np.dtype[np.uint16]]:
    """Places on a space-filling curve: the bits of all figures by turns [MORTON-1966]."""
    bits = CURVE_BITS // len(figures)
    curve = np.zeros(figures[0].shape[0], dtype=np.uint16)
    for at, values in enumerate(figures):
        known = values[np.isfinite(values)]
        low, high = (known.min(), known.max()) if known.shape[0] else (0.0, 0.0)
        scale = (1 << bits) / (high - low) if high > low else 0.0
        scaled = (np.clip(values, low, high) - low) * scale
        place = np.minimum(scaled, (1 << bits) - 1).astype(np.uint16)
        for bit in range(bits):
            curve |= ((place >> bit) & 1) << (bit * len(figures) + at)
    return curve
