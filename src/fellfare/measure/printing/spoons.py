"""Which spoons and cups make it up?  Volumes with what people own.

The drawer holds spoons of ⅛, ¼, ½ and 1 teaspoon (so ¾ is two of them), of ½ and
1 tablespoon, and cups of ¼, ⅓, ½ and 1 (so ⅔ and ¾ are two of them); British
kitchens a jug with half fluid ounces and quarter pints instead of cups.  One kind
of measure is taken if it comes within 5 %, else two kinds ('¼ cup + 1 tbsp'; also
where they make the amount exactly), else whatever comes nearest.  Common practice,
no source.

Below ¾ of the smallest spoon it is 'a pinch'.  A pinch has no size that anybody
could state; the error shown takes it as half of the smallest spoon, 1/16 tsp
(common practice, no source), and the text reads back as a pinch without a volume.
"""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from functools import cache
from typing import Final

from fellfare.measure.printing.figures import (
    Number,
    Printed,
    asked,
    decimal_text,
    number_text,
    printed,
    to_step,
)
from fellfare.measure.printing.scale import thousands
from fellfare.measure.units import SIZES, UNITS, System

#: One kind of measure is good enough within this.
NEAR_ENOUGH: Final = Fraction(1, 20)

#: Millilitres: tenths up to here, then whole ones, then fives; less than this shows nowhere.
_FROM_WHOLE_ML: Final = Fraction("9.95")
_LEAST_ML: Final = Fraction(1, 20)
_TENTH, _ONE, _FIVE = Fraction(1, 10), Fraction(1), Fraction(5)

_HALF: Final = Fraction(1, 2)
_QUARTER: Final = Fraction(1, 4)
_EIGHTH: Final = Fraction(1, 8)
_CUP_PARTS: Final = (_QUARTER, Fraction(1, 3), _HALF, Fraction(2, 3), Fraction(3, 4), Fraction(1))

#: So many of each: the parts of a printed volume, largest first.
_Parts = tuple[tuple[Fraction, str], ...]


def print_volume(
    volume_ml: Number,
    system: System = "metric",
    *,
    spoons: bool | None = None,
    ascii_only: bool = False,
) -> Printed:
    """A volume in the measures of that system.

    Parameters
    ----------
    volume_ml
        Volume, zero or more. [mL]
    system
        Whose cups and spoons; ``metric`` prints millilitres.
    spoons
        True: spoons and cups, for ``metric`` too (5/15/250 mL); False:
        millilitres in any system; None: as the system does.
    ascii_only
        '1 1/2' instead of '1½'.

    Raises
    ------
    Mistake
        ``amount-not-printable``: below zero, not a number, or without end.

    Examples
    --------
    >>> print_volume(118, "us").text, print_volume(75, "us").text, print_volume(75).text
    ('½ cup', '¼ cup + 1 tbsp', '75 ml')
    >>> print_volume(7.4, "us", ascii_only=True).text
    '1 1/2 tsp'
    """
    want = asked(volume_ml, "a volume of")
    if spoons is None:
        spoons = system != "metric"
    if not want:
        return Printed(text="0 tsp" if spoons else "0 ml", value=want, error=0.0)
    if not spoons:
        return _millilitres(want)
    smallest = SIZES[system]["tsp"] * _EIGHTH
    if want < smallest * 3 / 4:
        eighth = number_text(_EIGHTH, ascii_only=ascii_only)
        note = f"less than {eighth} tsp"
        return printed("a pinch", smallest / 2, want, measurable=False, note=note)
    singles, pairs, most = _drawer(system)
    if want > most:
        return _by_the_jug(want, system, ascii_only)
    value, parts = _nearest(singles, want)
    if value != want:
        second, second_parts = _nearest(pairs, want)
        far = abs(value - want) > NEAR_ENOUGH * want
        if second == want or (far and abs(second - want) < abs(value - want)):
            value, parts = second, second_parts
    text = " + ".join(_part_text(count, unit, ascii_only) for count, unit in parts)
    return printed(text, value, want)


def _millilitres(want: Fraction) -> Printed:
    step = _TENTH if want < _FROM_WHOLE_ML else _ONE if want < 50 else _FIVE
    value = to_step(want, step)
    if value >= 1000:
        return thousands(want, "l")
    little = want < _LEAST_ML
    note = "less than a spoon or a jug shows" if little else ""
    text = f"{decimal_text(value)} ml"
    return printed(text, value, want, measurable=not little, note=note)


def _by_the_jug(want: Fraction, system: System, ascii_only: bool) -> Printed:
    """More than twelve cups: quarts, pints or litres, by quarters."""
    unit = {"us": "quart", "us-label": "quart", "imperial": "pint"}.get(system)
    if unit is None:
        return _millilitres(want)
    size = SIZES[system][unit]
    count = to_step(want / size, _QUARTER)
    return printed(_part_text(count, unit, ascii_only), count * size, want)


def _part_text(count: Fraction, unit: str, ascii_only: bool) -> str:
    noun = UNITS[unit].singular if count <= 1 else UNITS[unit].plural
    return f"{number_text(count, ascii_only=ascii_only)} {noun}"


_Table = tuple[tuple[Fraction, ...], tuple[_Parts, ...]]


def _nearest(table: _Table, want: Fraction) -> tuple[Fraction, _Parts]:
    """The entry of a sorted table that lies nearest; the smaller one of two."""
    sizes, parts = table
    at = bisect_left(sizes, want)
    if at == len(sizes) or (at and want - sizes[at - 1] <= sizes[at] - want):
        at -= 1
    return sizes[at], parts[at]


@cache
def _drawer(system: System) -> tuple[_Table, _Table, Fraction]:
    """All that one kind of measure makes, all that two make, and the most of it."""
    size = SIZES[system]
    tsp, tbsp = size["tsp"], size["tbsp"]
    if system == "imperial":
        jug, large, small_end = "fl-oz", [n * _HALF for n in range(4, 41)], 2 * size["fl-oz"]
    else:
        jug, large, small_end = (
            "cup",
            [w + p for w in range(12) for p in _CUP_PARTS],
            size["cup"] / 4,
        )
    teaspoons = [_EIGHTH, *(n * _QUARTER for n in range(1, 16) if n * _QUARTER * tsp < tbsp)]
    tablespoons = [n * _HALF for n in range(2, 9) if n * _HALF * tbsp < small_end]
    singles: list[_Parts] = [
        *(((n, "tsp"),) for n in teaspoons),
        *(((n, "tbsp"),) for n in tablespoons),
        *(((n, jug),) for n in large),
    ]
    pairs: list[_Parts] = [
        *(((n, "tsp"), (_EIGHTH, "tsp")) for n in teaspoons if n > _EIGHTH and n < 2),
        *(
            ((Fraction(n), "tbsp"), (m * _HALF, "tsp"))
            for n in range(1, 4)
            for m in range(1, 5)
            if n * tbsp < small_end and m * _HALF * tsp < tbsp
        ),
        *(
            ((n, jug), (Fraction(m), "tbsp"))
            for n in large
            for m in range(1, 4)
            if m * tbsp < small_end
        ),
    ]

    def table(entries: list[_Parts]) -> _Table:
        rows = sorted((sum(n * size[unit] for n, unit in parts), parts) for parts in entries)
        return tuple(Fraction(total) for total, _ in rows), tuple(parts for _, parts in rows)

    return table(singles), table(pairs), large[-1] * size[jug]
