"""How big is the pack?  '1 (14 oz) can', '2 x 85 g packets', '400 g can'."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec.structs import replace

from fellfare.measure.amount import Amount, Size
from fellfare.measure.reading.counted import check, counted, no_such_measure
from fellfare.measure.reading.cursor import Cursor
from fellfare.measure.reading.numbers import number_here
from fellfare.measure.reading.spelling import ABOUT, SIZE_WORDS, SPELLINGS
from fellfare.measure.units import PACKS
from fellfare.mistake import Mistake

#: Packs are sold by these: '400 g can', '14-oz pouch'.
PACK_UNITS: Final = frozenset("g kg oz lb ml cl l fl-oz".split())


def pack_ahead(cursor: Cursor, at: int | None = None) -> bool:
    """Does 'can', 'large packets' stand there?"""
    at = cursor.at if at is None else at
    if cursor.tokens[at].lower() in SIZE_WORDS:
        at += 1
    return SPELLINGS.get(cursor.tokens[at].lower()) in PACKS


def pack_after_brackets(cursor: Cursor) -> bool:
    """Whether a pack noun follows the bracket that stands open here: '(14 oz) can'."""
    try:
        close = cursor.tokens.index(")", cursor.at)
    except ValueError:
        return False
    return pack_ahead(cursor, close + 1)


def _holding(cursor: Cursor, packs: Amount, each: Amount) -> Amount:
    """So many packs (the noun stands here) that hold so much each."""
    if packs.fill != "level":
        no_such_measure(cursor, 0)
    size: Size = ""
    if cursor.word() in SIZE_WORDS:
        size = SIZE_WORDS[cursor.word()]
        cursor.at += 1
    unit = SPELLINGS[cursor.word()]
    cursor.at += 1
    cursor.skip_stop()
    cursor.bare = False
    amount = replace(packs, unit=unit, size=size, each=each)
    check(cursor, amount, 0)
    return amount


def pack_of(cursor: Cursor, packs: Amount) -> Amount:
    """'1 (14 oz) can', '1 (14 oz / 400 g) can'"""
    cursor.at += 1
    each = _one_size(cursor)
    if each is not None and cursor.tokens[cursor.at] == "/":
        cursor.at += 1
        each = replace(each, beside=_one_size(cursor))
    if each is None or cursor.tokens[cursor.at] != ")":
        cursor.not_understood()
    cursor.at += 1
    return _holding(cursor, packs, each)


def so_many_times(cursor: Cursor, packs: Amount) -> Amount:
    """'2 x 85 g packets', '2 x 85 g'"""
    start = cursor.at
    cursor.at += 1
    each = _one_size(cursor)
    if each is None:
        cursor.fail(
            "amount-not-understood",
            f"{cursor.shown(start)}: 'x' goes before what one of them weighs or holds",
            start,
            "write '2 x 85 g packets', or '2 packets'",
        )
    if pack_ahead(cursor):
        return _holding(cursor, packs, each)
    if packs.fill != "level":
        no_such_measure(cursor, 0)
    amount = replace(packs, each=each)
    check(cursor, amount, 0)
    return amount


def sized_pack(cursor: Cursor, packs: Amount, start: int) -> Amount:
    """'1 14-oz can', 'a 400 g tin'; any other second number is refused."""
    second = cursor.at
    each = _one_size(cursor)
    if each is None or not pack_ahead(cursor):
        shown = cursor.shown(start, second + 1)
        cursor.fail("number-ambiguous", f"two numbers side by side: {shown}", start)
    return _holding(cursor, packs, each)


def _one_size(cursor: Cursor) -> Amount | None:
    """'85 g', '1 1/2-oz': one number in a unit in which packs are sold, or None."""
    if cursor.word() in ABOUT:
        cursor.at += 1
    try:
        low = number_here(cursor)
        if low is None:
            return None
        size = counted(cursor, Amount(low=low, system=cursor.system))
    except Mistake:
        return None
    return size if size.unit in PACK_UNITS else None


def sold_by(cursor: Cursor, each: Amount, mixed: bool) -> Amount:
    """'400 g can': one can that holds 400 g."""
    start = cursor.at
    plural = cursor.word(1 if cursor.word() in SIZE_WORDS else 0).endswith("s")
    amount = _holding(cursor, Amount(low=Fraction(1), system=cursor.system), each)
    if mixed or plural:
        shown = "the number of packs cannot be told from what one holds"
        cursor.fail("number-ambiguous", shown, start)
    return amount
