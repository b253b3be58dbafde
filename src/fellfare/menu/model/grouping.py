"""Days that look alike, taken together: the board in fewer cells and rows.

A relaxation only has to find good prices; the bound is then reckoned on the
board itself (``pricing``). So cells of one block of days with the same eaters
and the same fitting dishes become one group, and the rows of one rule in one
block are added up.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Floats, Indices


class FamilyGroup(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Families added up; per key one row over groups of cells."""

    members: tuple[int, ...]
    groups: Indices
    weight: Floats  # per group
    key: Indices
    keys: int
    low: float
    high: float
    extra: Indices | None


class Grouped(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Groups of cells, plates and rows; averages of coefficients."""

    group_of_cell: Indices
    size: Indices
    first_cell: Indices
    plate_start: Indices
    plate_cost: Floats
    row_of: Indices  # row -> group of rows
    row_low: Floats
    row_high: Floats
    row_scale: Floats
    term_start: Indices  # by plate group
    term_row: Indices
    term_figure: Indices
    term_value: Floats
    families: tuple[FamilyGroup, ...]

    @property
    def groups(self) -> int:
        return int(self.size.shape[0])

    @property
    def rows(self) -> int:
        return int(self.row_low.shape[0])


def grouped(board: Board, block: Sequence[int]) -> Grouped:
    """``block`` gives each day's block; days of one block should lie in one leg."""
    blocks = np.array(block, dtype=np.int64)
    number: dict[tuple[object, ...], int] = {}
    group_of_cell = np.zeros(board.cells, dtype=np.int64)
    first_cell: list[int] = []
    for cell in range(board.cells):
        a, b = board.plate_start[cell], board.plate_start[cell + 1]
        mark = (
            int(blocks[board.cell_day[cell] - 1]),
            board.cell_time[cell],
            int(board.cell_walker[cell]),
            int(board.cell_mask[cell]),
            board.plate_walker[a:b].tobytes(),
            int(board.cell_least[cell]),
            int(board.cell_most[cell]),
            int(board.cell_twice[cell]),
        )
        if mark not in number:
            number[mark] = len(first_cell)
            first_cell.append(cell)
        group_of_cell[cell] = number[mark]
    first = np.array(first_cell, dtype=np.int64)
    size = np.bincount(group_of_cell, minlength=first.shape[0])
    counts = board.plate_start[first + 1] - board.plate_start[first]
    plate_start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    within = np.arange(board.plates) - board.plate_start[board.plate_cell]
    plate_group = plate_start[group_of_cell[board.plate_cell]] + within
    plates = int(plate_start[-1])
    plate_size = np.repeat(size, counts).astype(np.float64)

    cost = np.zeros((plates, board.figures.shape[1]))
    np.add.at(cost, plate_group, board.plate_cost)
    cost /= plate_size[:, None]

    rows = board.rows
    row_mark: dict[tuple[int, int], int] = {}
    row_of = np.zeros(rows.count, dtype=np.int64)
    for row in range(rows.count):
        rule = int(rows.rule[row])
        key = (-1, row) if rule < 0 else (rule, int(blocks[rows.day[row] - 1]))
        row_of[row] = row_mark.setdefault(key, len(row_mark))
    many = len(row_mark)
    low, high, scale = np.zeros(many), np.zeros(many), np.zeros(many)
    np.add.at(low, row_of, rows.low)
    np.add.at(high, row_of, rows.high)
    np.add.at(scale, row_of, rows.scale)

    plate_of_term = np.repeat(np.arange(board.plates), np.diff(rows.term_start))
    width = board.figures.shape[1]
    mark_of_term = (
        plate_group[plate_of_term] * many + row_of[rows.term_row]
    ) * width + rows.term_figure
    marks, back = np.unique(mark_of_term, return_inverse=True)
    value = np.bincount(back, weights=rows.term_value, minlength=marks.shape[0])
    term_plate = marks // (many * width)
    return Grouped(
        group_of_cell=group_of_cell,
        size=size.astype(np.int64),
        first_cell=first,
        plate_start=plate_start,
        plate_cost=cost,
        row_of=row_of,
        row_low=low,
        row_high=high,
        row_scale=scale,
        term_start=np.searchsorted(term_plate, np.arange(plates + 1)).astype(np.int64),
        term_row=(marks // width) % many if many else marks,
        term_figure=marks % width,
        term_value=value / plate_size[term_plate],
        families=_families(board, blocks, group_of_cell, size),
    )


def _families(
    board: Board, blocks: Indices, group_of_cell: Indices, size: Indices
) -> tuple[FamilyGroup, ...]:
    together: dict[tuple[int, int], list[int]] = {}
    alone = blocks.shape[0] == np.unique(blocks).shape[0]
    for at, family in enumerate(board.families):
        if not alone and family.rule >= 0 and (family.first_day - 1) % family.span:
            continue  # windows that overlap would weigh some days more than others
        mark = (family.rule, int(blocks[family.first_day - 1])) if family.rule >= 0 else (-1, at)
        together.setdefault(mark, []).append(at)
    made = []
    for members in together.values():
        cells = np.concatenate([board.families[m].cells for m in members])
        weight = np.bincount(group_of_cell[cells], minlength=size.shape[0]) / size
        groups = np.nonzero(weight)[0]
        one = board.families[members[0]]
        made.append(
            FamilyGroup(
                members=tuple(members),
                groups=groups,
                weight=weight[groups],
                key=one.key,
                keys=one.keys,
                low=one.low * len(members),
                high=one.high * len(members),
                extra=one.extra,
            )
        )
    return tuple(made)
