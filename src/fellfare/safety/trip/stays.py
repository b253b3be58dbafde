"""How much of its life has a food spent on shelf, in car, mail, box and pack?

The sum over all stays of days over the life at that warmth, life by Q10 (see
:mod:`fellfare.safety.shelf`).  Quality only: it says nothing about germs.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from msgspec import Struct

from fellfare.safety.shelf import Q10_LEAST, Q10_MOST, life_used

Where = Literal["home", "car", "mail", "box", "pack"]

#: Share of its life after which a fatty food is told of, and any other.
FAT_MOST_USED: Final = 0.8
MOST_USED: Final = 1.0


class Stay(Struct, frozen=True, kw_only=True):
    """So many days in one place at one warmth."""

    #: Zero or more [days].
    days: float
    #: Warmth of the food itself [°C]; None = not known.
    c: float | None = None
    where: Where = "pack"


class LifeUsed(Struct, frozen=True, kw_only=True):
    """Share of a life that is spent; 1 = all of it."""

    #: With the flatter rule for warm stays and the steeper for cool ones, and the reverse.
    low: float
    high: float
    #: Where nobody knew the warmth; those stays count at the table's own.
    unknown: tuple[Where, ...]


def life_used_over(
    stays: Sequence[Stay],
    table_days: float,
    table_c: float,
    q10: tuple[float, float] = (Q10_LEAST, Q10_MOST),
) -> LifeUsed:
    """Share of its life that a food spends on a history of stays.

    sum(days / life(T)), life(T) = table_days / Q10^((T - table_c)/10), Q10 from 2 to 3 for
    the rancidity of fat (Labuza 1982, from memory) [LABUZA-1982]: stays warmer than the
    table are taken with 3 and cooler ones with 2 for ``high``, the other way round for ``low``.

    Parameters
    ----------
    stays
        One after the other.
    table_days, table_c
        A published life [days] and its temperature [°C].
    q10
        Flatter and steeper rule; the same twice where a food's own is known.

    Raises
    ------
    Mistake
        ``life-out-of-range``: days below zero, a life not above zero, or a temperature
        outside -40 to 60 °C (a car in the sun grows hotter: keep no food there).

    Examples
    --------
    >>> hot = [Stay(days=5, c=30.0, where="car"), Stay(days=20, c=20.0)]
    >>> used = life_used_over(hot, 100, 20)
    >>> round(used.low, 2), round(used.high, 2)
    (0.3, 0.35)
    """
    low = high = 0.0
    unknown: list[Where] = []
    for stay in stays:
        at_c = stay.c
        if at_c is None:
            unknown.append(stay.where)
            at_c = table_c
        one = [life_used([(stay.days, at_c)], table_days, table_c, rule) for rule in q10]
        low, high = low + min(one), high + max(one)
    return LifeUsed(low=low, high=high, unknown=tuple(dict.fromkeys(unknown)))
