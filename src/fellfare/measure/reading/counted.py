"""What does the number count?  Units, the words around them, and bare pieces."""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NoReturn

from msgspec.structs import replace

from fellfare.measure.amount import Amount, Fill
from fellfare.measure.reading.cursor import Cursor
from fellfare.measure.reading.spelling import (
    CASED,
    DOUBTFUL,
    FILL_WORDS,
    FIRMLY,
    FOOD_NOUNS,
    NOTE_WORDS,
    PAIRS,
    SIZE_WORDS,
    SPELLINGS,
    VAGUE,
    WHOSE,
)
from fellfare.measure.units import KINDS, SIZES, UNITS

#: A tonne, a thousand litres; a milligram, a thousandth of a millilitre.
MOST_G_OR_ML: Final = 1_000_000
LEAST_G_OR_ML: Final = Fraction(1, 1000)
MOST_COUNT: Final = 100_000
LEAST_COUNT: Final = Fraction(1, 1000)

#: Words with which an amount goes on after a bare number.
_GOING_ON: Final = frozenset("each total plus and to or".split())


def counted(cursor: Cursor, amount: Amount) -> Amount:
    """The amount with the unit that follows its number, and the words around it."""
    start = cursor.at
    fill, size, note, system = amount.fill, amount.size, "", cursor.system
    if cursor.tokens[start] == "-" and cursor.glued(start) and cursor.glued(start + 1):
        cursor.at += 1  # '14-oz'
    while (name := _unit(cursor)) is None:
        word = cursor.word()
        if word in FILL_WORDS:
            fill = FILL_WORDS[word]
        elif word in SIZE_WORDS and not size:
            size = SIZE_WORDS[word]
        elif word in NOTE_WORDS:
            note = NOTE_WORDS[word]
        elif word in WHOSE:
            system = WHOSE[word]
        elif word not in FIRMLY or cursor.word(1) not in NOTE_WORDS:
            cursor.at = start + 1 if size else start
            return pieces(cursor, replace(amount, fill=fill, size=size))
        cursor.at += 1
        cursor.skip_stop()
    cursor.bare = False
    kind = KINDS[name]
    if kind == "volume":
        fill, note = _words_after(cursor, fill, note)
    elif fill != "level" or note:
        no_such_measure(cursor, start)
    if kind in ("mass", "volume"):
        if size:
            no_such_measure(cursor, start)
        if name not in SIZES[system]:
            cursor.fail(
                "unit-not-in-system", f"the {system} measures know no {UNITS[name].singular}", start
            )
    amount = Amount(
        low=amount.low,
        high=amount.high,
        unit=name,
        system=system,
        fill=fill,
        size=size,
        note=note,
        about=amount.about,
    )
    check(cursor, amount, start)
    return amount


def _unit(cursor: Cursor) -> str | None:
    """The unit that stands here; steps over it and its full stop."""
    token = cursor.tokens[cursor.at]
    word = token.lower()
    name = CASED.get(token) or SPELLINGS.get(word)
    if name is None:
        if token in DOUBTFUL or word in DOUBTFUL:
            mend = DOUBTFUL.get(token) or DOUBTFUL[word]
            cursor.fail("unit-doubtful", f"{token!r} can be read in two ways", mend=mend)
        if word not in PAIRS:
            return None
        skip = 2 if cursor.tokens[cursor.at + 1] in (".", "-") else 1
        name = PAIRS[word].get(cursor.word(skip))
        if name is None:
            return None
        cursor.at += skip
    elif token in DOUBTFUL:
        cursor.fail("unit-doubtful", f"{token!r} can be read in two ways", mend=DOUBTFUL[token])
    cursor.at += 1
    if cursor.tokens[cursor.at] in (".", "("):
        cursor.skip_stop()
        if cursor.tokens[cursor.at : cursor.at + 3] == ["(", "s", ")"]:
            cursor.at += 3
    return name


def _words_after(cursor: Cursor, fill: Fill, note: str) -> tuple[Fill, str]:
    """'1 tbsp, heaped', '1 cup firmly packed'"""
    ahead = 1 if cursor.tokens[cursor.at] == "," else 0
    word = cursor.word(ahead)
    if word in FIRMLY and cursor.word(ahead + 1) in NOTE_WORDS:
        ahead += 1
        word = cursor.word(ahead)
    if word in FILL_WORDS:
        cursor.at += ahead + 1
        return FILL_WORDS[word], note
    if word in NOTE_WORDS:
        cursor.at += ahead + 1
        return fill, NOTE_WORDS[word]
    return fill, note


def pieces(cursor: Cursor, amount: Amount) -> Amount:
    """A number without a unit counts pieces, where nothing else could be meant."""
    cursor.bare = True
    if amount.fill != "level":
        _unknown_unit(cursor)
    token, word = cursor.tokens[cursor.at], cursor.word()
    if not token:
        pass
    elif not cursor.line or cursor.depth > 1:
        if word in FOOD_NOUNS:
            cursor.at += 1
        elif token[0].isalpha() and word not in _GOING_ON:
            _unknown_unit(cursor)
    else:
        skip = 2 if cursor.word(1) in NOTE_WORDS or cursor.word(1) in FILL_WORDS else 1
        after = cursor.tokens[cursor.at + skip]
        after_unit = CASED.get(after) or SPELLINGS.get(after.lower(), "")
        if (
            token in "-./%'\"°"
            or word in VAGUE
            or (cursor.glued(cursor.at) and token not in ",()+")
            or KINDS.get(after_unit, "count") != "count"
        ):
            _unknown_unit(cursor)
    check(cursor, amount, cursor.at)
    return amount


def _unknown_unit(cursor: Cursor) -> NoReturn:
    if not cursor.tokens[cursor.at]:
        cursor.not_understood()
    cursor.fail("unknown-unit", f"{cursor.shown(cursor.at)} does not begin with a unit we know")


def no_such_measure(cursor: Cursor, start: int) -> NoReturn:
    """Refuse a fill or size word that does not go with its unit ('a heaped packet')."""
    cursor.fail(
        "amount-not-understood",
        f"{cursor.shown(start, cursor.at)} is no measure",
        start,
        "'small' and 'large' go with counted things, 'scant' and 'heaped' with spoons and cups",
    )


def check(cursor: Cursor, amount: Amount, start: int) -> None:
    """Refuse what nobody could have meant."""
    low, high, each = amount.low, amount.high or amount.low, amount.each
    small = high.numerator <= 99 and low.denominator <= 99 and each is None
    if small and amount.unit not in ("mg", "bushel"):
        return
    size = SIZES[amount.system].get(amount.unit)
    if size is None:
        fits = low >= LEAST_COUNT and high <= MOST_COUNT
        if each is not None:
            held = SIZES[each.system].get(each.unit, 1) * each.low
            fits = fits and held * high <= MOST_G_OR_ML
    else:
        fits = low * size >= LEAST_G_OR_ML and high * size <= MOST_G_OR_ML
    if not fits:
        cursor.fail("amount-absurd", f"{cursor.shown(0)} is no amount for a kitchen", start)
