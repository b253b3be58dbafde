"""What follows the amount in an ingredient line?"""

from __future__ import annotations

from fractions import Fraction

from fellfare.measure.amount import Amount
from fellfare.measure.reading.cursor import Cursor
from fellfare.measure.reading.spelling import CASED, FILL_WORDS, PHRASES, SPELLINGS
from fellfare.measure.units import KINDS


def amount_at_end(cursor: Cursor) -> tuple[Amount, str] | None:
    """'Salt, to taste': no amount stands in front, and that one stands at the end."""
    tokens = cursor.tokens
    first = tokens[0].lower()
    if cursor.number_ahead(0) or first in FILL_WORDS or first == "-":
        return None
    if KINDS.get(SPELLINGS.get(first, ""), "count") != "count":
        return None
    end = len(tokens) - 4
    while end > 3 and tokens[end - 1] in (")", "."):
        end -= 1
    if end < 3:
        return None
    unit = PHRASES.get((tokens[end - 2].lower(), tokens[end - 1].lower()))
    if unit is None:
        return None
    food = cursor.text[: cursor.span(end - 2)[0]].strip().rstrip(" ,;(-")
    return Amount(low=Fraction(1), unit=unit, system=cursor.system), food


def rest_of_line(cursor: Cursor) -> str:
    """The text from here on; refused where a second amount lurks in it."""
    tokens = cursor.tokens
    while tokens[cursor.at] == ",":
        cursor.at += 1
    if not cursor.bare and cursor.word() == "of" and cursor.word(1):
        cursor.at += 1
    if not tokens[cursor.at]:
        return ""
    for at in range(cursor.at, len(tokens) - 4):
        joined = at == cursor.at or tokens[at - 1].lower() in ("plus", "+")
        if joined and _measured_ahead(cursor, at):
            cursor.fail("second-amount", f"a second amount follows: {cursor.shown(at)}", at)
    return cursor.text[cursor.span(cursor.at)[0] :].strip()


def _measured_ahead(cursor: Cursor, at: int) -> bool:
    """Does a number with a unit stand there?"""
    tokens = cursor.tokens
    if not cursor.number_ahead(at) or tokens[at].lower() in ("a", "an"):
        return False
    while cursor.number_ahead(at) or (tokens[at] == "/" and cursor.number_ahead(at + 1)):
        at += 1
    if tokens[at] == "-":
        at += 1
    unit = CASED.get(tokens[at]) or SPELLINGS.get(tokens[at].lower())
    return unit is not None and KINDS[unit] != "count"
