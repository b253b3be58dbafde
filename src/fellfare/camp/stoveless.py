"""Stove or no stove: which is lighter to carry, and from which day on?

Carried mass is the mean over the walking days.  With a share of the day's fuel
burnt before the walking starts (breakfast), the sum over the days has a closed
form; half in the morning gives the well-known n/2.
"""

from __future__ import annotations

from math import floor
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Trust


class StoveKit(Struct, frozen=True, kw_only=True):
    """What cooking on a stove makes one carry."""

    #: Stove, pot, lighter, windscreen and the empty fuel container [g].
    kit_g: float
    fuel_g_per_day: float
    #: Share of the day's fuel burnt before the walking starts.
    morning_share: float = 0.5


class NoStoveKit(Struct, frozen=True, kw_only=True):
    """What eating cold makes one carry."""

    #: Soak jar with lid [g].
    jar_g: float
    #: Water that soaks in the jar while walking [g], for how much of the walking day.
    soaking_water_g: float
    soaking_share: float
    #: How much more the no-stove food weighs for the same energy [g/day]; may be below 0.
    extra_food_g_per_day: float
    #: Share of that eaten before the walking starts.
    morning_share: float = 0.0


def _check(stove: StoveKit, cold: NoStoveKit, days: float) -> None:
    masses = (stove.kit_g, stove.fuel_g_per_day, cold.jar_g, cold.soaking_water_g)
    shares = (stove.morning_share, cold.soaking_share, cold.morning_share)
    if not (
        all(0.0 <= mass <= 1e6 for mass in masses)
        and all(0.0 <= share <= 1.0 for share in shares)
        and -1e5 <= cold.extra_food_g_per_day <= 1e5
        and 1 <= days <= 1000
    ):
        raise Mistake(
            "stove-or-stoveless-unclear",
            what="a mass, share or number of days is out of range",
            mend="masses in grams of 0 or more, shares from 0 to 1, 1 to 1000 days",
        )


def stove_mean_g(stove: StoveKit, days: float) -> float:
    """Mean carried mass with the stove [g]: S + f ((n + 1)/2 - m).

    m is the share of a day's fuel burnt before walking; m = 1/2 gives S + f n/2.
    """
    return stove.kit_g + stove.fuel_g_per_day * ((days + 1) / 2 - stove.morning_share)


def no_stove_mean_g(cold: NoStoveKit, days: float) -> float:
    """Mean carried mass without [g]: J + W h_soak/h_walk + d ((n + 1)/2 - m)."""
    return (
        cold.jar_g
        + cold.soaking_water_g * cold.soaking_share
        + cold.extra_food_g_per_day * ((days + 1) / 2 - cold.morning_share)
    )


def stove_days_g(stove: StoveKit, days: int) -> tuple[float, ...]:
    """Carried while walking on each day, with the stove [g]: what is left of the fuel."""
    left = [days - k - stove.morning_share for k in range(days)]
    return tuple(stove.kit_g + stove.fuel_g_per_day * share for share in left)


def no_stove_days_g(cold: NoStoveKit, days: int) -> tuple[float, ...]:
    """Carried while walking on each day, without a stove [g]."""
    jar = cold.jar_g + cold.soaking_water_g * cold.soaking_share
    left = [days - k - cold.morning_share for k in range(days)]
    return tuple(jar + cold.extra_food_g_per_day * share for share in left)


class StoveOrStoveless(Struct, frozen=True, kw_only=True):
    """Both ways side by side for one number of days."""

    days: int
    stove_mean_g: float
    no_stove_mean_g: float
    #: Carried while walking, day by day [g].
    stove_days_g: tuple[float, ...]
    no_stove_days_g: tuple[float, ...]
    #: 'stove', 'stoveless' or 'equal' by the mean (within 0.05 g).
    lighter: str
    #: Extra food per day at which both weigh the same over these days [g/day];
    #: None when none of it is ever carried (one day, all eaten before walking).
    even_extra_g_per_day: float | None
    #: Number of days, as a real number, at which both weigh the same; None = never.
    even_days: float | None
    #: First whole number of days for which the stove is the lighter; None = never.
    stove_from_days: int | None
    trust: Trust = "derived"
    source: str = "mean carried mass, arithmetic; masses as given"


