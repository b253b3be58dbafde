"""One wish that can give, and how it is called."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, TypeAlias

import msgspec

from fellfare.menu.pool import Band, Question

Kind: TypeAlias = Literal[
    "band", "litres", "load", "box g", "box ml", "budget", "repeat", "often", "different",
    "pot", "packs", "lock", "ban", "dislike",
]  # fmt: skip
Side: TypeAlias = Literal["low", "high"]

#: Weight of giving a fixed dish, a banned one or a dislike; 1 is a limit moved by its own size.
FIXED_DISH = 0.5
#: What each further wish that gives costs on top, so that few give rather than many a little.
EACH_WISH = 0.02


class Single(msgspec.Struct, frozen=True, kw_only=True):
    """One wish that can give.

    ``tag`` names it in the question taken apart; ``at`` is its place in the
    question's own tuple; ``price`` what giving it by its own size (``size``) costs.
    """

    kind: Kind
    at: int
    wish: str
    limit: float
    tag: str = ""
    group: int = -1
    side: Side = "high"
    day: int | None = None
    who: str = ""
    #: A disliked dish or family.
    word: str = ""
    size: float = 1.0
    price: float = 1.0


class Apart(msgspec.Struct, frozen=True, kw_only=True):
    """The question with every wish on its own, without fixed, banned or disliked dishes."""

    question: Question
    singles: tuple[Single, ...]
    groups: tuple[str, ...]


NUTRIENT_WORD = {
    "energy_kcal": ("kcal", "energy"),
    "protein_g": ("g", "protein"),
    "fat_g": ("g", "fat"),
    "carbohydrate_g": ("g", "carbohydrate"),
    "fibre_g": ("g", "fibre"),
    "sodium_mg": ("mg", "sodium"),
}


def times(many: float) -> str:
    """'once', 'twice', '3 times'."""
    return {0: "never", 1: "once", 2: "twice"}.get(round(many), f"{many:g} times")


def number(value: float) -> str:
    """A limit as it is told: one decimal, none from a thousand on."""
    return f"{round(value, 1 if abs(value) < 1000 else 0):g}"


def numbers(values: Sequence[float]) -> str:
    """One limit, or from which to which the limits of several days go."""
    low, high = number(min(values)), number(max(values))
    return low if low == high else f"{low} to {high}"


def band_size(question: Question, band: Band, limit: float) -> float:
    """What a limit is large against; for a share, that part of the day's energy [kcal]."""
    if not band.share:
        return abs(limit) or 1.0
    energy = [
        other.low
        for other in question.bands
        if other.walker == band.walker
        and other.nutrient == "energy_kcal"
        and other.low
        and not other.times
    ]
    return max(limit, 0.01) * (energy[0] if energy else 2500.0)


def band_name(band: Band, side: Side) -> str:
    """What a floor or ceiling is called, with a gap for its limit."""
    unit, word = NUTRIENT_WORD[band.nutrient]
    bound = "at least" if side == "low" else "at most"
    if band.share:
        return f"{band.walker}, {bound} {{}} % of the energy from {word}"
    over = " over the days" if band.whole else " a day"
    if band.times:
        over = f" at {' and '.join(time.split(' (')[0] for time in band.times)}"
    return f"{band.walker}, {bound} {{}} {unit} {word}{over}"
