"""Who is out when: a bar for each party on a line of days.  The table holds the dates.

Only places on the paper are reckoned here.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from msgspec import Struct

from fellfare.web.pages.season.opened import Row
from fellfare.web.pages.trips.pictures import Mark

WIDTH: Final = 720
_LEFT, _ROW, _TOP = 130.0, 26.0, 30.0
_MOST_LETTERS: Final = 16


class Span(Struct, frozen=True):
    """One party's days."""

    name: str
    x: float
    y: float
    width: float
    when: str


class Calendar(Struct, frozen=True, kw_only=True):
    """All parties that have a date."""

    width: int
    height: int
    foot: float
    spans: tuple[Span, ...]
    marks: tuple[Mark, ...]
    #: Place of today; None = outside of the season.
    today: float | None


def calendar(rows: Sequence[Row], today: date) -> Calendar | None:
    """None with fewer than two parties that have a date."""
    dated = [(row, row.sets_out, row.is_back) for row in rows]
    spans = [(row, first, last) for row, first, last in dated if first and last]
    if len(spans) < 2:
        return None
    begin = min(first for _, first, _ in spans)
    end = max(last for _, _, last in spans) + timedelta(days=1)
    days = (end - begin).days

    def x(day: date) -> float:
        return round(_LEFT + (day - begin).days / days * (WIDTH - _LEFT - 12.0), 1)

    foot = _TOP + len(spans) * _ROW
    step = next((n for n in (1, 2, 7, 14, 28, 56, 112) if days / n <= 7), max(1, days // 7))
    marks = tuple(
        Mark(x(day), _TOP - 10.0, f"{day.day} {day:%b}")
        for day in (begin + timedelta(days=n) for n in range(0, days, step))
    )
    return Calendar(
        width=WIDTH, height=round(foot + 8), foot=foot, marks=marks,
        today=x(today) if begin <= today <= end else None,
        spans=tuple(
            Span(_short(row.name), x(first), round(_TOP + at * _ROW + 5.0, 1),
                 round(x(last + timedelta(days=1)) - x(first), 1), row.when(today))
            for at, (row, first, last) in enumerate(spans)
        ),
    )  # fmt: skip


def _short(name: str) -> str:
    return name if len(name) <= _MOST_LETTERS else f"{name[: _MOST_LETTERS - 1]}…"
