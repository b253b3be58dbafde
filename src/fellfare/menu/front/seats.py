"""The seats of a menu at some eating times: every pick is one, and holds a dish."""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Indices
from fellfare.menu.model.plan import Plan


class Seat(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """One pick: its cell, its dish, and the dishes beside it in the same cell."""

    cell: int
    dish: int
    beside: list[int]


class Seats(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """All seats, and for each different dish one seat that holds it for good (else -1)."""

    seat: list[Seat]
    begin: Indices


def seats_of(board: Board, plan: Plan, cells: list[int]) -> Seats:
    """The seats of these cells as the plan fills them."""
    seats: list[Seat] = []
    for cell in cells:
        picks = plan.picks.get(cell, ())
        for r, times, _ in picks:
            beside = [other for other, _, _ in picks if other != r]
            seats += [Seat(cell=cell, dish=r, beside=beside)] * times
    begin = np.full(len(seats), -1, dtype=np.int64)
    seen: set[int] = set()
    for at, seat in enumerate(seats):
        if seat.dish not in seen:
            seen.add(seat.dish)
            begin[at] = seat.dish
    return Seats(seat=seats, begin=begin)
