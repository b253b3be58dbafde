"""How does an amount look when it is written out again?"""

from __future__ import annotations

from typing import Final

from fellfare.measure.amount import Amount
from fellfare.measure.printing.figures import number_text
from fellfare.measure.units import KINDS, UNITS, System

#: Metric figures are written as decimals, the others as fractions.
_DECIMAL_UNITS: Final = frozenset("mg g kg ml cl dl l".split())

_WHOSE: Final[dict[System, str]] = {
    "us": "US",
    "us-label": "label",
    "metric": "metric",
    "imperial": "imperial",
    "australian": "Australian",
}


def print_amount(amount: Amount, *, ascii_only: bool = False) -> str:
    """The amount in the house's spelling; reading it back gives the same amount.

    A number that cannot be written in nine figures is rounded to six significant
    ones (scaling by 7/13 can make such numbers).  A sum comes out in its first
    unit, as it is held.

    Examples
    --------
    >>> from fellfare.measure import read_amount
    >>> print_amount(read_amount("3 heaping tablespoons"))
    '3 heaped tbsp'
    >>> print_amount(read_amount("1/2 cup (70 g)").times(3))
    '1½ cups (210 g)'
    """
    return _text(amount, amount.system, ascii_only)


def _text(amount: Amount, system: System, ascii_only: bool) -> str:
    about = "about " if amount.about else ""
    if amount.unit in ("to-taste", "as-needed"):
        return f"{about}{UNITS[amount.unit].singular}"
    if amount.each is not None and amount.unit == "piece" and amount.each.beside is None:
        text = f"{_numbers(amount, ascii_only)} x {_text(amount.each, system, ascii_only)}"
    else:
        words = [_numbers(amount, ascii_only)]
        if amount.each is not None and amount.each.beside is None and amount.unit != "piece":
            words.append(f"({_text(amount.each, system, ascii_only)})")
        if amount.fill != "level":
            words.append(amount.fill)
        words += [word for word in (amount.size, amount.note) if word]
        if amount.system != system and KINDS[amount.unit] in ("mass", "volume"):
            words.append(_WHOSE[amount.system])
        unit = UNITS[amount.unit]
        words.append(unit.singular if (amount.high or amount.low) <= 1 else unit.plural)
        text = " ".join(words)
        if amount.each is not None and amount.each.beside is not None:
            text += f" ({_text(amount.each, system, ascii_only)} each)"
    if amount.beside is not None:
        text += (
            f" / {_text(amount.beside, system, ascii_only)}"
            if _packed(amount)
            else (f" ({_text(amount.beside, system, ascii_only)})")
        )
    return about + text


def _packed(amount: Amount) -> bool:
    """Brackets after a pack would be taken for what each holds."""
    return KINDS[amount.unit] == "count"


def _numbers(amount: Amount, ascii_only: bool) -> str:
    decimal = amount.unit in _DECIMAL_UNITS
    low = number_text(amount.low, ascii_only=ascii_only, decimal=decimal)
    if amount.high is None:
        return low
    high = number_text(amount.high, ascii_only=ascii_only, decimal=decimal)
    return f"{low} to {high}"
