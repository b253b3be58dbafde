"""How is a number written?  ½, 2⅓, 1.25; and what a printed amount knows of itself."""

from __future__ import annotations

from fractions import Fraction
from math import floor, isfinite
from typing import Final

from msgspec import Struct

from fellfare.measure.reading.spelling import VULGAR
from fellfare.mistake import Mistake

#: What the printing doors take: an exact number, or a float out of a formula.
Number = Fraction | int | float

_GLYPHS: Final = {value: glyph for glyph, value in VULGAR.items()}
#: The reader takes no more figures than this in one number.
_MOST_FIGURES: Final = 9


class Printed(Struct, frozen=True, kw_only=True):
    """An amount in print, and how far it is from what was asked."""

    text: str
    #: What the text says, exactly [g or mL].
    value: Fraction
    #: (value - asked) / asked; positive when the text says too much.
    error: float
    #: False when no usual scale or spoon can measure so little.
    measurable: bool = True
    #: A word to show beside it, such as 'less than ⅛ tsp'.
    note: str = ""


def asked(amount: Number, what: str) -> Fraction:
    """The amount as an exact number; refuses what cannot be printed.

    Raises
    ------
    Mistake
        ``amount-not-printable``: below zero, not a number, or without end.
    """
    if not isfinite(amount) or amount < 0:
        raise Mistake(
            "amount-not-printable",
            what=f"{what} {amount} cannot be printed",
            mend="an unknown amount is None and printed as unknown; none is below zero",
        )
    return Fraction(amount)


def printed(
    text: str, value: Fraction, want: Fraction, *, measurable: bool = True, note: str = ""
) -> Printed:
    """The text with its error reckoned; ``want`` is above zero."""
    # In whole numbers: a float's exact fraction is long, and reducing it takes most of the time.
    wanted = want.numerator * value.denominator
    error = (value.numerator * want.denominator - wanted) / wanted
    return Printed(text=text, value=value, error=error, measurable=measurable, note=note)


def to_step(amount: Fraction, step: Fraction) -> Fraction:
    """To the nearest multiple of a step, halves upwards, never down to nothing."""
    half = amount.denominator * step.numerator
    steps = (2 * amount.numerator * step.denominator + half) // (2 * half)
    return max(steps, 1) * step


def decimal_text(value: Fraction) -> str:
    """'1.25'; exact, for values whose denominator divides a power of ten.

    >>> decimal_text(Fraction(5, 4)), decimal_text(Fraction(3))
    ('1.25', '3')
    """
    places = 0
    while 10**places % value.denominator:
        places += 1
    figures = str(value.numerator * (10**places // value.denominator)).rjust(places + 1, "0")
    return f"{figures[:-places]}.{figures[-places:]}" if places else figures


def number_text(value: Fraction, *, ascii_only: bool = False, decimal: bool = False) -> str:
    """A number above zero as a cook writes it, exactly wherever nine figures suffice.

    ``decimal`` prefers '1.25' to '1¼'; both are read back alike.  A number that
    needs more figures is rounded to six significant ones.

    >>> number_text(Fraction(7, 3)), number_text(Fraction(7, 3), ascii_only=True)
    ('2⅓', '2 1/3')
    >>> number_text(Fraction(7, 4), decimal=True)
    '1.75'
    """
    if value.denominator == 1 and value < 10**_MOST_FIGURES:
        return str(value)
    if decimal and (text := _short_decimal(value)):
        return text
    whole, part = divmod(value, 1)
    if not ascii_only and part in _GLYPHS:
        return f"{whole or ''}{_GLYPHS[part]}"
    if part.denominator < 10**4 and whole < 10**_MOST_FIGURES:
        return f"{whole} {part}" if whole else f"{part}"
    return _short_decimal(value) or _rounded(value)


def _short_decimal(value: Fraction) -> str:
    """The exact decimal if it has at most five places and nine figures, else ''."""
    if 10**5 % value.denominator:
        return ""
    text = decimal_text(value)
    return text if len(text) <= _MOST_FIGURES else ""


def _rounded(value: Fraction) -> str:
    """Six significant figures, in no more than nine."""
    places = max(0, 6 - len(str(floor(value)))) if value >= 1 else 8
    return decimal_text(to_step(value, Fraction(1, 10**places)))
