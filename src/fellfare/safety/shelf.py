"""How long does its quality last when it lies warmer or cooler than the table says?

Quality only: the rule of thumb says nothing about germs.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from fellfare.mistake import Mistake

#: Lipid oxidation near room temperature, about 2 to 3 (Labuza 1982, Shelf-Life
#: Dating of Foods [LABUZA-1982], from memory).
Q10_LEAST: Final = 2.0
Q10_MOST: Final = 3.0


def q10_factor(T: float, T_ref: float, Q10: float) -> float:
    """Rate at ``T`` over rate at ``T_ref`` [-], both in °C: Q10^((T - T_ref)/10).

    Labuza 1982 [LABUZA-1982] (from memory).  Valid near the temperatures at which Q10
    was read; of quality only, never of germs (not checked here).
    """
    return float(Q10 ** ((T - T_ref) / 10.0))


def q10_of(warm_days: float, warm_c: float, cool_days: float, cool_c: float) -> float:
    """Q10 of two published lives (same unit) at two temperatures [°C].

    Raises
    ------
    Mistake
        ``life-out-of-range``: a life not above zero, or the same temperature twice.
    """
    if not (warm_days > 0 and cool_days > 0 and warm_c != cool_c):
        raise Mistake(
            "life-out-of-range",
            what=f"{warm_days:g} d at {warm_c:g} °C, {cool_days:g} d at {cool_c:g} °C: no Q10",
            mend="give two lives above zero at two temperatures",
        )
    return float((cool_days / warm_days) ** (10.0 / (warm_c - cool_c)))


def life_days(table_days: float, table_c: float, at_c: float, q10: float) -> float:
    """Days that ``table_days`` at ``table_c`` [°C] become at ``at_c`` [°C].

    Raises
    ------
    Mistake
        ``life-out-of-range``: days not above zero, Q10 outside 1 to 10, or a
        temperature outside -40 to 60 °C.
    """
    if not (table_days > 0 and 1.0 <= q10 <= 10.0 and _fits(table_c) and _fits(at_c)):
        raise Mistake(
            "life-out-of-range",
            what=f"{table_days:g} days at {table_c:g} °C cannot be carried to {at_c:g} °C "
            f"with Q10 {q10:g}",
            mend="days above zero, Q10 from 1 to 10, temperatures from -40 to 60 °C",
        )
    return table_days / q10_factor(at_c, table_c, q10)


def life_used(
    stays: Iterable[tuple[float, float]], table_days: float, table_c: float, q10: float
) -> float:
    """Share of its life that a food has spent: sum of days / life at each temperature.

    Parameters
    ----------
    stays
        (days, temperature [°C]) one after the other; days zero or more.
    table_days, table_c, q10
        As in :func:`life_days`.

    Returns
    -------
    float
        1 = spent.

    Raises
    ------
    Mistake
        ``life-out-of-range``.
    """
    used = 0.0
    for days, at_c in stays:
        if not days >= 0:
            raise Mistake(
                "life-out-of-range", what=f"a stay of {days:g} days", mend="give zero or more"
            )
        used += days / life_days(table_days, table_c, at_c, q10)
    return used


def _fits(temperature_c: float) -> bool:
    return -40.0 <= temperature_c <= 60.0
