"""What will the scale show?  Masses in grams, or in ounces and pounds."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fellfare.measure.printing.figures import (
    Number,
    Printed,
    asked,
    decimal_text,
    printed,
    to_step,
)
from fellfare.measure.units import OUNCE_G, SIZES, System

_TENTH: Final = Fraction(1, 10)
_HUNDREDTH: Final = Fraction(1, 100)
_ONE: Final = Fraction(1)
#: From here on in steps of a tenth of a gram, of a gram; of a tenth of an ounce.
_FROM_TENTHS_G: Final = Fraction("0.095")
_FROM_GRAMS: Final = Fraction("9.95")
_FROM_TENTHS_OZ: Final = Fraction("0.995")

#: Systems in which a kitchen scale shows ounces.
_OUNCES: Final = ("us", "us-label", "imperial")


def print_mass(mass_g: Number, system: System = "metric") -> Printed:
    """A mass as a kitchen scale of that system shows it.

    Parameters
    ----------
    mass_g
        Mass, zero or more. [g]
    system
        ``metric`` and ``australian`` print grams, the others ounces and pounds.

    Raises
    ------
    Mistake
        ``amount-not-printable``: below zero, not a number, or without end.

    Examples
    --------
    >>> print_mass(90).text, print_mass(90, "us").text, print_mass(600, "us").text
    ('90 g', '3.2 oz', '1 lb 5.2 oz')
    """
    want = asked(mass_g, "a mass of")
    if not want:
        return Printed(text="0 oz" if system in _OUNCES else "0 g", value=want, error=0.0)
    return _ounces(want, system) if system in _OUNCES else grams(want, "g", "kg")


def grams(want: Fraction, small: str, large: str) -> Printed:
    """In g and kg."""
    if want < _FROM_TENTHS_G:
        value = to_step(want, Fraction(1, 1000))
        text = f"{decimal_text(value * 1000)} m{small}"
        return printed(text, value, want, measurable=False, note="less than a scale shows")
    value = to_step(want, _TENTH if want < _FROM_GRAMS else _ONE)
    if value < 1000:
        return printed(f"{decimal_text(value)} {small}", value, want)
    return thousands(want, large)


def thousands(want: Fraction, large: str) -> Printed:
    """In kg or l: steps of a hundredth, from ten of a tenth."""
    value = to_step(want / 1000, _HUNDREDTH if want < 9995 else _TENTH)
    return printed(f"{decimal_text(value)} {large}", value * 1000, want)


def _ounces(want: Fraction, system: System) -> Printed:
    ounce = SIZES[system]["oz"]
    ounces = want / ounce
    if ounces < _FROM_TENTHS_OZ:
        shown = to_step(ounces, _HUNDREDTH)
        little = ounces < _HUNDREDTH / 2
        note = "less than a scale shows" if little else ""
        text = f"{decimal_text(shown)} oz"
        return printed(text, shown * ounce, want, measurable=not little, note=note)
    shown = to_step(ounces, _TENTH)
    if ounce != OUNCE_G or shown < 16:
        return printed(f"{decimal_text(shown)} oz", shown * ounce, want)
    pounds, rest = divmod(shown, 16)
    text = f"{pounds} lb {decimal_text(rest)} oz" if rest else f"{pounds} lb"
    return printed(text, shown * ounce, want)
