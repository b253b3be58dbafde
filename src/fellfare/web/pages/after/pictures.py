"""What is believed of each eating time, drawn: a band, its middle, and what the next trip takes.

Only places on the paper are reckoned here; the figures stand in the table beside it.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.learn.lessons import WalkerLesson
from fellfare.learn.next_trip import WalkerMoved
from fellfare.web.pages.trips.pictures import Mark

WIDTH: Final = 400
_LEFT, _ROW, _TOP = 84.0, 30.0, 26.0
#: Shares at the ends of the picture.
_END: Final = 0.5


class BandRow(Struct, frozen=True):
    """One eating time."""

    name: str
    y: float
    low: float
    high: float
    mean: float
    change: float


class Bands(Struct, frozen=True):
    """All eating times of one walker."""

    width: int
    height: int
    zero: float
    rows: tuple[BandRow, ...]
    marks: tuple[Mark, ...]


def bands(lesson: WalkerLesson, moved: WalkerMoved | None) -> Bands | None:
    """None where nothing was carried; the dots are what the next trip plans."""
    change = {} if moved is None else {meal.eating: meal.change for meal in moved.meals}
    if not lesson.meals:
        return None

    def x(share: float) -> float:
        inside = min(max(share, -_END), _END)
        return round(_LEFT + (inside + _END) / (2 * _END) * (WIDTH - _LEFT - 24.0), 1)

    rows = tuple(
        BandRow(meal.eating, _TOP + at * _ROW + _ROW / 2, x(meal.wish.low), x(meal.wish.high),
                x(meal.wish.mean), x(change.get(meal.eating, 0.0)))
        for at, meal in enumerate(lesson.meals)
    )  # fmt: skip
    marks = tuple(
        Mark(x(share), _TOP - 8.0, f"{share:+.0%}".replace("-", "−") if share else "as it was")
        for share in (-0.4, 0.0, 0.4)
    )
    return Bands(WIDTH, round(_TOP + len(rows) * _ROW + 8), x(0.0), rows, marks)
