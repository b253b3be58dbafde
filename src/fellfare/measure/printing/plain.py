"""Temperatures, energies, distances and heights in print: short, for a line of text."""

from __future__ import annotations

from math import floor, isfinite

from fellfare.measure.units import FOOT_M, KILOCALORIE_KJ, MILE_M, System
from fellfare.mistake import Mistake


def print_temperature(temperature_c: float, system: System = "metric") -> str:
    """Whole degrees: '65 °C', or '149 °F' in the two US systems.

    Raises
    ------
    Mistake
        ``temperature-not-printable``: not a number, or below absolute zero.

    Examples
    --------
    >>> print_temperature(65), print_temperature(65, "us"), print_temperature(-40, "us")
    ('65 °C', '149 °F', '-40 °F')
    """
    if not (isfinite(temperature_c) and temperature_c >= -273.15):
        raise Mistake(
            "temperature-not-printable",
            what=f"a temperature of {temperature_c} °C cannot be printed",
            mend="give degrees Celsius above -273.15; unknown is None and printed as unknown",
        )
    if system in ("us", "us-label"):
        return f"{_whole(temperature_c * 9 / 5 + 32)} °F"
    return f"{_whole(temperature_c)} °C"


def print_energy(energy_kcal: float, *, kj: bool = False) -> str:
    """Whole kilocalories, or kilojoules (1 kcal = 4.184 kJ, thermochemical).

    Raises
    ------
    Mistake
        ``energy-not-printable``: below zero, not a number, or without end.

    Examples
    --------
    >>> print_energy(450), print_energy(450, kj=True)
    ('450 kcal', '1883 kJ')
    """
    if not (isfinite(energy_kcal) and energy_kcal >= 0):
        raise Mistake(
            "energy-not-printable",
            what=f"an energy of {energy_kcal} kcal cannot be printed",
            mend="give kilocalories, zero or more; unknown is None and printed as unknown",
        )
    if kj:
        return f"{_whole(energy_kcal * float(KILOCALORIE_KJ))} kJ"
    return f"{_whole(energy_kcal)} kcal"


def print_distance(distance_m: float, system: System = "metric") -> str:
    """Tenths of a kilometre or mile; below 1 km tens of metres, below 0.2 mi hundreds of feet.

    Raises
    ------
    Mistake
        ``distance-not-printable``: below zero, not a number, or without end.

    Examples
    --------
    >>> print_distance(12_340), print_distance(12_340, "us"), print_distance(850)
    ('12.3 km', '7.7 mi', '850 m')
    """
    if not (isfinite(distance_m) and distance_m >= 0):
        raise Mistake(
            "distance-not-printable",
            what=f"a distance of {distance_m} m cannot be printed",
            mend="give metres, zero or more; unknown is None and printed as unknown",
        )
    if system in ("us", "us-label"):
        if distance_m < 0.2 * float(MILE_M):
            return f"{100 * _whole(distance_m / float(FOOT_M) / 100)} ft"
        return f"{_tenths(distance_m / float(MILE_M))} mi"
    if distance_m < 995:
        return f"{10 * _whole(distance_m / 10)} m"
    return f"{_tenths(distance_m / 1000)} km"


def print_height(height_m: float, system: System = "metric") -> str:
    """Whole metres or feet, thousands apart; also of a climb, and below the sea.

    Raises
    ------
    Mistake
        ``height-not-printable``: not a number, or without end.

    Examples
    --------
    >>> print_height(820), print_height(820, "us")
    ('820 m', '2 690 ft')
    """
    if not isfinite(height_m):
        raise Mistake(
            "height-not-printable",
            what=f"a height of {height_m} m cannot be printed",
            mend="give metres; unknown is None and printed as unknown",
        )
    if system in ("us", "us-label"):
        return f"{_whole(height_m / float(FOOT_M)):,} ft".replace(",", " ")
    return f"{_whole(height_m):,} m".replace(",", " ")


def _tenths(number: float) -> str:
    """To the nearest tenth, halves upwards."""
    return f"{floor(number * 10 + 0.5) / 10:.1f}"


def _whole(number: float) -> int:
    """To the nearest whole number, halves upwards."""
    return floor(number + 0.5)
