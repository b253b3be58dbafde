"""How good is it, in whole noticeable steps?  Of dishes, and of tiles of dishes as a bound.

The bound of a sum is the sum of bests, and every operation on the way keeps order, rounding
included.  A ratio gets two bounds and the narrower of them counts: the best above over the
best below; and, for a fixed ratio *r*, ``r + best(above - r below) / below``, which is narrow
where the tile's ratios are near *r*.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.recipe.composing.laying import Floats, Whole
from fellfare.recipe.composing.question import RATIOS, Aim
from fellfare.recipe.composing.tables import NUMBER, Array, Column, Table, joining
from fellfare.recipe.composing.taste import TASTES

#: A figure counts as having reached a step when it misses it by less than this part of one.
SLACK: Final = 1e-9
#: Stands for a figure without bound: far above every figure in steps, and still a number.
FAR: Final = 1e15
#: Where bounds of ratios are narrowest: at this share of the best that can be had.  Tried on
#: the bench and the demo, 2026-11: limits and other aims leave the front about there.
NEAR: Final = 0.85
_COUNT: Final = np.array([bits.bit_count() for bits in range(1 << len(TASTES))], dtype=np.float64)


class Scoring:
    """The aims, with the ratio near which their bounds are narrow."""

    def __init__(self, aims: tuple[Aim, ...]) -> None:
        self.aims = aims
        self.near = [0.0] * len(aims)

    def wanted(self) -> tuple[Column, ...]:
        """What must be known: the low end of what is wanted high, the high end of the rest."""
        columns: dict[Column, None] = {}
        for aim in self.aims:
            good, bad = _ends(aim)
            if aim.figure in RATIOS:
                above, below, _ = RATIOS[aim.figure]
                columns[good, above] = columns[bad, below] = None
            else:
                columns[good, aim.figure] = None
        return tuple(columns)

    def aim_at(self, tables: list[Table], near: float | None = None) -> None:
        """Set where the bounds of ratios are narrow, and give the parts what these need."""
        for place, aim in enumerate(self.aims):
            if aim.figure not in RATIOS:
                continue
            good, bad = _ends(aim)
            above, below, _ = RATIOS[aim.figure]
            best = _best_ratio(aim, tables)
            usual = best * NEAR if aim.better == "more" else best / NEAR
            ratio = self.near[place] = usual if near is None else near
            worst = "most" if bad == "high" else "least"
            for table in tables:
                unknown = np.isinf(table[bad, below])
                known = np.where(unknown, 0.0, table[bad, below])
                slope = np.where(unknown, -np.inf, table[good, above] - ratio * known)
                table[good, _slope(place)] = slope
                table[worst, below] = table[bad, below]

    def telling(self) -> tuple[Column, ...]:
        """Columns by which like dishes are neighbours."""
        columns: dict[Column, None] = {}
        for place, aim in enumerate(self.aims):
            name = _slope(place) if aim.figure in RATIOS else aim.figure
            columns[_ends(aim)[0], name] = None
        return tuple(columns)

    def points(
        self, inner: Table, at: Whole | None, outer: Table, beside: Whole, *, tiles: bool
    ) -> Floats:
        """Each aim's figure in steps, more is better, of inner rows ``at`` beside outer rows.

        One row for each aim.  Where the inner rows are tiles, none of their dishes has more.
        Without ``at`` all inner rows are meant, each beside the same one.
        """

        def joined(column: Column, held: Column | None = None) -> Array:
            values = inner[column if held is None else held]
            if at is None:
                return joining(column)(values, outer[column].take(beside))
            values = values.take(at)
            return joining(column)(values, outer[column].take(beside), out=values)

        many = inner[NUMBER].shape[0] if at is None else at.shape[0]
        made = np.empty((len(self.aims), many))
        for place, (row, aim) in enumerate(zip(made, self.aims, strict=True)):
            good, bad = _ends(aim)
            sign = 1.0 if aim.better == "more" else -1.0
            if aim.figure in RATIOS:
                above, below, per = RATIOS[aim.figure]
                top, bottom = joined((good, above)), joined((bad, below))
                with np.errstate(invalid="ignore", divide="ignore"):
                    np.multiply(top, np.divide(per, bottom, out=None if tiles else bottom), out=row)
                if tiles:
                    over = joined((good, _slope(place)))
                    worst = joined((bad, below), ("most" if bad == "high" else "least", below))
                    _narrow(row, over, bottom, worst, self.near[place], per, sign)
            elif aim.figure == "tastes":
                _COUNT.take(joined((good, "tastes")), out=row)
            else:
                row[:] = joined((good, aim.figure))
            if aim.grain:
                row *= sign / aim.grain
                row += SLACK
                np.floor(row, out=row)
            elif sign < 0:
                np.negative(row, out=row)
            if not np.isfinite(row).all():
                # nothing of nothing, or an unknown beside one, is no figure: the worst
                np.nan_to_num(row, False, 0.0 if sign > 0 else -FAR, FAR, -FAR)
        return made


def _ends(aim: Aim) -> tuple[str, str]:
    """The end of a figure that counts for this aim, and that of what it is divided by."""
    return ("low", "high") if aim.better == "more" else ("high", "low")


def _slope(place: int) -> str:
    return f"slope {place}"


def _narrow(
    row: Floats, over: Floats, bottom: Floats, worst: Floats, near: float, per: float, sign: float
) -> None:
    """Bound ``row`` by the other way too; where that one is no number it says nothing.

    Where more is wanted, what lies over the near ratio counts most beside the least ``below``
    (the best one), what lies under it least beside the most (the worst one); where less is
    wanted it is the other way about, and so is which of them is best.
    This way does not round as a dish's own figure does, so it is widened by far more than
    rounding can come to.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        bound = (near + over / np.where(over > 0, bottom, worst)) * per
        bound += sign * 1e-9 * (np.abs(bound) + near * per)
    if sign > 0:
        np.fmin(row, np.maximum(bound, 0.0), out=row)
    else:
        np.fmax(row, bound, out=row)


def _best_ratio(aim: Aim, tables: list[Table]) -> float:
    """The best that a dish of these parts can have, limits aside [DINKELBACH-1967].

    The dish with the best sum of ``above - r below`` has a ratio no worse than ``r``; taken
    as the new ``r`` until it stays.
    """
    good, bad = _ends(aim)
    above, below, _ = RATIOS[aim.figure]
    sign, ratio = (1.0 if aim.better == "more" else -1.0), 0.0
    for _ in range(20):
        top = bottom = 0.0
        for table in tables:
            with np.errstate(invalid="ignore"):
                gain = sign * (table[good, above] - ratio * table[bad, below])
            at = int(np.argmax(np.where(np.isnan(gain), -np.inf, gain)))
            top += float(table[good, above][at])
            bottom += float(table[bad, below][at])
        new = top / bottom if bottom > 0 else 0.0
        if not np.isfinite(new) or abs(new - ratio) <= 1e-9 * abs(new):
            break
        ratio = new
    return ratio
