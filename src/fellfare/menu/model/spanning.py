"""The relaxation of a long walk, a few days at a time.

Solved whole, the linear model of a long walk and a large party grows faster
than the walk. But days far apart hang together only by a few rows (the purse,
packs, litres). So those rows get their prices from days taken together, and
each span of days is solved on its own at these prices. All prices together go
through ``pricing`` once: what it proves holds for the whole board, however the
prices came about. Repeat rules across the seam of two spans cost nothing in
the bound, which makes it a little weaker (about 0.1 %), never wrong.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec
import numpy as np

from fellfare.menu.model.board import (
    Board,
    Extras,
    Family,
    Flags,
    Floats,
    Indices,
    Rows,
    spans,
)
from fellfare.menu.model.pricing import Prices, plate_prices, priced
from fellfare.menu.model.relaxing import Halt, Relaxed, StoppedError, relax
from fellfare.menu.solver import Effort

#: The longest span of days solved at once.
LONGEST = 8
#: How near the days taken together are solved: their prices are a guess anyway.
COARSE = 1e-3


def span_of_days(board: Board) -> list[int]:
    """The number of each day's span: its leg, or a part of a leg that is too long."""
    numbers: list[int] = []
    at = -1
    for leg in sorted(set(board.legs.tolist())):
        days = int((board.legs == leg).sum())
        pieces = -(-days // LONGEST)
        numbers.extend(at + 1 + day * pieces // days for day in range(days))
        at += pieces
    return numbers


def relax_by_spans(
    board: Board,
    effort: Effort,
    near: float,
    halt: Halt | None = None,
    warm: Prices | None = None,
) -> Relaxed:
    """As ``relax``, span by span; ``warm`` prices take the place of those of days together.

    Raises ``StoppedError`` when not even days taken together were solved in time.
    """
    span_of = span_of_days(board)
    if warm is None:
        coarse = relax(board, span_of, effort, near=COARSE, halt=halt, whole_packs=False)
    else:
        coarse = _as_priced(board, warm)
    rows = coarse.prices.rows.copy()
    far = _far_families(board, coarse.prices, np.array(span_of))
    family, key, price = [far.family], [far.key], [far.price]
    eaten: dict[int, Mapping[int, Floats]] = {}
    seconds, solves, missed = coarse.seconds, coarse.solves, coarse.missed
    for number in range(span_of[-1], -1, -1):
        if halt is not None and halt(coarse.bound):
            return coarse
        span = Span(board, coarse.prices, far, np.array(span_of) == number)
        try:
            found = relax(
                span.board, list(range(board.days)), effort, near=near, warm=span.warm, halt=halt
            )
        except StoppedError:
            return coarse
        rows[span.rows] = found.prices.rows
        family.append(span.families[found.prices.family])
        key.append(found.prices.key)
        price.append(found.prices.price)
        eaten.update({int(span.cells[c]): dishes for c, dishes in found.eaten.items()})
        seconds += found.seconds
        solves += found.solves
        missed += found.missed
    prices = Prices(
        rows=rows,
        family=np.concatenate(family),
        key=np.concatenate(key),
        price=np.concatenate(price),
    )
    told = priced(board, prices)
    better = told.bound >= coarse.bound
    return Relaxed(
        bound=told.bound if better else coarse.bound,
        prices=prices if better else coarse.prices,
        guide=prices,
        priced=told,
        value=told.bound,
        missed=missed,
        eaten=eaten,
        seconds=seconds,
        solves=solves,
    )


def _as_priced(board: Board, prices: Prices) -> Relaxed:
    """What prices from elsewhere prove here."""
    found = priced(board, prices)
    return Relaxed(
        bound=found.bound, prices=prices, guide=prices, priced=found, value=found.bound,
        missed=0.0, eaten={}, seconds=0.0, solves=0,
    )  # fmt: skip


def _far_families(board: Board, prices: Prices, span_of: Indices) -> Prices:
    """The prices of rows on choices of the whole walk (favourites, different dishes)."""
    keep = np.array(
        [_is_far(board.families[f], board, span_of) for f in prices.family.tolist()],
        dtype=np.bool_,
    )
    return Prices(
        rows=prices.rows,
        family=prices.family[keep],
        key=prices.key[keep],
        price=prices.price[keep],
    )


def _is_far(family: Family, board: Board, span_of: Indices) -> bool:
    if family.rule >= 0 or family.cells.shape[0] == 0:
        return False
    spans_met = span_of[board.cell_day[family.cells] - 1]
    return bool(spans_met.min() != spans_met.max())


class Span:
    """Some days of a board as a board of their own; rows that reach further are priced."""

    def __init__(self, board: Board, prices: Prices, far: Prices, on: Flags) -> None:
        start, terms = board.plate_start, board.rows
        inside = on[board.cell_day - 1]
        self.cells = np.nonzero(inside)[0]
        self.plates = np.nonzero(inside[board.plate_cell])[0]
        plate_of = np.repeat(np.arange(board.plates), np.diff(terms.term_start))
        within = inside[board.plate_cell[plate_of]]
        here = np.bincount(terms.term_row[within], minlength=terms.count)
        there = np.bincount(terms.term_row[~within], minlength=terms.count)
        local = (here > 0) & (there == 0)
        local[terms.extra_row] = False
        self.rows = np.nonzero(local)[0]
        mine = [
            f
            for f, family in enumerate(board.families)
            if family.extra is None
            and family.cells.shape[0] > 0
            and bool(inside[family.cells].all())
        ]
        self.families = np.array(mine, dtype=np.int64)
        place = np.full(board.cells, -1, dtype=np.int64)
        place[self.cells] = np.arange(self.cells.shape[0])
        families = tuple(
            msgspec.structs.replace(board.families[f], cells=place[board.families[f].cells])
            for f in mine
        )
        families_of: list[list[int]] = [[] for _ in range(self.cells.shape[0])]
        for at, family in enumerate(families):
            for cell in family.cells.tolist():
                families_of[cell].append(at)
        counts = start[self.cells + 1] - start[self.cells]
        costs = plate_prices(board, np.where(local, 0.0, prices.rows))
        at_cell = self.cells
        self.board = msgspec.structs.replace(
            board,
            cell_day=board.cell_day[at_cell],
            cell_time=tuple(board.cell_time[c] for c in at_cell.tolist()),
            cell_slot=board.cell_slot[at_cell],
            cell_walker=board.cell_walker[at_cell],
            cell_least=board.cell_least[at_cell],
            cell_most=board.cell_most[at_cell],
            cell_twice=board.cell_twice[at_cell],
            cell_mask=board.cell_mask[at_cell],
            plate_start=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
            plate_cell=np.repeat(np.arange(at_cell.shape[0]), counts),
            plate_walker=board.plate_walker[self.plates],
            plate_cost=costs[self.plates],
            cell_bonus=_bonuses(board, far, place),
            rows=_local_rows(terms, self.plates, local),
            families=families,
            families_of=tuple(tuple(each) for each in families_of),
            extras=NO_EXTRAS,
            offset=0.0,
        )
        none = np.zeros(0, dtype=np.int64)
        self.warm = Prices(rows=prices.rows[self.rows], family=none, key=none, price=np.zeros(0))


NO_EXTRAS = Extras(
    name=(), cost=np.zeros(0), low=np.zeros(0), high=np.zeros(0),
    dish=np.zeros(0, dtype=np.int64), food=(),
)  # fmt: skip


def _bonuses(board: Board, far: Prices, place: Indices) -> tuple[tuple[int, int, float], ...]:
    """Costs of single choices: the board's own, and what rows of the whole walk make of them."""
    bonuses = [(int(place[c]), r, cost) for c, r, cost in board.cell_bonus if place[c] >= 0]
    for f, k, price in zip(far.family.tolist(), far.key.tolist(), far.price.tolist(), strict=True):
        family = board.families[f]
        dishes = np.nonzero(family.key == k)[0].tolist()
        cells = place[family.cells]
        bonuses += [(cell, r, -price) for cell in cells[cells >= 0].tolist() for r in dishes]
    return tuple(bonuses)


def _local_rows(rows: Rows, plates: Indices, local: Flags) -> Rows:
    """The rows that lie inside, their terms by the plates of the span."""
    at = np.nonzero(local)[0]
    number = np.full(rows.count, -1, dtype=np.int64)
    number[at] = np.arange(at.shape[0])
    counts = rows.term_start[plates + 1] - rows.term_start[plates]
    term = spans(rows.term_start[plates], counts)
    plate = np.repeat(np.arange(plates.shape[0]), counts)
    keep = local[rows.term_row[term]]
    term, plate = term[keep], plate[keep]
    kept = at.tolist()
    return Rows(
        wish=tuple(rows.wish[r] for r in kept),
        unit=tuple(rows.unit[r] for r in kept),
        where=tuple(rows.where[r] for r in kept),
        rule=rows.rule[at],
        day=rows.day[at],
        low=rows.low[at],
        high=rows.high[at],
        scale=rows.scale[at],
        term_start=np.searchsorted(plate, np.arange(plates.shape[0] + 1)).astype(np.int64),
        term_row=number[rows.term_row[term]],
        term_figure=rows.term_figure[term],
        term_value=rows.term_value[term],
        extra_row=np.zeros(0, dtype=np.int64),
        extra_column=np.zeros(0, dtype=np.int64),
        extra_value=np.zeros(0),
    )
