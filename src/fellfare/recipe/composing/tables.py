"""Figures as columns: of one part's fillings, of many parts together, of a tile of dishes.

Each column knows how it joins over the parts of a dish (sums add up, the slowest food waits,
tastes gather) and which end of it a tile of dishes keeps, so that no dish in the tile is
better than the tile's own row says.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, TypeAlias

import numpy as np

from fellfare.recipe.composing.holding import Pair, has
from fellfare.recipe.composing.laying import Floats, PartLaid, Whole
from fellfare.recipe.composing.question import SUMS

Array: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[Any]]
Bools: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
#: Kind and name.  'low' and 'high' are the two ends of a figure where a part of it is unknown;
#: a tile keeps the best of each: the largest low, the smallest high.  'most' and 'least' are
#: the same figures, of which a tile keeps the worst.
Column: TypeAlias = tuple[str, str | int]
Table: TypeAlias = dict[Column, Array]

NUMBER: Final[Column] = ("number", "")
KIND: Final[Column] = ("kind", "")
TASTE: Final[Column] = ("taste", "")
_PLACE: Final = {name: at for at, name in enumerate(SUMS)}


def part_table(
    part: PartLaid,
    kept: Whole,
    wanted: tuple[Column, ...],
    held: list[Floats],
    pairs: list[Pair],
    kinds: Whole,
    stride: int,
) -> Table:
    """The columns of one part; of its fillings only those that are kept."""
    table: Table = {NUMBER: kept * stride, KIND: kinds[kept], TASTE: part.tastes[kept]}
    for end, name in wanted:
        if name == "tastes":
            table[end, name] = part.tastes[kept].astype(np.uint8)
        elif name == "minutes":
            known = np.where(np.isfinite(part.minutes), part.minutes, 0.0)
            table[end, name] = (known if end == "low" else part.minutes)[kept]
        else:
            sums = part.low if end == "low" else part.high
            table[end, name] = sums[kept, _PLACE[str(name)]]
    for at, column in enumerate(held):
        table["held", at] = column[kept]
    for at, pair in enumerate(pairs):
        table["has", at] = has(part, (pair.food,))[kept]
        table["partner", at] = has(part, pair.others)[kept]
    return table


def nothing_of(table: Table) -> Table:
    """One row that adds nothing."""
    return {column: np.zeros(1, dtype=values.dtype) for column, values in table.items()}


def joining(column: Column) -> Callable[..., Array]:
    """How the column's values of two parts make that of both."""
    kind, name = column
    if name == "minutes":
        return np.maximum
    if kind in {"has", "partner"}:
        return np.logical_or
    if kind == "taste" or name == "tastes":
        return np.bitwise_or
    return np.add


def crossed(tables: list[Table]) -> Table:
    """All combinations of the rows, the last table turning fastest."""
    made = {}
    for column, total in tables[0].items():
        join = joining(column)
        for table in tables[1:]:
            total = join(total[:, None], table[column][None, :]).reshape(-1)
        made[column] = total
    return made


def picked(tables: list[Table], places: tuple[Whole, ...]) -> Table:
    """The combinations in which each table gives the row at its place."""
    made = {}
    for column in tables[0]:
        join = joining(column)
        total = tables[0][column][places[0]]
        for table, at in zip(tables[1:], places[1:], strict=True):
            total = join(total, table[column][at])
        made[column] = total
    return made


def bounded(table: Table, starts: Whole) -> Table:
    """One row for each run of rows from one start to the next, all of one kind of dish."""
    made = {}
    for column, values in table.items():
        kind, name = column
        if column == KIND:
            made[column] = values[starts]
        elif column == NUMBER or kind in {"high", "least"}:
            lower = np.bitwise_and if name == "tastes" else np.minimum
            made[column] = lower.reduceat(values, starts)
        elif kind in {"low", "most", "rank"}:
            higher = np.bitwise_or if name == "tastes" else np.maximum
            made[column] = higher.reduceat(values, starts)
    return made
