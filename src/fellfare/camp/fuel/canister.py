"""How many canisters must be carried?"""

from __future__ import annotations

from math import ceil
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Trust

#: Reserve on top of the reckoned fuel [common practice, no source: 0.10 to 0.25].
RESERVE: Final = 0.15


class CanisterSize(Struct, frozen=True, kw_only=True):
    """One size of threaded gas canister (EN 417)."""

    net_g: float
    #: Empty canister; weigh your own [g].
    tare_low_g: float
    tare_high_g: float
    trust: Trust = "memory"
    source: str = "common fills of the trade; empty masses from memory, weigh your own"


#: The common fills, small to large.
SIZES: Final = (
    CanisterSize(net_g=100.0, tare_low_g=90.0, tare_high_g=110.0),
    CanisterSize(net_g=110.0, tare_low_g=90.0, tare_high_g=110.0),
    CanisterSize(net_g=230.0, tare_low_g=130.0, tare_high_g=155.0),
    CanisterSize(net_g=450.0, tare_low_g=200.0, tare_high_g=215.0),
)


class Canisters(Struct, frozen=True, kw_only=True):
    """So many canisters of one size for one stretch."""

    size: CanisterSize
    count: int
    #: Fuel as reckoned, the reserve on it as a share, and both together [g].
    fuel_g: float
    reserve: float
    wanted_g: float
    #: What is in the canisters beyond the reckoned fuel [g].
    spare_g: float
    #: Full canisters at the start [g].
    carried_low_g: float
    carried_high_g: float


def check_fuel_wanted(fuel_g: float, reserve: float) -> None:
    """Refuse a mass of fuel [g] or a reserve (share) that no walk has.

    Raises
    ------
    Mistake
        ``fuel-mass-out-of-range``, ``reserve-out-of-range``.
    """
    if not 0.0 <= fuel_g <= 1e6:
        raise Mistake(
            "fuel-mass-out-of-range",
            what=f"{fuel_g:g} g of fuel is outside 0 to 1,000,000 g",
            mend="give the reckoned fuel of the stretch in grams",
        )
    if not 0.0 <= reserve <= 4.0:
        raise Mistake(
            "reserve-out-of-range",
            what=f"a reserve of {reserve:g} is outside 0 to 4",
            mend="give a share: 0.15 for 15 %",
        )


def canisters(fuel_g: float, size: CanisterSize, reserve: float = RESERVE) -> Canisters:
    """Full canisters of one size: ceil(fuel (1 + reserve) / net).

    Parameters
    ----------
    fuel_g
        Reckoned fuel for the whole stretch. [g]
    size
        One of :data:`SIZES`, or one of your own.
    reserve
        Share on top; 0 to 4 (wind, cold and snow can take three to four times
        the fuel).

    Raises
    ------
    Mistake
        ``fuel-mass-out-of-range``, ``reserve-out-of-range``,
        ``canister-size-out-of-range``.

    Examples
    --------
    >>> canisters(99.6, SIZES[1]).count, canisters(99.6, SIZES[2]).count
    (2, 1)
    """
    check_fuel_wanted(fuel_g, reserve)
    if not 1.0 <= size.net_g <= 20_000.0:
        raise Mistake(
            "canister-size-out-of-range",
            what=f"a canister of {size.net_g:g} g is outside 1 to 20,000 g",
            mend="give the net fill of the label in grams",
        )
    wanted = fuel_g * (1.0 + reserve)
    # A millionth of a gram of rounding must not buy another canister.
    count = ceil((wanted - 1e-6) / size.net_g) if wanted > 1e-6 else 0
    return Canisters(
        size=size,
        count=count,
        fuel_g=fuel_g,
        reserve=reserve,
        wanted_g=wanted,
        spare_g=count * size.net_g - fuel_g,
        carried_low_g=count * (size.net_g + size.tare_low_g),
        carried_high_g=count * (size.net_g + size.tare_high_g),
    )


def canister_choices(fuel_g: float, reserve: float = RESERVE) -> tuple[Canisters, ...]:
    """The same fuel in every common size, the lightest load first.

    Raises
    ------
    Mistake
        As :func:`canisters`.
    """
    choices = (canisters(fuel_g, size, reserve) for size in SIZES)
    return tuple(sorted(choices, key=lambda c: (c.carried_low_g + c.carried_high_g, c.count)))
