"""Temperatures and energies in print: short, for a line of text."""

from __future__ import annotations

from math import floor, isfinite

from fellfare.measure.units import KILOCALORIE_KJ, System
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


def _whole(number: float) -> int:
    """To the nearest whole number, halves upwards."""
    return floor(number + 0.5)