#: A crossing beyond this many days is 'never' to anybody who walks [d].
MOST_EVEN_DAYS: Final = 100_000.0


def stove_or_stoveless(stove: StoveKit, cold: NoStoveKit, days: int) -> StoveOrStoveless:
    """Answer 'stove or stoveless for so many days?'.

    Parameters
    ----------
    stove, cold
        What each way makes one carry beyond the same food energy.
    days
        Walking days of the stretch; 1 to 1000.

    Raises
    ------
    Mistake
        ``stove-or-stoveless-unclear``.

    Examples
    --------
    >>> stove = StoveKit(kit_g=310, fuel_g_per_day=16)
    >>> cold = NoStoveKit(
    ...     jar_g=60, soaking_water_g=300, soaking_share=3 / 8, extra_food_g_per_day=40
    ... )
    >>> both = stove_or_stoveless(stove, cold, 5)
    >>> both.lighter, round(both.even_extra_g_per_day, 1), both.stove_from_days
    ('stoveless', 59.2, 10)
    """
    _check(stove, cold, days)
    with_stove, without = stove_mean_g(stove, days), no_stove_mean_g(cold, days)
    f, d = stove.fuel_g_per_day, cold.extra_food_g_per_day
    fixed = no_stove_mean_g(cold, days) - d * ((days + 1) / 2 - cold.morning_share)
    # Both means are straight lines in n: s0 + f n/2 and c0 + d n/2.
    gap = stove_mean_g(stove, 0) - no_stove_mean_g(cold, 0)
    even = 2.0 * gap / (d - f) if d != f else None
    if even is not None and not even < MOST_EVEN_DAYS:
        even = None  # so nearly parallel that no walk is long enough
    from_days: int | None = None
    if stove_mean_g(stove, 1) < no_stove_mean_g(cold, 1):
        from_days = 1
    elif even is not None and d > f:
        from_days = floor(even) + 1
    share = (days + 1) / 2 - cold.morning_share
    difference = with_stove - without
    return StoveOrStoveless(
        days=days,
        stove_mean_g=with_stove,
        no_stove_mean_g=without,
        stove_days_g=stove_days_g(stove, days),
        no_stove_days_g=no_stove_days_g(cold, days),
        lighter="equal" if abs(difference) < 0.05 else "stove" if difference < 0 else "stoveless",
        even_extra_g_per_day=(with_stove - fixed) / share if share > 0 else None,
        even_days=even if even is not None and even > 0 else None,
        stove_from_days=from_days,
    )


def extra_food_g_per_day(energy_kcal: float, stove_density: float, cold_density: float) -> float:
    """Extra mass of the no-stove menu for the same energy: d = E/e2 - E/e1.

    Parameters
    ----------
    energy_kcal
        Energy of a day's food. [kcal]
    stove_density, cold_density
        Energy density of the two menus. [kcal/g]

    Returns
    -------
    float
        Extra food; below 0 when the cold menu is the denser. [g/day]

    Raises
    ------
    Mistake
        ``energy-density-out-of-range``: fat itself holds about 9 kcal/g.

    Examples
    --------
    >>> round(extra_food_g_per_day(3000, 4.4, 4.2), 1)
    32.5
    """
    if not (
        0.0 <= energy_kcal <= 20_000.0
        and 0.1 <= stove_density <= 9.1
        and 0.1 <= cold_density <= 9.1
    ):
        raise Mistake(
            "energy-density-out-of-range",
            what=f"{energy_kcal:g} kcal at {stove_density:g} and {cold_density:g} kcal/g",
            mend="give kcal per day, and kcal per gram between 0.1 and 9.1",
        )
    return energy_kcal / cold_density - energy_kcal / stove_density
