"""How does an amount look when it is written out again?"""

from __future__ import annotations

from typing import Final

from fellfare.measure.amount import Amount
from fellfare.measure.printing.figures import number_text
from fellfare.measure.reading.packs import PACK_UNITS
from fellfare.measure.units import KINDS, PACKS, UNITS, System

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
    unit = UNITS[amount.unit]
    if amount.unit in ("to-taste", "as-needed"):
        return f"{about}{unit.singular}"
    each = amount.each
    words = [_numbers(amount, ascii_only)]
    # Only a pack says its size in front: '2 (14 oz) cans', but '2 cloves (3 g each)'.
    ahead = (
        each is not None
        and (amount.unit == "piece" or amount.unit in PACKS)
        and _simple(each, system)
    )
    if each is not None and ahead:
        size = _text(each, system, ascii_only)
        words.append(f"x {size}" if amount.unit == "piece" else f"({size})")
    if amount.fill != "level":
        words.append(amount.fill)
    words += [word for word in (amount.size, amount.note) if word]
    if amount.system != system and unit.sizes:
        words.append(_WHOSE[amount.system])
    if not (ahead and amount.unit == "piece"):
        words.append(unit.singular if (amount.high or amount.low) <= 1 else unit.plural)
    if each is not None and not ahead:
        words.append(f"({_text(each, system, ascii_only)} each)")
    text = about + " ".join(words)
    if amount.beside is None:
        return text
    beside = _text(amount.beside, system, ascii_only)
    # Brackets after a pack would be taken for what each of them holds.
    return f"{text} / {beside}" if KINDS[amount.unit] == "count" else f"{text} ({beside})"


def _simple(each: Amount, system: System) -> bool:
    """Can it stand in front of a pack, as in '1 (14 oz) can'?"""
    return (
        each.unit in PACK_UNITS
        and each.high is None
        and not each.about
        and each.fill == "level"
        and each.beside is None
        and each.each is None
        and each.system == system
    )


def _numbers(amount: Amount, ascii_only: bool) -> str:
    decimal = amount.unit in _DECIMAL_UNITS
    low = number_text(amount.low, ascii_only=ascii_only, decimal=decimal)
    if amount.high is None:
        return low
    high = number_text(amount.high, ascii_only=ascii_only, decimal=decimal)
    return f"{low} to {high}"
