"""How are amounts put together?

    amount = term { (+ | plus | and) term }
             [ ( amount [each | total] ) | , amount each ] [ / amount ]
    term   = [about] [fill] number [- number] [size | fill | whose | packed] [unit] [fill | packed]
           | number ( amount ) pack | number x term | number term-with-pack
           | to taste | as needed | pinch

A number is followed by what it counts; only where nothing follows, or nothing
that could be a unit, does it count pieces.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NoReturn

from msgspec.structs import replace

from fellfare.measure.amount import Amount, Fill, Size
from fellfare.measure.reading.counted import check, counted, no_such_measure, pieces
from fellfare.measure.reading.cursor import Cursor
from fellfare.measure.reading.numbers import number_here, ordered, upper_end_here
from fellfare.measure.reading.packs import (
    PACK_UNITS,
    pack_after_brackets,
    pack_ahead,
    pack_of,
    sized_pack,
    so_many_times,
    sold_by,
)
from fellfare.measure.reading.spelling import (
    ABOUT,
    FILL_WORDS,
    PHRASES,
    SIZE_WORDS,
    SPELLINGS,
    VULGAR,
)
from fellfare.measure.units import KINDS, PACKS, SIZES
from fellfare.mistake import Mistake

_MOST_NESTING: Final = 3
_ONE: Final = Fraction(1)
_MEASURED: Final = ("mass", "volume")
#: Two units that are said in one breath: '1 lb 4 oz'.
_ONE_BREATH: Final = frozenset({("lb", "oz"), ("kg", "g")})


def amount_here(cursor: Cursor) -> Amount:
    """A sum of terms, with the measure beside it."""
    cursor.depth += 1
    if cursor.depth > _MOST_NESTING:
        cursor.not_understood()
    amount = _term(cursor)
    while cursor.tokens[cursor.at] and _adds(cursor, amount):
        start = cursor.at
        amount = _sum(cursor, amount, _term(cursor), start)
    token = cursor.tokens[cursor.at]
    if token == "(":
        amount = _in_brackets(cursor, amount)
    elif token in (",", "of", "at", "@") and amount.kind == "count" and amount.each is None:
        amount = _with_contents(cursor, amount)
    again = cursor.tokens[cursor.at] in ("/", "=") and cursor.number_ahead(cursor.at + 1)
    if again and not cursor.bare and amount.beside is None:
        cursor.at += 1
        amount = replace(amount, beside=amount_here(cursor))
    cursor.depth -= 1
    return amount


# -- sums -----------------------------------------------------------------------------


def _adds(cursor: Cursor, first: Amount) -> bool:
    """Does a term follow that is to be added?  Steps over the sign."""
    word = cursor.word()
    if word in ("+", "plus", "and", "&"):
        if cursor.number_ahead(cursor.at + 1):
            cursor.at += 1
            return True
        return False
    if first.unit not in ("lb", "kg") or not cursor.number_ahead(cursor.at):
        return False
    start, bare = cursor.at, cursor.bare
    try:
        second = _term(cursor).unit
    except Mistake:
        second = ""
    cursor.at, cursor.bare = start, bare
    return (first.unit, second) in _ONE_BREATH


def _sum(cursor: Cursor, first: Amount, second: Amount, start: int) -> Amount:
    """Both in the unit of the first, exactly."""
    measured = first.kind == second.kind and first.kind in _MEASURED
    alike = first.kind == "count" and (first.unit, first.size) == (second.unit, second.size)
    if (
        not (measured or alike)
        or not first.fill == second.fill == "level"
        or first.note != second.note
        or first.each
        or second.each
    ):
        cursor.fail("not-summable", f"{first.unit!r} and {second.unit!r} cannot be added so", start)
    factor = _size(second) / _size(first) if measured else _ONE
    high = None
    if first.high is not None or second.high is not None:
        high = (first.high or first.low) + (second.high or second.low) * factor
    about = first.about or second.about
    amount = replace(first, low=first.low + second.low * factor, high=high, about=about)
    check(cursor, amount, start)
    return amount


def _size(amount: Amount) -> Fraction:
    return SIZES[amount.system][amount.unit]


# -- said once more, or what each holds ---------------------------------------------------


def _in_brackets(cursor: Cursor, first: Amount) -> Amount:
    """'(70 g)', '(85 g each)'; in a line also brackets that belong to the food."""
    start, depth, bare = cursor.at, cursor.depth, cursor.bare
    if not cursor.number_ahead(start + 1):
        if cursor.line:
            return first
        cursor.not_understood()
    cursor.at += 1
    try:
        inner = amount_here(cursor)
        word = cursor.word()
        if word in ("each", "total"):
            cursor.at += 1
        if cursor.tokens[cursor.at] != ")" or cursor.bare:
            cursor.not_understood()
    except Mistake:
        # '(2% fat)' speaks of the milk; '(14 oz, drained)' of the amount.
        if cursor.line and cursor.bare:
            cursor.at, cursor.depth, cursor.bare = start, depth, bare
            return first
        raise
    if word == "each" and (first.kind != "count" or first.each is not None):
        cursor.at -= 1
        cursor.not_understood()
    cursor.at += 1
    cursor.bare = bare
    if word == "each":
        return replace(first, each=inner)
    if (
        word != "total"
        and first.each is None
        and (first.unit in PACKS or cursor.number_ahead(start - 1))
    ):
        if first.low == 1 and first.high is None:
            return replace(first, each=inner)
        cursor.fail(
            "each-or-total",
            f"does {cursor.shown(start, cursor.at)} hold for one of them or for all?",
            start,
        )
    return replace(first, beside=inner)


def _with_contents(cursor: Cursor, first: Amount) -> Amount:
    """'2 packets, 85 g each'; the comma stays if that is not what follows."""
    start, depth, bare = cursor.at, cursor.depth, cursor.bare
    if not cursor.number_ahead(start + 1):
        return first
    cursor.at += 1
    try:
        inner = amount_here(cursor)
        said = cursor.word() == "each"
    except Mistake:
        said = False
    cursor.depth, cursor.bare = depth, bare
    if said:
        cursor.at += 1
        return replace(first, each=inner)
    cursor.at = start
    return first


# -- one number with what it counts ---------------------------------------------------------


def _term(cursor: Cursor) -> Amount:
    """A number, a range, or packs of a size."""
    start = cursor.at
    about, fill = _words_before(cursor)
    low = number_here(cursor)
    if low is None:
        return _without_number(cursor, about, fill)
    mixed = cursor.mixed
    high = upper_end_here(cursor, low)
    at = cursor.at
    token = cursor.tokens[at]
    amount = Amount(low=low, high=high, system=cursor.system, fill=fill, about=about)
    if not token:
        return pieces(cursor, amount)
    if token == "(" and cursor.number_ahead(at + 1) and pack_after_brackets(cursor):
        return pack_of(cursor, amount)
    if token in ("x", "X") and cursor.number_ahead(at + 1):
        return so_many_times(cursor, amount)
    if token in VULGAR or (token[0] in "0123456789." and token != "."):
        return sized_pack(cursor, amount, start)
    amount = counted(cursor, amount)
    token = cursor.tokens[cursor.at]
    if not token or cursor.bare:
        return amount
    if amount.unit in PACK_UNITS and pack_ahead(cursor):
        return sold_by(cursor, amount, mixed)
    if token in ("-", "to") and high is None and cursor.number_ahead(cursor.at + 1):
        return _range_of_terms(cursor, amount)
    return amount


def _words_before(cursor: Cursor) -> tuple[bool, Fill]:
    """'about', 'scant'"""
    word = cursor.word()
    about = word in ABOUT
    if about:
        cursor.at += 1
        cursor.skip_stop()
        word = cursor.word()
    if word in FILL_WORDS:
        cursor.at += 1
        return about, FILL_WORDS[word]
    return about, "level"


def _without_number(cursor: Cursor, about: bool, fill: Fill) -> Amount:
    """'to taste', 'pinch', 'large pinch'; else there is no amount."""
    start = cursor.at
    unit = PHRASES.get((cursor.word(), cursor.word(1)))
    size: Size = ""
    if unit is not None:
        cursor.at += 2
    else:
        if cursor.word() in SIZE_WORDS:
            size = SIZE_WORDS[cursor.word()]
            cursor.at += 1
        unit = SPELLINGS.get(cursor.word(), "")
        cursor.at += 1
    if KINDS.get(unit) == "unmeasured":
        if fill != "level":
            no_such_measure(cursor, start - 1)
        cursor.bare = False
        return Amount(low=_ONE, unit=unit, system=cursor.system, size=size, about=about)
    cursor.at = start
    return _no_number(cursor)


def _no_number(cursor: Cursor) -> NoReturn:
    start = cursor.at
    if not cursor.tokens[start]:
        cursor.not_understood()
    if cursor.tokens[start] == "-" and cursor.number_ahead(start + 1):
        cursor.fail("amount-negative", f"{cursor.shown(start)} is below zero")
    cursor.fail("amount-missing", f"{cursor.shown(start)} does not begin with a number")


def _range_of_terms(cursor: Cursor, low: Amount) -> Amount:
    """'100 g to 150 g', '1 tsp to 1 tbsp'; after a hyphen in the same unit only."""
    start = cursor.at
    cursor.at += 1
    high = _term(cursor)
    same = (high.unit, high.system) == (low.unit, low.system)
    both = high.kind == low.kind and low.kind in _MEASURED and cursor.tokens[start] != "-"
    if high.high is not None or high.each or high.fill != low.fill or not (same or both):
        cursor.fail(
            "amount-not-understood",
            f"{cursor.shown(start, cursor.at)} does not close a range",
            start,
            "write both ends in one unit, such as '2-3 tbsp'",
        )
    top = high.low if same else high.low * _size(high) / _size(low)
    return replace(low, high=ordered(cursor, low.low, top, start))
