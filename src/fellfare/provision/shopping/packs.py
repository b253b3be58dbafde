"""Which whole packs cover the need, with the least cost or the least spare?"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil, gcd, isfinite
from typing import Final, Literal

from msgspec import Struct

from fellfare.mistake import Mistake

#: Which wish comes first; the other breaks ties, then fewer packs.
First = Literal["cost", "spare"]

#: Masses are counted in whole tenths of a gram.
_PER_G: Final = 10
#: Steps of the exact search that are still quick.
_MOST_STEPS: Final = 2_000_000
#: A pack or need above a tonne is a slip of the pen [g].
MOST_G: Final = 1e6


class Pack(Struct, frozen=True, kw_only=True):
    """One pack that the shop sells: the person's own figures."""

    size_g: float
    #: In whatever currency the person counts; None = unknown.
    price: Decimal | None = None
    name: str = ""


class PackCount(Struct, frozen=True, kw_only=True):
    """So many of one pack."""

    pack: Pack
    count: int


class Chosen(Struct, frozen=True, kw_only=True):
    """The packs for one food."""

    packs: tuple[PackCount, ...]
    bought_g: float
    spare_g: float
    #: None when the price of a chosen pack is unknown.
    cost: Decimal | None


def choose_packs(need_g: float, packs: Sequence[Pack], first: First = "cost") -> Chosen:
    """Whole packs that hold at least ``need_g``; the exact best.

    With ``cost`` first: least money, then least spare, then fewest packs.  As
    soon as one price is unknown, money cannot be compared, and the spare comes
    first.  With ``spare``: least spare, then (prices known) money, then packs.

    Parameters
    ----------
    need_g
        Zero or more.  [g]
    packs
        At least one.

    Returns
    -------
    Chosen
        Largest packs first; nothing for a need of zero.

    Raises
    ------
    Mistake
        ``no-pack``, ``pack-out-of-range``, ``need-out-of-range``,
        ``packs-too-fine``.

    Notes
    -----
    Covering knapsack by dynamic programming over the multiples of the packs'
    common divisor; sizes count to a tenth of a gram.  Optimal by construction,
    and compared with trying everything in the tests.
    """
    if not (isfinite(need_g) and 0.0 <= need_g <= MOST_G):
        raise Mistake(
            "need-out-of-range",
            what=f"a need of {need_g:g} g is outside 0 to {MOST_G:g} g",
            mend="give grams, zero or more",
        )
    if not packs:
        raise Mistake("no-pack", "there is no pack to choose from", "give at least one pack size")
    for pack in packs:
        _check(pack)
    sizes = [round(pack.size_g * _PER_G) for pack in packs]
    step = gcd(*sizes)
    # A millionth of a gram of rounding must not buy another pack.
    steps = max(0, ceil((need_g * _PER_G - 1e-5) / step))
    if steps * len(packs) > _MOST_STEPS:
        raise Mistake(
            "packs-too-fine",
            what=f"{need_g:g} g in packs of odd sizes takes too long to weigh against each other",
            mend="round the pack sizes to full grams or tens",
        )
    counts = _best(steps, [size // step for size in sizes], packs, first)
    chosen = sorted(
        (
            PackCount(pack=pack, count=count)
            for pack, count in zip(packs, counts, strict=True)
            if count
        ),
        key=lambda one: -one.pack.size_g,
    )
    bought_g = float(sum(Fraction(one.pack.size_g) * one.count for one in chosen))
    cost: Decimal | None = Decimal(0)
    for one in chosen:
        price = one.pack.price
        cost = None if cost is None or price is None else cost + price * one.count
    return Chosen(
        packs=tuple(chosen), bought_g=bought_g, spare_g=max(0.0, bought_g - need_g), cost=cost
    )


def _best(steps: int, sizes: list[int], packs: Sequence[Pack], first: First) -> list[int]:
    """How many of each pack; the least (wish, other wish, packs) that covers ``steps``."""
    prices = [pack.price for pack in packs]
    known = all(price is not None for price in prices)
    cents = [price or Decimal(0) for price in prices] if known else [Decimal(0)] * len(packs)
    keys: list[tuple[Decimal | int, Decimal | int, int]] = [
        (cent, size, 1) if first == "cost" and known else (size, cent, 1)
        for cent, size in zip(cents, sizes, strict=True)
    ]
    # best[n]: the least sum of keys that covers n steps, and the pack that comes last.
    best: list[tuple[Decimal | int, Decimal | int, int]] = [(0, 0, 0)]
    last = [-1]
    for need in range(1, steps + 1):
        options = []
        for place, size in enumerate(sizes):
            rest = best[max(0, need - size)]
            key = keys[place]
            options.append(((rest[0] + key[0], rest[1] + key[1], rest[2] + key[2]), place))
        value, place = min(options)
        best.append(value)
        last.append(place)
    counts = [0] * len(packs)
    left = steps
    while left > 0:
        counts[last[left]] += 1
        left -= sizes[last[left]]
    return counts


def _check(pack: Pack) -> None:
    if not (isfinite(pack.size_g) and 0.1 <= pack.size_g <= MOST_G):
        raise Mistake(
            "pack-out-of-range",
            what=f"a pack of {pack.size_g:g} g is outside 0.1 to {MOST_G:g} g",
            mend="give the net mass of the pack in grams",
            where=pack.name,
        )
    if pack.price is not None and not (pack.price.is_finite() and pack.price >= 0):
        raise Mistake(
            "pack-out-of-range",
            what=f"a price of {pack.price} is none",
            mend="give zero or more, or leave it out when it is not known",
            where=pack.name,
        )
