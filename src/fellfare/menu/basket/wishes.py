"""The wishes of a basket as limits over whole numbers, and the model that they make.

Posed in thousandths of each unit (mg, mkcal, ...), every figure rounded to such
a whole number once, so that an answer can be added up again without any rounding.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import msgspec
import numpy as np

from fellfare.menu.basket.shop import MOST_OF_ONE, BasketAsk, ShopPack
from fellfare.menu.solver import Problem

#: Figures are counted in whole thousandths of their unit.
PER_UNIT: Final = 1_000

UNIT: Final = {
    "energy_kcal": "kcal",
    "protein_g": "g",
    "fat_g": "g",
    "carbohydrate_g": "g",
    "fibre_g": "g",
    "sodium_mg": "mg",
}
NAME: Final = {
    "energy_kcal": "energy",
    "protein_g": "protein",
    "fat_g": "fat",
    "carbohydrate_g": "carbohydrate",
    "fibre_g": "fibre",
    "sodium_mg": "sodium",
}
SHARE: Final = "share of one kind"


class Wish(msgspec.Struct, frozen=True, kw_only=True):
    """One limit over whole numbers: low <= sum of each x count <= high (None: no limit)."""

    name: str
    unit: str
    each: tuple[int, ...]
    low: int | None = None
    high: int | None = None
    per_unit: int = PER_UNIT

    def missed(self, counts: Sequence[int]) -> int:
        """By how much the counts miss it, in its own whole steps (0: kept)."""
        total = sum(a * n for a, n in zip(self.each, counts, strict=True))
        short = 0 if self.low is None else self.low - total
        over = 0 if self.high is None else total - self.high
        return max(0, short, over)


def whole(value: float) -> int:
    return round(value * PER_UNIT)


def wishes_of(ask: BasketAsk, packs: Sequence[ShopPack]) -> list[Wish]:
    """Every limit as whole numbers; floors are rounded up, ceilings down."""

    def figures(name: str) -> tuple[int, ...]:
        return tuple(whole(getattr(pack, name) or 0.0) for pack in packs)

    wishes = []
    for limits, side in ((ask.at_least, "low"), (ask.at_most, "high")):
        for nutrient, value in limits:
            wishes.append(
                Wish(
                    name=f"{NAME[nutrient]} at {'least' if side == 'low' else 'most'}",
                    unit=UNIT[nutrient],
                    each=figures(nutrient),
                    low=-(-_micro(value) // 1000) if side == "low" else None,
                    high=_micro(value) // 1000 if side == "high" else None,
                )
            )
    for name, unit, figure, most, scale in (
        ("litres", "L", "volume_ml", ask.litres, 1000 * PER_UNIT),
        ("mass", "g", "mass_g", ask.most_g, PER_UNIT),
        ("price", "money", "price", ask.most_price, PER_UNIT),
    ):
        if most is not None:
            high = _micro(most) * (scale // PER_UNIT) // 1000
            wishes.append(
                Wish(name=name, unit=unit, each=figures(figure), high=high, per_unit=scale)
            )
    if ask.one_share is not None:
        wishes += _shares(packs, figures("energy_kcal"), ask.one_share)
    return wishes


def _micro(value: float) -> int:
    return round(value * PER_UNIT * 1000)


def _shares(packs: Sequence[ShopPack], energy: tuple[int, ...], share: float) -> list[Wish]:
    """No kind brings more than its share: 1000 e[i] n[i] <= s * total, s in thousandths."""
    part = int(share * 1000 + 1e-9)
    wishes = []
    for at, pack in enumerate(packs):
        each = [-part * one for one in energy]
        each[at] += 1000 * energy[at]
        if energy[at] > 0:
            wishes.append(
                Wish(
                    name=f"{SHARE} ({pack.name})",
                    unit="kcal",
                    each=tuple(each),
                    high=0,
                    per_unit=1000 * PER_UNIT,
                )
            )
    return wishes


def problem_of(
    cost: Sequence[float],
    wishes: Sequence[Wish],
    stock: Sequence[int],
    gives: Sequence[tuple[int, float]] = (),
    more: bool = False,
    most: Sequence[float] = (),
) -> Problem:
    """Counts, then (for wishes that may give) one column each, then packs above the stock.

    ``gives``: (number of the wish, what one unit of giving costs).
    ``more``: True lets stocks be passed, at 1 a pack. ``most``: by how much each of
    ``gives`` may give at most (left out: any amount).
    """
    n, m = len(stock), len(wishes)
    width = n + len(gives) + (n if more else 0)
    table = np.zeros((m, width))
    low, high = np.full(m, -np.inf), np.full(m, np.inf)
    for row, wish in enumerate(wishes):
        table[row, :n] = np.array(wish.each, dtype=np.float64) / wish.per_unit
        if more:
            table[row, n + len(gives) :] = table[row, :n]
        low[row] = -np.inf if wish.low is None else wish.low / wish.per_unit
        high[row] = np.inf if wish.high is None else wish.high / wish.per_unit
    for at, (row, _) in enumerate(gives):
        table[row, n + at] = 1.0 if wishes[row].low is not None else -1.0
    where = table != 0.0
    return Problem(
        cost=np.array(
            [*cost, *(price for _, price in gives), *([1.0] * (n if more else 0))],
            dtype=np.float64,
        ),
        low=np.zeros(width),
        high=np.array(
            [
                *stock,
                *(most or [np.inf] * len(gives)),
                *([float(MOST_OF_ONE)] * (n if more else 0)),
            ],
            dtype=np.float64,
        ),
        whole=np.array(
            [True] * n + [False] * len(gives) + [True] * (n if more else 0), dtype=np.bool_
        ),
        row_low=low,
        row_high=high,
        start=np.concatenate([[0], np.cumsum(where.sum(axis=1))]).astype(np.int32),
        index=np.nonzero(where)[1].astype(np.int32),
        value=table[where],
    )
