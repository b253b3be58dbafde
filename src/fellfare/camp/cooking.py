"""How much longer must it cook up there?

Kinetic model for food that cooks IN boiling water.  It is about doneness
only: never use it for a safety endpoint (meat, egg, raw beans), where the
core temperature of the rule counts and not a stretched clock.
"""

from __future__ import annotations

from math import log
from typing import Final

from msgspec import Struct

from fellfare.camp.water import boil_at
from fellfare.mistake import Mistake
from fellfare.pantry.food import Trust

#: Boiling point at 101 325 Pa [IAPWS-R7-97], to which cooking times of packets belong [°C].
SEA_LEVEL_BOIL_C: Final = 99.974

#: z-value [K].  33: rice, Ea about 79.5 kJ/mol (Suzuki et al. 1976, J Food Sci
#: 41:1180, from memory; a second rice study in abstract gives 71.1 kJ/mol, z = 36.5),
#: also the kitchen rule '+10 % per 1 000 ft'.  52: braised meat, 'a quarter more
#: at 5 000 ft' (Colorado State University Extension, High Altitude Food Preparation).
Z_K: Final = 33.0
Z_MOST_K: Final = 52.0

#: What water may boil at anywhere on foot, in any weather [°C].
LEAST_BOIL_C: Final = 60.0
MOST_BOIL_C: Final = 104.0

_R: Final = 8.314462618e-3  # molar gas constant, kJ/(mol K), SI 2019 exact


def thermal_time_factor(T: float, T_ref: float, z: float) -> float:
    """Time at ``T`` over time at ``T_ref`` [-]: 10^((T_ref - T)/z), all in K or °C.

    Bigelow 1921 [BIGELOW-1921] (form alone, from memory).  Valid near the
    temperatures at which z was fitted; the door takes 60 to 104 °C.
    """
    return float(10.0 ** ((T_ref - T) / z))


def z_of_activation_energy(Ea: float, T: float) -> float:
    """z [K] at ``T`` [K] of a reaction with activation energy ``Ea`` [kJ/mol].

    z = ln(10) R T^2 / Ea: the Arrhenius line and the z line touch at T.
    """
    return log(10.0) * _R * T**2 / Ea


def cooking_time_factor(boils_c: float, z_k: float = Z_K) -> float:
    """How many times the sea-level minutes a simmered food needs.

    Only for food that is cooked in boiling water and limited by kinetics;
    thick pasta or whole beans change less at first.  Never for a safety
    endpoint.

    Parameters
    ----------
    boils_c
        Boiling point at camp; 60 to 104. [°C]
    z_k
        Temperature rise that makes it ten times faster; 10 to 120. [K]

    Returns
    -------
    float
        Factor on the sea-level minutes.

    Raises
    ------
    Mistake
        ``boiling-point-out-of-range``, ``z-out-of-range``.

    Examples
    --------
    >>> round(cooking_time_factor(89.977), 2)
    2.01
    """
    if not LEAST_BOIL_C <= boils_c <= MOST_BOIL_C:
        raise Mistake(
            "boiling-point-out-of-range",
            what=f"water does not boil at {boils_c:g} °C on any walk (60 to 104 °C)",
            mend="give °C; boil_at(altitude_m).boils_c knows it",
        )
    if not 10.0 <= z_k <= 120.0:
        raise Mistake(
            "z-out-of-range",
            what=f"z = {z_k:g} K is outside 10 to 120 K",
            mend="leave it out (33 K), or give the published z of that food",
        )
    return thermal_time_factor(boils_c, SEA_LEVEL_BOIL_C, z_k)


class CookingTime(Struct, frozen=True, kw_only=True):
    """Minutes on the simmer at one altitude."""

    sea_level_minutes: float
    boils_c: float
    #: With z = 33 K, the cautious end for most foods.
    minutes: float
    #: Over z = 33 to 52 K.
    low_minutes: float
    high_minutes: float
    factor: float
    trust: Trust = "common-practice"
    source: str = (
        "z = 33 K (rice-like) to 52 K; doneness only, never a safety endpoint; "
        "the sea-level minutes are as good as the packet"
    )


def cooking_minutes(
    sea_level_minutes: float, altitude_m: float, weather_hpa: float = 0.0
) -> CookingTime:
    """Minutes that a food cooked in boiling water needs at an altitude.

    Raises
    ------
    Mistake
        ``minutes-out-of-range`` and those of :func:`~fellfare.camp.water.boil_at`.

    Examples
    --------
    >>> round(cooking_minutes(10, 3000).minutes, 1)
    20.1
    """
    if not 0.0 <= sea_level_minutes <= 1440.0:
        raise Mistake(
            "minutes-out-of-range",
            what=f"{sea_level_minutes:g} minutes of cooking are outside 0 to 1,440",
            mend="give the minutes of the packet",
        )
    boils_c = boil_at(altitude_m, weather_hpa).boils_c
    usual, other = (cooking_time_factor(boils_c, z) for z in (Z_K, Z_MOST_K))
    return CookingTime(
        sea_level_minutes=sea_level_minutes,
        boils_c=boils_c,
        minutes=sea_level_minutes * usual,
        low_minutes=sea_level_minutes * min(usual, other),
        high_minutes=sea_level_minutes * max(usual, other),
        factor=usual,
    )
