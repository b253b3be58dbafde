"""What is drawn of blows and assumptions: bars from a line; every figure stands in a table too.

Only places on the paper are reckoned here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from fellfare.provision.robust.blows import STANDS_FROM, THIN_FROM, Blow, Kind
from fellfare.provision.robust.swings import Swing
from fellfare.web.pages.trips.pictures import Mark

WIDTH: Final = 420
_LEFT, _RIGHT, _ROW, _TOP = 148.0, 64.0, 28.0, 30.0
#: Share at the end of the picture; what is above it ends there.
_MOST: Final = 1.2

#: Blow in two or three words, as the picture has room for.
SHORT: Final[dict[Kind, str]] = {
    "bag": "bag",
    "day-bag": "day's food",
    "extra-day": "day more",
    "storm-day": "storm",
    "storm-fuel": "fuel",
    "dry-source": "dry source",
    "box": "box",
}


class Bar(Struct, frozen=True):
    """One bar with its words."""

    words: str
    y: float
    x: float
    width: float
    #: Verdict, or 'more' and 'less'.
    kind: str
    #: At the end of the bar.
    text: str
    text_x: float
    #: The word ends at its place.
    end: bool = False


class Bars(Struct, frozen=True, kw_only=True):
    """Bars one below the other."""

    width: int
    height: int
    foot: float
    bars: tuple[Bar, ...]
    #: Lines with a word above them.
    lines: tuple[Mark, ...]
    #: Words to the left of each row: x, y.
    names: tuple[Mark, ...]


def shares(blows: Sequence[Blow]) -> Bars | None:
    """What is left of the need after each blow; None when nothing of it is known."""
    known = [blow for blow in blows if blow.share is not None]
    if not known:
        return None

    def x(share: float) -> float:
        return round(_LEFT + min(share, _MOST) / _MOST * (WIDTH - _LEFT - _RIGHT + 8.0), 1)

    bars, names = [], []
    for at, blow in enumerate(known):
        y = _TOP + at * _ROW
        end = x(blow.share or 0.0)
        bars.append(
            Bar("", y + 5.0, _LEFT, max(round(end - _LEFT, 1), 1.5),
                blow.verdict.replace(" ", "-"), f"{blow.percent} %", end + 6.0)
        )  # fmt: skip
        names.append(Mark(_LEFT - 10.0, y + 18.0, _name(blow)))
    return Bars(
        width=WIDTH, height=round(_TOP + len(known) * _ROW + 6), foot=_TOP + len(known) * _ROW,
        bars=tuple(bars), names=tuple(names),
        lines=tuple(
            Mark(x(share), _TOP - 10.0, f"{100 * share:.0f}" + (" %" if share == 1.0 else ""))
            for share in (THIN_FROM, STANDS_FROM, 1.0)
        ),
    )  # fmt: skip


def _name(blow: Blow) -> str:
    first, last = blow.first_day, blow.last_day
    days = f"day {first}" if first == last else f"days {first}–{last}"
    return f"{SHORT[blow.kind]}, {days}"


def moves(swings: Sequence[Swing], food_g: float) -> Bars | None:
    """How much food each assumption adds or saves, both ways; None when nothing moves."""
    changes = [
        [None if grams is None else grams - food_g for grams in (one.low_food_g, one.high_food_g)]
        for one in swings
    ]
    most = max((abs(value) for pair in changes for value in pair if value is not None), default=0.0)
    if most < 1.0:
        return None
    half = (WIDTH - _LEFT - 2 * _RIGHT) / 2
    zero = _LEFT + _RIGHT + half
    bars, names = [], []
    for at, (one, pair) in enumerate(zip(swings, changes, strict=True)):
        y = _TOP + at * _ROW
        names.append(Mark(_LEFT - 10.0, y + 18.0, _WORDS.get(one.assumption, one.assumption)))
        for value in sorted({round(value, -1) for value in pair if value is not None}):
            wide = round(abs(value) / most * half, 1)
            if wide < 0.5:
                continue
            same_side = sum((value > 0) == ((other or 0) > 0) for other in pair) > 1
            largest = abs(value) >= max(abs(other or 0.0) for other in pair) - 10
            text = "" if same_side and not largest else _signed(value)
            bars.append(
                Bar("", y + 5.0, zero if value > 0 else zero - wide, wide,
                    "more" if value > 0 else "less", text,
                    zero + (wide + 6.0 if value > 0 else -wide - 6.0), value < 0)
            )  # fmt: skip
    return Bars(
        width=WIDTH, height=round(_TOP + len(swings) * _ROW + 6), foot=_TOP + len(swings) * _ROW,
        bars=tuple(bars), names=tuple(names), lines=(Mark(zero, _TOP - 10.0, "as planned"),),
    )  # fmt: skip


_WORDS: Final = {
    "energy density of the food": "energy density",
    "pack without food": "pack",
}


def _signed(grams: float) -> str:
    """'+1.9 kg', '−530 g'."""
    sign = "+" if grams > 0 else "−"
    size = abs(grams)
    return f"{sign}{size / 1000:.1f} kg" if size >= 1000 else f"{sign}{size:.0f} g"
