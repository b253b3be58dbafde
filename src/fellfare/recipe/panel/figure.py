"""How is one figure of a panel rounded, and printed when part of it is unknown?

A total of which some foods told us nothing is a *span*: it is at least what
the others hold.  A span is rounded outwards (its lower end down, its upper end
up), so that 'at least 1240 mg' stays true; a known figure is rounded half up
on its decimal digits.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal
from typing import Literal

from msgspec import Struct

from fellfare.mistake import Mistake

#: What a printed figure is worth.
Kind = Literal["known", "at-least", "at-most", "between", "not-known"]

#: Gives the step to which an amount is rounded; None = it is declared as zero.
Step = Callable[[Decimal], Decimal | None]

#: A float total carries noise in its 16th figure (0.1 + 0.2); this drops it.
_FIGURES = Context(prec=12, rounding=ROUND_HALF_UP)

ZERO = Decimal(0)


class Row(Struct, frozen=True, kw_only=True):
    """One line of a panel."""

    #: Our nutrient key ('fat_g', 'salt_g').
    nutrient: str
    #: The name that the law of the panel uses.
    name: str
    #: The amount as printed: '12 g', 'less than 1 g', 'at least 12 g', 'not known'.
    text: str
    #: The rounded number in ``text`` (the bound, or the lower of two); None = not known.
    amount: float | None
    kind: Kind
    #: % Daily Value (US) or % reference intake (EU), rounded; None = none, or not known.
    percent: int | None = None
    #: '12 %', 'at least 12 %', 'not known', or '' where the law asks for none.
    percent_text: str = ""
    #: 1 for a part of the row above it ('of which sugars').
    level: int = 0
    #: Foods that told us nothing of it.
    unknown: tuple[str, ...] = ()


class Span(Struct, frozen=True, kw_only=True):
    """An amount known to lie between two ends; ``high`` None = no upper end known."""

    low: Decimal
    high: Decimal | None

    @property
    def kind(self) -> Kind:
        if self.high is None:
            return "at-least" if self.low > 0 else "not-known"
        if self.low == self.high:
            return "known"
        return "between" if self.low > 0 else "at-most"

    def times(self, factor: Decimal) -> Span:
        high = None if self.high is None else self.high * factor
        return Span(low=self.low * factor, high=high)

    def plus(self, other: Span) -> Span:
        high = None if self.high is None or other.high is None else self.high + other.high
        return Span(low=self.low + other.low, high=high)


def exact(value: float | Decimal) -> Decimal:
    """The decimal number that a float prints as, so that 2.675 is 2.675.

    Raises
    ------
    Mistake
        ``amount-out-of-range``: below zero, NaN or infinite.
    """
    number = value if isinstance(value, Decimal) else Decimal(repr(value))
    if not (number.is_finite() and number >= 0):  # NaN fails too
        raise Mistake(
            "amount-out-of-range",
            what=f"an amount of {value} cannot stand on a nutrition panel",
            mend="give a number from zero up, or None when it is not known",
        )
    return number if number == 0 else _FIGURES.plus(number)


class Figures(Struct, frozen=True):
    """The totals of one serving, with what is missing from them."""

    #: By the names of NUTRIENTS; None or absent = nothing known.
    totals: Mapping[str, float | None]
    #: For each nutrient the foods whose share is not known.
    unknown: Mapping[str, tuple[str, ...]]
    #: For each nutrient what the total can be at most, where the foods of
    #: unknown share leave a bound (they cannot hold more than they weigh).
    most: Mapping[str, float | None]

    def span(self, nutrient: str) -> Span:
        """What is known of one nutrient: a figure, two ends, a lower end, or nothing."""
        value = self.totals.get(nutrient)
        if value is None:
            return Span(low=ZERO, high=None)
        number = exact(value)
        if not self.unknown.get(nutrient):
            return Span(low=number, high=number)
        most = self.most.get(nutrient)
        return Span(low=number, high=None if most is None else max(number, exact(most)))


def round_half_up(value: Decimal, step: Decimal) -> Decimal:
    """``value`` to the nearest multiple of ``step``, halves up."""
    return (value / step).quantize(Decimal(1), ROUND_HALF_UP) * step


def rounded(value: Decimal, step: Step) -> Decimal:
    """``value`` as its law declares it."""
    to = step(value)
    return ZERO if to is None else round_half_up(value, to)


def rounded_down(value: Decimal, step: Step) -> Decimal:
    """The largest declared figure that is not above ``value``."""
    to = step(value)
    return ZERO if to is None else (value / to).quantize(Decimal(1), ROUND_FLOOR) * to


def rounded_up(value: Decimal, step: Step, least: Decimal) -> Decimal:
    """A declared figure that is not below ``value``; ``least`` where zero would be declared."""
    if value == 0:
        return ZERO
    to = step(value)
    return least if to is None else (value / to).quantize(Decimal(1), ROUND_CEILING) * to


def digits(value: Decimal) -> str:
    """Plain digits without an exponent or idle zeros: 12, 0.5, 1240."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def bound(amount: Span, step: Step, least: Decimal, unit: str) -> tuple[str, float | None, Kind]:
    """Text, number and kind of an amount of which only a bound, or nothing, is known."""
    low = rounded_down(amount.low, step)
    if amount.high is None:
        if low == 0:  # 'at least 0' says nothing
            return "not known", None, "not-known"
        return f"at least {digits(low)}{unit}", float(low), "at-least"
    high = rounded_up(amount.high, step, least)
    if low == 0:
        return f"at most {digits(high)}{unit}", float(high), "at-most"
    return f"{digits(low)} to {digits(high)}{unit}", float(low), "between"
