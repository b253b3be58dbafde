"""What is drawn of backs and nights: bars by day; every figure stands in the table beside it.

Only places on the paper are reckoned here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from fellfare.provision.trip.burdens import morning_g
from fellfare.provision.trip.provision import Provision
from fellfare.web.pages.trips.pictures import Mark, levels_of

WIDTH: Final = 480
HEIGHT: Final = 190
_LEFT, _FOOT, _TOP = 52.0, 28.0, 14.0


class Piece(Struct, frozen=True):
    """A part of a bar."""

    x: float
    y: float
    width: float
    height: float
    #: Place of its owner in the key, from 1.
    who: int


class Bars(Struct, frozen=True, kw_only=True):
    """Bars by day, pieces upon one another."""

    width: int
    height: int
    pieces: tuple[Piece, ...]
    days: tuple[Mark, ...]
    levels: tuple[Mark, ...]
    names: tuple[str, ...]
    unit: str
    #: Height of the line that must not be passed; None = there is none.
    limit: float | None = None


def loads(one: Provision) -> Bars | None:
    """Food on each back every morning [kg]; None when nothing is carried."""
    names = tuple(walker.name for walker in one.plan.trip.walkers)
    days = len(one.plan.days)
    rows = [
        [grams / 1000 for grams in morning_g(one.carrying, one.bags, name, days)] for name in names
    ]
    return _bars(rows, names, "kg", [day.day for day in one.plan.days])


def nights(one: Provision) -> Bars | None:
    """Food and rubbish in the party's bags every night [L], with the most rubbish."""
    fit = one.room.party
    if fit is None or not fit.nights:
        return None
    food = [night.food_l for night in fit.nights]
    rest = [night.total_l[1] - night.food_l for night in fit.nights]
    return _bars([food, rest], ("food", "rubbish and all that smells, at most"), "L",
                 [night.day for night in fit.nights], fit.litres)  # fmt: skip


def _bars(
    rows: Sequence[Sequence[float]],
    names: tuple[str, ...],
    unit: str,
    days: Sequence[int],
    limit: float | None = None,
) -> Bars | None:
    tops = [sum(row[at] for row in rows) for at in range(len(days))]
    most = max([*tops, limit or 0.0])
    if most <= 0:
        return None
    _, high, step = levels_of(0.0, most, 4)
    step_x = (WIDTH - _LEFT - 8.0) / len(days)
    wide = min(step_x * 0.62, 40.0)
    foot = HEIGHT - _FOOT

    def y(value: float) -> float:
        return foot - value / high * (foot - _TOP)

    pieces, marks = [], []
    for at, day in enumerate(days):
        left = _LEFT + at * step_x + (step_x - wide) / 2
        below = 0.0
        for who, row in enumerate(rows, 1):
            if row[at] > 0:
                tall = y(below) - y(below + row[at])
                pieces.append(Piece(round(left, 1), round(y(below + row[at]), 1), round(wide, 1),
                                    round(tall, 1), who))  # fmt: skip
            below += row[at]
        if step_x > 18 or day % 2:
            marks.append(Mark(round(left + wide / 2, 1), foot + 18.0, str(day)))
    count = round(high / step)
    return Bars(
        width=WIDTH, height=HEIGHT, pieces=tuple(pieces), days=tuple(marks),
        levels=tuple(Mark(_LEFT, round(y(n * step), 1), f"{n * step:g}") for n in range(count + 1)),
        names=names, unit=unit, limit=None if limit is None else round(y(limit), 1),
    )  # fmt: skip
