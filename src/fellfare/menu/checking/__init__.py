"""Does a menu keep every wish? Asked of the plates alone, in exact fractions.

This shares nothing with the model that made the menu: no arrays, no solver, no
figure table, only the question and the plates. Sums are exact (portions are
whole steps; figures are taken as the fractions that they are). A limit counts
as kept when it is missed by no more than one millionth of its own size: 3 mkcal
in 3000 kcal, 1 mg in a kilogram. Solvers keep rows only to within such a figure.
"""

from __future__ import annotations

from collections.abc import Iterable

from fellfare.menu.answer import Plate
from fellfare.menu.checking.plates import misfits, unfilled
from fellfare.menu.checking.record import TOLERANCE, Broken, Record
from fellfare.menu.checking.rooms import overfull, overspent
from fellfare.menu.checking.wishes import out_of_band, repeated, too_seldom
from fellfare.menu.pool import Question

__all__ = ["TOLERANCE", "Broken", "broken_rules"]


def broken_rules(question: Question, plates: Iterable[Plate]) -> tuple[Broken, ...]:
    """Every rule that these plates do not keep; empty: all kept, to within ``TOLERANCE``."""
    served = tuple(plates)
    record = Record(question, served)
    return (
        *misfits(record),
        *unfilled(record),
        *out_of_band(record),
        *repeated(record),
        *too_seldom(record),
        *overfull(record),
        *overspent(record),
    )
