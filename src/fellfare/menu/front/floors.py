"""How light can a menu of k different dinners be at most? One set of prices for every k.

The prices value every dish at every eating time, so the cheapest way to k
different dishes is a matching of seats and dishes, and one run of it bounds the
whole front.
"""

from __future__ import annotations

from collections.abc import Iterable

import msgspec
import numpy as np

from fellfare.menu.front.matching import cheapest_matchings
from fellfare.menu.model.board import Board, Floats
from fellfare.menu.model.pricing import Prices, plate_prices, priced, values


class Floors(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """What any menu with at least k different dishes weighs at least, k from 0 on [g].

    Past the last entry there is no such menu.
    """

    bound: tuple[float, ...]

    def at(self, many: int) -> float:
        """The floor for ``many`` different dishes; infinite where there cannot be so many."""
        return self.bound[many] if many < len(self.bound) else float("inf")

    def or_better(self, other: Floors) -> Floors:
        """The higher of two floors at every place: both are proven."""
        return Floors(bound=tuple(max(a, b) for a, b in zip(self.bound, other.bound, strict=True)))


def floors(board: Board, prices: Prices, cells: Iterable[int]) -> Floors:
    """A floor for every number of different dishes from one set of prices.

    ``cells`` filled as cheaply as can be cost a sum of seats, cheapest first.
    Any other filling costs, seat by seat in that order, at least as much; so k
    different dishes cost at least the cheapest matching of k seats and k
    dishes whose weights are what a dish costs more than its seat did.
    """
    table, own = value_table(board, prices, cells), list(cells)
    weights = []
    for row, cell in zip(table, own, strict=True):
        ranked = np.sort(row[np.isfinite(row)])
        least, most = int(board.cell_least[cell]), int(board.cell_most[cell])
        twice = int(board.cell_twice[cell])
        filling = np.repeat(ranked, twice)[:most]
        for seat in range(min(most, filling.shape[0])):
            before = float(filling[seat]) if seat < least else min(0.0, float(filling[seat]))
            weights.append(np.maximum(row - before, 0.0))
    if not weights:
        return Floors(bound=(priced(board, prices, keep=1).bound,))
    found = cheapest_matchings(np.array(weights))
    bound = priced(board, prices, keep=1).bound
    return Floors(bound=tuple(bound + one.weight for one in found))


def value_table(board: Board, prices: Prices, cells: Iterable[int]) -> Floats:
    """What each dish costs at these prices in each of the cells; infinite: it may not stand."""
    per_plate = plate_prices(board, prices.rows)
    wanted = list(cells)
    table = np.empty((len(wanted), board.dishes))
    step = max(1, 4_000_000 // max(1, board.dishes))
    for first in range(0, board.cells, step):
        last = min(board.cells, first + step)
        inside = [at for at, cell in enumerate(wanted) if first <= cell < last]
        if inside:
            part = values(board, per_plate, prices, first, last)
            table[inside] = part[[wanted[at] - first for at in inside]]
    return table
