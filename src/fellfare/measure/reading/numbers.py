"""How do cooks write numbers?  1 3/4, 1¾, 1,5, half a, two or three, a dozen."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Final

from fellfare.measure.reading.cursor import Cursor
from fellfare.measure.reading.spelling import NUMBER_WORDS, PART_WORDS, SPELLINGS, VAGUE, VULGAR

#: Most figures in one written number.
MOST_FIGURES: Final = 9

_ZERO: Final = Fraction(0)
_AND: Final = ("and", "&")
_ARTICLES: Final = ("a", "an")


@lru_cache(maxsize=4096)
def _fraction(numerator: int, denominator: int) -> Fraction:
    return Fraction(numerator, denominator)


def number_here(cursor: Cursor) -> Fraction | None:
    """The number that stands here, above zero; None = there is none."""
    token = cursor.tokens[cursor.at]
    cursor.mixed = False
    if not token:
        return None
    if token[0] in "0123456789":
        value = _figures(cursor, token)
    elif token in VULGAR:
        cursor.at += 1
        value = VULGAR[token]
    elif token[0] == "." and len(token) > 1:
        value = _decimal(cursor, "0" + token)
    else:
        word = token.lower()
        if word not in NUMBER_WORDS and word not in PART_WORDS:
            return None
        value = _words(cursor, word)
    if cursor.word() == "dozen":
        cursor.at += 1
        value *= 12
    if not value:
        cursor.fail("amount-zero", "the amount is zero", cursor.at - 1)
    return value


def upper_end_here(cursor: Cursor, low: Fraction) -> Fraction | None:
    """'- 3', 'to 3', 'or 3'; None = no range, or both ends alike."""
    token = cursor.tokens[cursor.at]
    start = cursor.at
    if token != "-" and token.lower() not in ("to", "or"):
        return None
    if not cursor.number_ahead(start + 1):
        return None
    cursor.at += 1
    high = number_here(cursor)
    if cursor.tokens[cursor.at] == "-" and cursor.number_ahead(cursor.at + 1):
        cursor.not_understood()
    return None if high is None else ordered(cursor, low, high, start)


def ordered(cursor: Cursor, low: Fraction, high: Fraction, start: int) -> Fraction | None:
    """The upper end if it is above the lower one; None if they are alike."""
    if high < low:
        cursor.fail("range-descends", "the second end of the range is below the first", start)
    return None if high == low else high


def _figures(cursor: Cursor, token: str) -> Fraction:
    """Begins with a figure: whole, decimal, fraction or mixed."""
    tokens, start = cursor.tokens, cursor.at
    _limit(cursor, token, start)
    if not token.isdecimal():
        return _decimal(cursor, token)
    cursor.at += 1
    whole = int(token)
    after = tokens[start + 1]
    if not after or (after.isalpha() and after.lower() != "and"):
        return _fraction(whole, 1)
    if after.lower() in _AND:
        return whole + _and_part(cursor)
    if after == "/":
        return _quotient(cursor, start) if cursor.whole_ahead(start + 2) else _fraction(whole, 1)
    part = start + 1
    if after == "-" and cursor.glued(part) and cursor.glued(part + 1):
        part += 1  # '1-3/4'
    if tokens[part] in VULGAR:
        cursor.at = part + 1
        return whole + VULGAR[tokens[part]]
    if not _quotient_ahead(cursor, part):
        return _fraction(whole, 1)
    if part == start + 2 and int(tokens[part]) >= int(tokens[part + 2]) > 0:
        return _fraction(whole, 1)  # '2-5/2' is a range
    fraction = _quotient(cursor, part)
    if fraction >= 1:
        cursor.fail(
            "number-ambiguous",
            f"{cursor.shown(start, cursor.at)}: the fraction of a mixed number is below one",
            start,
        )
    cursor.mixed = part == start + 1
    return whole + fraction


def _quotient_ahead(cursor: Cursor, at: int) -> bool:
    return (
        cursor.whole_ahead(at)
        and cursor.tokens[at + 1] == "/"
        and cursor.whole_ahead(at + 2)
        and max(len(cursor.tokens[at]), len(cursor.tokens[at + 2])) <= MOST_FIGURES
    )


def _quotient(cursor: Cursor, start: int) -> Fraction:
    """'3/4', where figures are known to stand on both sides of the stroke."""
    tokens = cursor.tokens
    above, below = tokens[start], tokens[start + 2]
    _limit(cursor, below, start + 2)
    numerator, denominator = int(above), int(below)
    if denominator == 0:
        cursor.fail("division-by-zero", f"'{above}/{below}' divides by zero", start)
    if len(above) == 2 and denominator in (2, 3, 4, 8):
        whole, rest = divmod(numerator, 10)
        if whole and 0 < rest < denominator:
            cursor.fail(
                "number-ambiguous",
                f"'{above}/{below}' may be '{whole} {rest}/{below}' that lost its space",
                start,
                f"write '{whole} {rest}/{below}', or the other one as a mixed number too",
            )
    cursor.at = start + 3
    return _fraction(numerator, denominator)


def _decimal(cursor: Cursor, token: str) -> Fraction:
    """'1.5', '1,5', '0.5'"""
    _limit(cursor, token, cursor.at)
    whole, *parts = token.replace(",", ".").split(".")
    part = parts[0]
    thousand = len(part) == 3 and len(whole) <= 3 and whole[0] != "0"
    if thousand and "," not in token:
        unit = SPELLINGS.get(cursor.tokens[cursor.at + 1].lower())
        thousand = part[-1] == "0" and unit in ("g", "ml")
    if len(parts) > 1 or thousand:
        cursor.fail(
            "number-ambiguous",
            f"{token!r} may be a thousand or a decimal",
            mend=f"write '{whole}{''.join(parts)}' for the one, "
            f"'{whole}.{part.rstrip('0') or '0'}' for the other",
        )
    cursor.at += 1
    return _fraction(int(whole + part), int(f"1{'0' * len(part)}"))


def _words(cursor: Cursor, word: str) -> Fraction:
    """'two', 'half a', 'three quarters of a', 'one and a half'"""
    tokens, start = cursor.tokens, cursor.at
    cursor.at += 1
    if word in PART_WORDS:
        value = PART_WORDS[word]
    else:
        count = NUMBER_WORDS[word]
        hyphen = tokens[cursor.at] == "-" and cursor.word(1) in PART_WORDS
        part = cursor.word(1 if hyphen else 0)
        if part not in PART_WORDS or (count > 1) != part.endswith("s"):
            if part in VAGUE and word in _ARTICLES:
                cursor.fail(
                    "amount-not-understood",
                    f"{cursor.shown(start, start + 2)} is not an amount",
                    start,
                    "write a number, or 'as needed'",
                )
            return count + _and_part(cursor) if cursor.word() in _AND else count
        cursor.at += 2 if hyphen else 1
        value = count * PART_WORDS[part]
    if cursor.word() == "of" and cursor.word(1) in ("a", "an", "one"):
        cursor.at += 2
    elif cursor.word() in _ARTICLES:
        cursor.at += 1
    return value


def _and_part(cursor: Cursor) -> Fraction:
    """'(one) and a half', '(1) and 1/2'; zero, and no step, if no part follows."""
    start = cursor.at
    cursor.at += 1
    token, word = cursor.tokens[cursor.at], cursor.word()
    part = _ZERO
    if token in VULGAR:
        cursor.at += 1
        part = VULGAR[token]
    elif _quotient_ahead(cursor, cursor.at):
        part = _quotient(cursor, cursor.at)
    elif word in PART_WORDS or (word in NUMBER_WORDS and cursor.word(1) in PART_WORDS):
        part = _words(cursor, word)
    if 0 < part < 1:
        return part
    cursor.at = start
    return _ZERO


def _limit(cursor: Cursor, token: str, at: int) -> None:
    """No more figures than a scale shows (and no long sums for us)."""
    signs = token.count(".") + token.count(",")
    if len(token) - signs > MOST_FIGURES:
        cursor.fail("amount-absurd", f"{token[:12]!r} has more than {MOST_FIGURES} figures", at)
