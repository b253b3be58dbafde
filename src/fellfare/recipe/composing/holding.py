"""What must hold of a dish: limits, pairings and tastes, as columns that join over its parts.

A limit on a sum asks ``sum of a column >= least``; one on a ratio is multiplied out into a
sum.  A filling that cannot keep a limit even beside the best of all other parts is left out
before the combining begins.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.recipe.composing.laying import Floats, PartLaid, Whole
from fellfare.recipe.composing.question import RATIOS, SUMS, Composition

#: A limit counts as kept when it is missed by less than this part of it.
SLACK: Final = 1e-9
_PLACE: Final = {name: at for at, name in enumerate(SUMS)}


class Held(Struct, frozen=True, eq=False):
    """Kept where the dish's sum of the column is at least ``least``; one column per part."""

    columns: tuple[Floats, ...]
    least: float

    @property
    def allowed(self) -> float:
        """The least, with what rounding may take from it."""
        return self.least - SLACK * max(1.0, abs(self.least))


class Pair(Struct, frozen=True):
    """The food only where one of the others is (``wanted``), or where none of them is."""

    food: str
    others: tuple[str, ...]
    wanted: bool


def limits(asked: Composition, parts: tuple[PartLaid, ...]) -> list[Held]:
    """Every end of every limit, as sums over the parts."""
    made = []
    for limit in asked.limits:
        if limit.least is not None:
            made.append(_least(parts, limit.figure, limit.least))
        if limit.most is not None:
            made.append(_most(parts, limit.figure, limit.most))
    return made


def narrowed(held: list[Held], parts: tuple[PartLaid, ...]) -> list[Whole]:
    """Of each part the fillings that could keep every limit beside the best of the others."""
    kept = [np.ones(len(part), dtype=np.bool_) for part in parts]
    changed = True
    while changed and all(some.any() for some in kept):
        changed = False
        for limit in held:
            best = [float(c[some].max()) for c, some in zip(limit.columns, kept, strict=True)]
            for at, some in enumerate(kept):
                others = sum(best[:at]) + sum(best[at + 1 :])
                could = limit.columns[at] + others >= limit.allowed - SLACK * abs(others)
                if (some & ~could).any():
                    kept[at] = some & could
                    changed = True
                    if not kept[at].any():
                        return [np.flatnonzero(some) for some in kept]
                    best[at] = float(limit.columns[at][kept[at]].max())
    return [np.flatnonzero(some) for some in kept]


def binding(held: list[Held], kept: list[Whole]) -> list[Held]:
    """The limits that some combination of what is kept misses."""
    return [
        limit
        for limit in held
        if not sum(float(c[some].min()) for c, some in zip(limit.columns, kept, strict=True))
        >= limit.least
    ]


def pairs(asked: Composition) -> list[Pair]:
    """Every rule of flavour by itself."""
    made = []
    for pairing in asked.pairings:
        if pairing.only_with:
            made.append(Pair(pairing.food, pairing.only_with, wanted=True))
        if pairing.never_with:
            made.append(Pair(pairing.food, pairing.never_with, wanted=False))
    return made


def has(part: PartLaid, foods: tuple[str, ...]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which fillings hold one of the foods."""
    return np.array(
        [any(portion.food.id in foods for portion in filling) for filling in part.fillings],
        dtype=np.bool_,
    )


def _least(parts: tuple[PartLaid, ...], figure: str, least: float) -> Held:
    if figure in RATIOS:
        above, below, per = RATIOS[figure]
        top, bottom = _PLACE[above], _PLACE[below]
        return Held(
            tuple(_minus(per * p.low[:, top], least * p.high[:, bottom]) for p in parts), 0.0
        )
    return Held(tuple(part.low[:, _PLACE[figure]].copy() for part in parts), least)


def _most(parts: tuple[PartLaid, ...], figure: str, most: float) -> Held:
    if figure == "minutes":
        return Held(tuple(np.where(part.minutes <= most, 0.0, -np.inf) for part in parts), 0.0)
    if figure in RATIOS:
        above, below, per = RATIOS[figure]
        top, bottom = _PLACE[above], _PLACE[below]
        return Held(
            tuple(_minus(most * p.low[:, bottom], per * p.high[:, top]) for p in parts), 0.0
        )
    return Held(tuple(-part.high[:, _PLACE[figure]] for part in parts), -most)


def _minus(one: Floats, other: Floats) -> Floats:
    """The difference; what is unknown on the right makes it as bad as can be."""
    return np.asarray(np.where(np.isfinite(other), one - np.where(np.isfinite(other), other, 0),
                               -np.inf))  # fmt: skip
