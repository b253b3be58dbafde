"""The cheapest way to give k seats k different dishes, for every k at once.

Successive shortest paths on a bipartite graph: each path adds one pair, so all
sizes come out of one run, each of them the cheapest of its size, and what one
more costs never falls (Ahuja, Magnanti and Orlin 1993 [AHUJA-1993]; from
memory). Weights must not be below zero. Checked against another
library's assignment in ``tests/menu/test_front_matching.py``.
"""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.model.board import Floats, Indices

#: Weights that differ by less are the same [g].
SAME = 1e-9


class Matching(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """``dish`` of every seat (-1: none of its own), how many pairs, and their weight in all."""

    dish: Indices
    size: int
    weight: float


def cheapest_matchings(
    weight: Floats, begin: Indices | None = None, most: int | None = None
) -> list[Matching]:
    """Cheapest matchings of growing size, from ``begin`` (pairs of weight 0) on.

    Parameters
    ----------
    weight
        Seats x dishes, not below zero; infinite where the dish may not stand.
    begin
        Per seat a dish or -1; every pair of weight 0, so that it is cheapest.
    most
        No larger ones than this.

    Returns
    -------
    list of Matching
        The first is ``begin`` (or nothing), the last the largest there is.
    """
    seats, dishes = weight.shape
    dish_of = np.full(seats, -1, dtype=np.int64) if begin is None else begin.copy()
    seat_of = np.full(dishes, -1, dtype=np.int64)
    for seat in np.nonzero(dish_of >= 0)[0].tolist():
        seat_of[dish_of[seat]] = seat
    found = [_matching(dish_of, weight)]
    while most is None or found[-1].size < most:
        path = _shortest_path(weight, dish_of, seat_of)
        if path is None:
            break
        for seat, dish in path:
            dish_of[seat], seat_of[dish] = dish, seat
        found.append(_matching(dish_of, weight))
    return found


def _matching(dish_of: Indices, weight: Floats) -> Matching:
    seats = np.nonzero(dish_of >= 0)[0]
    return Matching(
        dish=dish_of.copy(),
        size=int(seats.shape[0]),
        weight=float(weight[seats, dish_of[seats]].sum()),
    )


def _shortest_path(
    weight: Floats, dish_of: Indices, seat_of: Indices
) -> list[tuple[int, int]] | None:
    """Pairs to make, along the cheapest way from a free seat to a free dish (Bellman and Ford)."""
    seats, dishes = weight.shape
    away = np.where(dish_of < 0, 0.0, np.inf)
    reached = np.full(dishes, np.inf)
    came_from = np.full(dishes, -1, dtype=np.int64)
    taken = np.nonzero(seat_of >= 0)[0]
    for _ in range(seats + 1):
        open_seats = np.nonzero(np.isfinite(away))[0]
        if open_seats.shape[0] == 0:
            return None
        ways = away[open_seats, None] + weight[open_seats]
        nearest = ways.argmin(axis=0)
        length = ways[nearest, np.arange(dishes)]
        better = length < reached - SAME
        reached[better] = length[better]
        came_from[better] = open_seats[nearest[better]]
        back = reached[taken] - weight[seat_of[taken], taken]
        shorter = back < away[seat_of[taken]] - SAME
        if not shorter.any():
            break
        away[seat_of[taken[shorter]]] = back[shorter]
    free = np.nonzero(seat_of < 0)[0]
    if free.shape[0] == 0 or not np.isfinite(reached[free]).any():
        return None
    dish = int(free[int(np.argmin(reached[free]))])
    path: list[tuple[int, int]] = []
    while True:
        seat = int(came_from[dish])
        path.append((seat, dish))
        if dish_of[seat] < 0:
            return path
        dish = int(dish_of[seat])
