"""What did the cook write?  A strict reader of amounts: it understands or refuses.

Nothing is guessed.  What two people would read as two amounts is refused, and
the refusal says how to write either of them.  The house rules:

* The point is the decimal sign; a comma is one too ('1,5 dl'), except before
  exactly three figures, where English readers see a thousand: '1,000 g' is
  refused, '0,125 l' is not.  So is '1.500 g' or ml, which no scale shows.
* '1-3/4' is one and three quarters: as a range it would run downwards.
* '11/2' is refused: a lost space ('1 1/2') looks the same.
* ``T`` is a tablespoon, ``t`` a teaspoon, ``c`` a cup; a capital ``C`` is refused.
* '1 heaped tbsp' keeps its fill, '2 large eggs' its size.
* Spaces, hyphens and slashes of the typographer count as ours; what cannot be
  seen (zero width, direction marks, controls) is refused.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Final, NoReturn, cast

from msgspec.structs import replace

from fellfare.measure.amount import Amount, Fill, Size
from fellfare.measure.spelling import (
    ABOUT,
    CASED,
    DOUBTFUL,
    FILL_WORDS,
    FIRMLY,
    FOOD_NOUNS,
    NOTE_WORDS,
    NUMBER_WORDS,
    PAIRS,
    PART_WORDS,
    PHRASES,
    PLAIN,
    SIZE_WORDS,
    SPELLINGS,
    VAGUE,
    VULGAR,
    WHOSE,
)
from fellfare.measure.units import KINDS, PACKS, SIZES, SYSTEMS, System
from fellfare.mistake import Mistake

#: Longest text that is looked at [characters].
MOST_AMOUNT_CHARACTERS: Final = 200
MOST_LINE_CHARACTERS: Final = 500
#: Most figures in one written number.
MOST_FIGURES: Final = 9
#: A tonne, a thousand litres; a milligram, a thousandth of a millilitre.
MOST_G_OR_ML: Final = 1_000_000
LEAST_G_OR_ML: Final = Fraction(1, 1000)
MOST_COUNT: Final = 100_000
LEAST_COUNT: Final = Fraction(1, 1000)

_MOST_NESTING: Final = 3
#: Packs are sold by these: '400 g can', '14-oz pouch'.
_PACK_UNITS: Final = frozenset("g kg oz lb ml cl l fl-oz".split())
#: Two units that are said in one breath: '1 lb 4 oz'.
_ONE_BREATH: Final = frozenset({("lb", "oz"), ("kg", "g")})
_ONE: Final = Fraction(1)

_V: Final = "".join(VULGAR)
_TOKEN: Final = re.compile(rf"[{_V}]|[0-9]+(?:[.,][0-9]+)*|\.[0-9]+|[^\W\d_{_V}]+|\S")

_MEND: Final = "write a number and a unit, such as '90 g', '1 3/4 oz', '½ tsp' or '2 cloves'"


def read_amount(text: str, system: System = "us") -> Amount:
    """The amount that the whole text states.

    Parameters
    ----------
    text
        At most 200 characters: '90 g', '1 3/4 oz', '1/2 cup (70 g)',
        '2 x 85 g packets', '2-3 cloves', 'to taste'.
    system
        Whose cup and spoon a bare 'cup' or 'tbsp' means.

    Raises
    ------
    Mistake
        ``amount-empty``, ``amount-too-long``, ``odd-character``,
        ``amount-not-understood``, ``amount-missing``, ``unknown-unit``,
        ``unit-doubtful``, ``unit-not-in-system``, ``unknown-system``,
        ``number-ambiguous``, ``division-by-zero``, ``amount-negative``,
        ``amount-zero``, ``amount-absurd``, ``range-descends``,
        ``each-or-total``, ``not-summable``; always with the column in ``where``.

    Examples
    --------
    >>> float(read_amount("1 3/4 oz").mass_g)
    49.61166546875
    >>> read_amount("3 heaping tablespoons").fill
    'heaped'
    """
    reader = _reader(text, system, MOST_AMOUNT_CHARACTERS, line=False)
    amount = reader.amount()
    if reader.tokens[reader.at]:
        reader.not_understood()
    return amount


def read_leading_amount(text: str, system: System = "us") -> tuple[Amount, str]:
    """The amount at the start of an ingredient line, and the text that follows it.

    The rest is returned as it was written, without the spaces and commas and
    the 'of' before it.  'Salt, to taste' gives that amount and 'Salt'.  A bare
    number counts pieces ('2 eggs' is 2 pieces of 'eggs'); a number before a word
    that only a unit could follow is refused.

    Raises
    ------
    Mistake
        As :func:`read_amount`; at most 500 characters.

    Examples
    --------
    >>> amount, food = read_leading_amount("1 dl oats")
    >>> int(amount.volume_ml), food
    (100, 'oats')
    """
    reader = _reader(text, system, MOST_LINE_CHARACTERS, line=True)
    if (tail := reader.tail_phrase()) is not None:
        return tail
    amount = reader.amount()
    return amount, reader.rest()


def _reader(text: str, system: System, most: int, *, line: bool) -> _Reader:
    if system not in SYSTEMS:
        raise Mistake(
            "unknown-system",
            what=f"{str(system)[:40]!r} is no system of measures",
            mend=f"one of {', '.join(SYSTEMS)}",
        )
    if len(text) > most:
        raise Mistake(
            "amount-too-long",
            what=f"{len(text)} characters, beginning {text[:20]!r}",
            mend=f"an amount has at most {MOST_AMOUNT_CHARACTERS} characters, "
            f"an ingredient line {MOST_LINE_CHARACTERS}",
            where="column 1",
        )
    plain = text if text.isascii() and text.isprintable() else _plain(text)
    tokens = _TOKEN.findall(plain)
    if not tokens:
        raise Mistake("amount-empty", what="no amount is written", mend=_MEND, where="column 1")
    return _Reader(text, plain, tokens, system, line)


def _plain(text: str) -> str:
    """The typographer's spaces, hyphens and slashes as ours, column for column."""
    plain = text.translate(PLAIN)
    if not plain.isprintable():
        column, odd = next((i, c) for i, c in enumerate(plain, 1) if not c.isprintable())
        raise Mistake(
            "odd-character",
            what=f"character U+{ord(odd):04X} cannot be seen in print",
            mend="delete it, or type the amount afresh on one line",
            where=f"column {column}",
        )
    return plain


@lru_cache(maxsize=4096)
def _fraction(numerator: int, denominator: int) -> Fraction:
    return Fraction(numerator, denominator)


class _Reader:
    """A place in a row of tokens, and the grammar that moves it on."""

    __slots__ = ("at", "bare", "depth", "line", "plain", "spaced_mixed", "system", "text", "tokens")

    def __init__(
        self, text: str, plain: str, tokens: list[str], system: System, line: bool
    ) -> None:
        self.text, self.plain, self.system, self.line = text, plain, system, line
        self.tokens = [*tokens, "", "", "", ""]  # so that looking ahead needs no guard
        self.at = 0
        self.depth = 0
        self.bare = False  # the last term had no unit written
        self.spaced_mixed = False  # the last number was written '1 1/2'

    # -- saying no --------------------------------------------------------------

    def span(self, at: int) -> tuple[int, int]:
        """Start and end of a token in the text."""
        for index, match in enumerate(_TOKEN.finditer(self.plain)):
            if index == at:
                return match.span()
        return len(self.plain.rstrip()), len(self.plain)

    def glued(self, at: int) -> bool:
        """No space between this token and the one before."""
        return self.span(at - 1)[1] == self.span(at)[0]

    def fail(self, code: str, what: str, mend: str, at: int | None = None) -> NoReturn:
        column = self.span(self.at if at is None else at)[0] + 1
        raise Mistake(code, what, mend, f"column {column}")

    def not_understood(self) -> NoReturn:
        part = self.plain[self.span(self.at)[0] :].strip()
        if not part:
            self.fail("amount-not-understood", "the amount breaks off", _MEND)
        self.fail("amount-not-understood", f"{_short(part)} is not understood", _MEND)

    # -- amounts ----------------------------------------------------------------

    def amount(self) -> Amount:
        """term (plus term)* [beside]"""
        self.depth += 1
        if self.depth > _MOST_NESTING:
            self.not_understood()
        amount = self.term()
        while self.tokens[self.at] and self.joins(amount):
            start = self.at
            amount = self.sum(amount, self.term(), start)
        token = self.tokens[self.at]
        if token == "(":
            amount = self.parenthesis(amount)
        elif token in ("/", "=") and not self.bare and self.number_ahead(self.at + 1):
            self.at += 1
            amount = replace(amount, beside=self.amount())
        elif token in (",", "of", "at", "@") and self.number_ahead(self.at + 1):
            amount = self.contents(amount)
        self.depth -= 1
        return amount

    def joins(self, first: Amount) -> bool:
        """Does a second term follow that is to be added?  Steps over the sign."""
        token = self.tokens[self.at].lower()
        if token in ("+", "plus", "and", "&"):
            if not self.number_ahead(self.at + 1):
                return False
            self.at += 1
            return True
        if first.unit not in ("lb", "kg") or not token[0].isdigit():
            return False
        start = self.at
        try:
            second = self.term()
        except Mistake:
            second = first
        self.at = start
        return (first.unit, second.unit) in _ONE_BREATH

    def sum(self, first: Amount, second: Amount, start: int) -> Amount:
        """Both in the unit of the first, exactly."""
        kind = first.kind
        measured = kind == second.kind and kind in ("mass", "volume")
        if (
            not (measured or (kind == "count" and first.unit == second.unit))
            or first.fill != second.fill
            or first.fill != "level"
            or first.each
            or second.each
        ):
            self.fail(
                "not-summable",
                f"{first.unit!r} and {second.unit!r} cannot be added",
                "write them as two lines",
                start,
            )
        factor = self.size(second) / self.size(first) if measured else _ONE
        low = first.low + second.low * factor
        high = None
        if first.high is not None or second.high is not None:
            high = (first.high or first.low) + (second.high or second.low) * factor
        return replace(first, low=low, high=high, about=first.about or second.about)

    def size(self, amount: Amount) -> Fraction:
        return SIZES[amount.system][amount.unit]

    def parenthesis(self, first: Amount) -> Amount:
        """'(70 g)': the same amount again, or what each holds."""
        start = self.at
        if not self.number_ahead(start + 1):
            if self.line:
                return first
            self.not_understood()
        self.at += 1
        try:
            inner = self.amount()
            word = self.tokens[self.at].lower()
            if word in ("each", "total"):
                self.at += 1
            if self.tokens[self.at] != ")" or self.bare:
                self.not_understood()
        except Mistake as mistake:
            # '1 cup (2% fat) milk' speaks of the milk; '(14 oz, drained)' of the amount.
            if self.line and self.bare and mistake.code == "amount-not-understood":
                self.at, self.depth = start, 1
                return first
            raise
        self.at += 1
        if word == "each":
            return replace(first, each=inner)
        if first.unit in PACKS and first.each is None and word != "total":
            if first.low == 1 and first.high is None:
                return replace(first, each=inner)
            self.fail(
                "each-or-total",
                f"does {_short(self.between(start, self.at))} hold for one or for all?",
                "write '(85 g each)' or '(170 g total)'",
                start,
            )
        return replace(first, beside=inner)

    def contents(self, first: Amount) -> Amount:
        """'2 packets, 85 g each'"""
        start, depth = self.at, self.depth
        if first.kind != "count":
            return first
        self.at += 1
        try:
            inner = self.amount()
        except Mistake:
            inner = None
        if inner is not None and self.tokens[self.at].lower() == "each":
            self.at += 1
            return replace(first, each=inner)
        self.at, self.depth = start, depth
        return first

    def between(self, start: int, end: int) -> str:
        return self.plain[self.span(start)[0] : self.span(end - 1)[1]]

    # -- one number with its unit -------------------------------------------------

    def term(self, nested: bool = False) -> Amount:
        """[about] [fill] number [- number] [words] unit [words]"""
        tokens, start = self.tokens, self.at
        word = tokens[start].lower()
        about = word in ABOUT
        if about:
            self.at += 1
            self.skip_stop()
            word = tokens[self.at].lower()
        fill: Fill = "level"
        if word in FILL_WORDS:
            fill = FILL_WORDS[word]
            self.at += 1
        low = self.number()
        if low is None:
            return self.without_number(about)
        mixed, start_of_number = self.spaced_mixed, start
        high = self.upper_end(low)
        token = tokens[self.at]
        if token == "(" and self.number_ahead(self.at + 1):
            return self.pack_of(low, high, about)
        if not nested:
            if token in ("x", "X") and self.number_ahead(self.at + 1):
                return self.times(low, high, about)
            if token and (token[0].isdigit() or token in VULGAR or token[0] == "."):
                return self.sized_pack(low, high, about, start_of_number)
        return self.unit_of(low, high, about, fill, mixed and not nested, nested)

    def unit_of(
        self,
        low: Fraction,
        high: Fraction | None,
        about: bool,
        fill: Fill,
        mixed: bool,
        nested: bool,
    ) -> Amount:
        """What follows the number."""
        tokens, start = self.tokens, self.at
        size: Size = ""
        note, system = "", self.system
        hyphen = tokens[start] == "-" and self.glued(start) and self.glued(start + 1)
        if hyphen:
            self.at += 1
        while True:
            name = self.unit()
            if name is not None:
                break
            word = tokens[self.at].lower()
            if word in FILL_WORDS:
                fill = FILL_WORDS[word]
            elif word in SIZE_WORDS and not size:
                size = SIZE_WORDS[word]
            elif word in NOTE_WORDS:
                note = NOTE_WORDS[word]
            elif word in WHOSE:
                system = WHOSE[word]
            elif not (word in FIRMLY and tokens[self.at + 1].lower() in NOTE_WORDS):
                break
            self.at += 1
            if tokens[self.at] == "." and word in WHOSE:
                self.at += 1
        if name is None:
            return self.pieces(low, high, about, fill, size, start)
        self.bare = False
        kind = KINDS[name]
        if kind == "mass" or kind == "volume":
            if name not in SIZES[system]:
                self.fail(
                    "unit-not-in-system",
                    f"the {system} measures know no {name.replace('-', ' ')}",
                    f"say whose: 'US {name.replace('-', ' ')}' or 'imperial', or give ml",
                    self.at - 1,
                )
            if size:
                self.fail(
                    "amount-not-understood",
                    f"a {size} {name} is not a measure",
                    "say 'scant', 'level' or 'heaped', or give the amount in g or ml",
                    start,
                )
        fill, note = self.words_after(name, fill, note)
        if fill != "level" and kind != "volume":
            self.fail(
                "amount-not-understood",
                f"{fill!r} goes with a spoon or a cup, not with {name!r}",
                "leave the word out, or write a spoon or a cup",
                start,
            )
        amount = Amount(
            low=low,
            high=high,
            unit=name,
            system=system,
            fill=fill,
            size=size,
            note=note,
            about=about,
        )
        if tokens[self.at]:
            if name in _PACK_UNITS and self.pack_ahead():
                return self.pack_sold_by(amount, mixed, nested)
            if high is None and not nested:
                amount = self.repeated_range(amount)
        self.check(amount, start)
        return amount

    def pieces(
        self,
        low: Fraction,
        high: Fraction | None,
        about: bool,
        fill: Fill,
        size: Size,
        start: int,
    ) -> Amount:
        """A number without a unit counts pieces, where nothing else could be meant."""
        tokens = self.tokens
        self.bare = True
        if fill != "level":
            self.unknown_unit()
        if size:
            self.at = start + 1
        else:
            self.at = start
        token = tokens[self.at]
        word = token.lower()
        if not self.line or self.depth > 1:
            if word in FOOD_NOUNS:
                self.at += 1
            elif token and token[0].isalpha() and not self.joining(word):
                self.unknown_unit()
        elif token:
            if token in ("-", ".", "/", "%", "'", '"') or word in VAGUE:
                self.unknown_unit()
            if self.glued(self.at) and token not in (",", "(", "+", ")"):
                self.unknown_unit()
            after = tokens[self.at + 1]
            if KINDS.get(CASED.get(after) or SPELLINGS.get(after.lower(), ""), "count") != "count":
                self.unknown_unit()
        amount = Amount(
            low=low, high=high, unit="piece", system=self.system, size=size, about=about
        )
        self.check(amount, start)
        return amount

    def joining(self, word: str) -> bool:
        """Words with which the grammar goes on after a bare number."""
        return word in ("each", "total", "plus", "and", "to", "or")

    def unknown_unit(self) -> NoReturn:
        part = self.plain[self.span(self.at)[0] :]
        self.fail(
            "unknown-unit",
            f"{_short(part)} does not begin with a unit that we know",
            "write g, ml, tsp, tbsp, cup, oz, lb, a counted thing such as 'clove' or 'packet', "
            "or the number alone for pieces",
        )

    def words_after(self, name: str, fill: Fill, note: str) -> tuple[Fill, str]:
        """'1 tbsp, heaped', '1 cup firmly packed'"""
        tokens = self.tokens
        if KINDS[name] != "volume":
            return fill, note
        at = self.at + 1 if tokens[self.at] == "," else self.at
        word = tokens[at].lower()
        if word in FIRMLY and tokens[at + 1].lower() in NOTE_WORDS:
            at += 1
            word = tokens[at].lower()
        if word in FILL_WORDS:
            self.at = at + 1
            return FILL_WORDS[word], note
        if word in NOTE_WORDS:
            self.at = at + 1
            return fill, NOTE_WORDS[word]
        return fill, note

    def repeated_range(self, low: Amount) -> Amount:
        """'100 g to 150 g': the unit said twice."""
        token = self.tokens[self.at].lower()
        if token not in ("-", "to") or not self.number_ahead(self.at + 1):
            return low
        start = self.at
        self.at += 1
        high = self.term(nested=True)
        same = high.unit == low.unit and high.system == low.system
        both = low.kind == high.kind and low.kind in ("mass", "volume") and token == "to"
        if high.high is not None or high.each or high.fill != low.fill or not (same or both):
            self.fail(
                "amount-not-understood",
                f"{_short(self.between(start, self.at))} does not make a range",
                "write both ends in one unit, such as '2-3 tbsp'",
                start,
            )
        top = high.low if same else high.low * self.size(high) / self.size(low)
        return replace(low, high=self.ordered(low.low, top, start))

    # -- packs ------------------------------------------------------------------------

    def pack_ahead(self) -> bool:
        at = self.at + 1 if self.tokens[self.at].lower() in SIZE_WORDS else self.at
        return SPELLINGS.get(self.tokens[at].lower()) in PACKS

    def pack_noun(self) -> tuple[str | None, Size]:
        """'[large] cans'"""
        size: Size = ""
        if (word := self.tokens[self.at].lower()) in SIZE_WORDS:
            size = SIZE_WORDS[word]
            self.at += 1
        name = SPELLINGS.get(self.tokens[self.at].lower())
        if name is None or KINDS[name] != "count":
            return None, size
        self.at += 1
        self.skip_stop()
        return name, size

    def pack_of(self, low: Fraction, high: Fraction | None, about: bool) -> Amount:
        """'1 (14 oz) can'"""
        start = self.at
        self.at += 1
        inner = self.amount()
        if self.bare or self.tokens[self.at] != ")":
            self.not_understood()
        self.at += 1
        name, size = self.pack_noun()
        if name is None:
            self.fail(
                "amount-not-understood",
                f"{_short(self.between(start, self.at))} of what?",
                "name the pack, such as '1 (14 oz) can', or write the amount alone",
                start,
            )
        return self.holding(low, high, name, size, about, inner, start)

    def times(self, low: Fraction, high: Fraction | None, about: bool) -> Amount:
        """'2 x 85 g packets', '2 x 85 g'"""
        start = self.at
        self.at += 1
        inner = self.term(nested=True)
        if inner.each is not None and inner.low == 1:
            return self.holding(low, high, inner.unit, inner.size, about, inner.each, start)
        if inner.kind not in ("mass", "volume"):
            self.fail(
                "amount-not-understood",
                "'x' must be followed by what one of them weighs or holds",
                "write '2 x 85 g packets', or '2 packets'",
                start,
            )
        return self.holding(low, high, "piece", "", about, inner, start)

    def sized_pack(
        self, low: Fraction, high: Fraction | None, about: bool, start_of_number: int
    ) -> Amount:
        """'1 14-oz can', 'a 400 g tin'; any other second number is refused."""
        start = self.at
        try:
            inner = self.term(nested=True)
        except Mistake:
            inner = None
        if inner is not None and inner.each is not None and inner.unit in PACKS:
            return self.holding(low, high, inner.unit, inner.size, about, inner.each, start)
        self.at = start
        self.fail(
            "number-ambiguous",
            f"two numbers side by side: {_short(self.between(start_of_number, start + 1))}",
            "write a thousand without a gap ('1000 g'), packs as '1 (400 g) can' or '2 x 85 g', "
            "and a fraction as '1 3/4'",
            start_of_number,
        )

    def pack_sold_by(self, one: Amount, mixed: bool, nested: bool) -> Amount:
        """'400 g can': one can that holds 400 g."""
        start = self.at
        name, size = self.pack_noun()
        if name is None:
            self.not_understood()
        plural = self.tokens[self.at - 1].lower().endswith("s")
        if mixed or (plural and not nested):
            self.fail(
                "number-ambiguous",
                "the number of packs and what one holds cannot be told apart",
                "write '1 (1 1/2 oz) packet' or '2 x 85 g packets'",
                start,
            )
        return self.holding(_ONE, None, name, size, False, one, start)

    def holding(
        self,
        low: Fraction,
        high: Fraction | None,
        unit: str,
        size: Size,
        about: bool,
        each: Amount,
        start: int,
    ) -> Amount:
        self.bare = False
        amount = Amount(
            low=low, high=high, unit=unit, system=self.system, size=size, about=about, each=each
        )
        self.check(amount, start)
        return amount

    # -- units -------------------------------------------------------------------------

    def unit(self) -> str | None:
        """The unit that stands here; steps over it and its full stop."""
        tokens = self.tokens
        token = tokens[self.at]
        if not token:
            return None
        word = token.lower()
        name = CASED.get(token) or SPELLINGS.get(word)
        if token in DOUBTFUL or word in DOUBTFUL:
            self.fail(
                "unit-doubtful",
                f"{token!r} can be read in two ways",
                DOUBTFUL.get(token) or DOUBTFUL[word],
            )
        if name is None or word in PAIRS:
            seconds = PAIRS.get(word)
            if seconds is None:
                return None
            at = self.at + 1
            if tokens[at] in (".", "-"):
                at += 1
            name = seconds.get(tokens[at].lower())
            if name is None:
                return None
            self.at = at
        self.at += 1
        self.skip_stop()
        if tokens[self.at] == "(" and tokens[self.at + 1] == "s" and tokens[self.at + 2] == ")":
            self.at += 3
        return name

    def skip_stop(self) -> None:
        if self.tokens[self.at] == "." and self.glued(self.at):
            self.at += 1

    def without_number(self, about: bool) -> Amount:
        """'to taste', 'pinch', 'large pinch'; else there is no amount."""
        tokens, start = self.tokens, self.at
        word = tokens[start].lower()
        phrase = PHRASES.get((word, tokens[start + 1].lower()))
        if phrase is not None:
            self.at += 2
            self.bare = False
            return Amount(low=_ONE, unit=phrase, system=self.system, about=about)
        size: Size = ""
        if word in SIZE_WORDS:
            size = SIZE_WORDS[word]
            self.at += 1
        name = SPELLINGS.get(tokens[self.at].lower())
        if name is not None and KINDS[name] == "unmeasured":
            self.at += 1
            self.bare = False
            return Amount(low=_ONE, unit=name, system=self.system, size=size, about=about)
        self.at = start
        if tokens[start] == "-" and self.number_ahead(start + 1):
            self.fail(
                "amount-negative",
                f"{_short(self.plain[self.span(start)[0] :])} is below zero",
                "drop the sign; to leave something out, leave the line out",
            )
        if not tokens[start]:
            self.not_understood()
        self.fail(
            "amount-missing",
            f"{_short(self.plain[self.span(start)[0] :])} does not begin with a number",
            "begin with the amount ('90 g', '2 cloves'), or write 'to taste' or 'as needed'",
        )

    # -- numbers -----------------------------------------------------------------------

    def number_ahead(self, at: int) -> bool:
        token = self.tokens[at]
        if not token:
            return False
        if token[0] in "0123456789" or token in VULGAR:
            return True
        word = token.lower()
        return (
            word in NUMBER_WORDS
            or word in PART_WORDS
            or (word in ABOUT and self.number_ahead(at + 1))
            or (token[0] == "." and len(token) > 1)
        )

    def number(self) -> Fraction | None:
        """The number that stands here; None = there is none."""
        token = self.tokens[self.at]
        self.spaced_mixed = False
        if not token:
            return None
        first = token[0]
        if first in "0123456789":
            value = self.figures(token)
        elif token in VULGAR:
            self.at += 1
            value = VULGAR[token]
        elif first == "." and len(token) > 1:
            value = self.decimal("0" + token, token)
        else:
            word = token.lower()
            if word not in NUMBER_WORDS and word not in PART_WORDS:
                return None
            value = self.words(word)
        if self.tokens[self.at].lower() == "dozen":
            self.at += 1
            value *= 12
        if not value:
            self.fail(
                "amount-zero",
                "the amount is zero",
                "leave the line out; a range from nothing is an optional line",
                self.at - 1,
            )
        return value

    def figures(self, token: str) -> Fraction:
        """Begins with a figure: whole, decimal, fraction or mixed."""
        tokens, start = self.tokens, self.at
        if len(token) > MOST_FIGURES:
            self.fail(
                "amount-absurd",
                f"{_short(token)} has more figures than any scale shows",
                f"at most {MOST_FIGURES} figures",
            )
        if not token.isdecimal():
            return self.decimal(token, token)
        self.at += 1
        whole = int(token)
        after = tokens[self.at]
        if not after or after.isalpha():
            if after.lower() == "and":
                return self.and_part(whole)
            return _fraction(whole, 1)
        if after == "/":
            if not self.is_whole(start + 2):
                return _fraction(whole, 1)
            return self.fraction(start, lost_space=True)
        if after in VULGAR:
            self.at += 1
            return whole + VULGAR[after]
        if after in ("&", "and"):
            return self.and_part(whole)
        part = start + 1
        if after == "-" and self.glued(part) and self.glued(part + 1):
            part += 1
            if tokens[part] in VULGAR:
                self.at = part + 1
                return whole + VULGAR[tokens[part]]
        if self.is_whole(part) and tokens[part + 1] == "/" and self.is_whole(part + 2):
            if part == start + 2 and int(tokens[part]) >= int(tokens[part + 2]) > 0:
                return _fraction(whole, 1)  # '2-5/2': a range
            self.at = part
            fraction = self.fraction(part, lost_space=False)
            if fraction >= 1:
                self.fail(
                    "number-ambiguous",
                    f"{_short(self.between(start, self.at))} is not a mixed number",
                    "the fraction of a mixed number is below one: '1 3/4'",
                    start,
                )
            self.spaced_mixed = part == start + 1
            return whole + fraction
        return _fraction(whole, 1)

    def is_whole(self, at: int) -> bool:
        token = self.tokens[at]
        return bool(token) and token[0] in "0123456789" and token.isdecimal()

    def fraction(self, start: int, lost_space: bool) -> Fraction:
        """'3/4'"""
        tokens = self.tokens
        above, below = tokens[start], tokens[start + 2]
        for part in (above, below):
            if len(part) > MOST_FIGURES:
                self.fail(
                    "amount-absurd",
                    f"{_short(part)} has more figures than any scale shows",
                    f"at most {MOST_FIGURES} figures",
                    start,
                )
        numerator, denominator = int(above), int(below)
        if denominator == 0:
            self.fail(
                "division-by-zero",
                f"'{above}/{below}' divides by zero",
                "write the fraction afresh, such as '1/2'",
                start,
            )
        if lost_space and denominator in (2, 3, 4, 8) and len(above) == 2:
            whole, rest = divmod(numerator, 10)
            if whole and 0 < rest < denominator:
                self.fail(
                    "number-ambiguous",
                    f"'{above}/{below}' may be '{whole} {rest}/{below}' with its space lost",
                    f"write '{whole} {rest}/{below}', or the other as a mixed number too",
                    start,
                )
        self.at = start + 3
        if tokens[self.at] == "/" and self.is_whole(self.at + 1):
            after = self.tokens[self.at + 2].lower()
            if after not in SPELLINGS or KINDS[SPELLINGS[after]] == "count":
                self.not_understood()
        return _fraction(numerator, denominator)

    def decimal(self, token: str, shown: str) -> Fraction:
        """'1.5', '1,5', '.5'"""
        if len(token) > MOST_FIGURES + 1:
            self.fail(
                "amount-absurd",
                f"{_short(shown)} has more figures than any scale shows",
                f"at most {MOST_FIGURES} figures",
            )
        comma = "," in token
        whole, *parts = token.replace(",", ".").split(".")
        thousand = len(parts[0]) == 3 and len(whole) <= 3 and whole[0] != "0"
        if not comma and thousand and token[-1] == "0":
            after = SPELLINGS.get(self.tokens[self.at + 1].lower())
            thousand = after in ("g", "ml")
        elif not comma:
            thousand = False
        if len(parts) > 1 or thousand:
            self.fail(
                "number-ambiguous",
                f"{shown!r} may be a thousand or a decimal",
                f"write '{whole}{parts[0]}' for the one, '{whole}.{parts[0].rstrip('0') or 0}' "
                "for the other",
            )
        self.at += 1
        places = len(parts[0])
        return _fraction(int(whole) * 10**places + int(parts[0]), cast(int, 10**places))

    def words(self, word: str) -> Fraction:
        """'two', 'half a', 'three quarters of a', 'one and a half'"""
        tokens, start = self.tokens, self.at
        if word in NUMBER_WORDS:
            count = NUMBER_WORDS[word]
            self.at += 1
            at = self.at
            if tokens[at] == "-" and tokens[at + 1].lower() in PART_WORDS:
                at += 1
            part = tokens[at].lower()
            if part not in PART_WORDS or (count > 1) != part.endswith("s"):
                if tokens[self.at].lower() in VAGUE and word in ("a", "an"):
                    self.fail(
                        "amount-not-understood",
                        f"{_short(self.between(start, self.at + 1))} is not an amount",
                        "write a number, or 'as needed'",
                        start,
                    )
                return self.and_part(count) if tokens[self.at].lower() == "and" else count
            self.at = at
            value = count * PART_WORDS[part]
        else:
            value = PART_WORDS[word]
        self.at += 1
        if tokens[self.at].lower() == "of" and tokens[self.at + 1].lower() in ("a", "an", "one"):
            self.at += 2
        elif tokens[self.at].lower() in ("a", "an"):
            self.at += 1
        return value

    def and_part(self, whole: Fraction | int) -> Fraction:
        """'(one) and a half', '(1) and 1/2'; the 'and' stays if no part follows."""
        tokens, start = self.tokens, self.at
        self.at += 1
        token = tokens[self.at]
        word = token.lower()
        part: Fraction | None = None
        if token in VULGAR:
            self.at += 1
            part = VULGAR[token]
        elif self.is_whole(self.at) and tokens[self.at + 1] == "/" and self.is_whole(self.at + 2):
            part = self.fraction(self.at, lost_space=False)
        elif word in PART_WORDS or (
            word in NUMBER_WORDS and tokens[self.at + 1].lower() in PART_WORDS
        ):
            part = self.words(word)
        if part is None or part >= 1:
            self.at = start
            part = Fraction(0)
        return Fraction(whole) + part

    def upper_end(self, low: Fraction) -> Fraction | None:
        """'-3', 'to 3', 'or 3'"""
        token = self.tokens[self.at]
        if token != "-" and token.lower() not in ("to", "or"):
            return None
        start = self.at
        if not self.number_ahead(start + 1):
            return None
        self.at += 1
        high = self.number()
        if self.tokens[self.at] == "-" and self.number_ahead(self.at + 1):
            self.not_understood()
        return None if high is None else self.ordered(low, high, start)

    def ordered(self, low: Fraction, high: Fraction, start: int) -> Fraction | None:
        if high < low:
            self.fail(
                "range-descends",
                "the second number of the range is below the first",
                "write the smaller number first; a mixed number as '1 3/4'",
                start,
            )
        return None if high == low else high

    def check(self, amount: Amount, start: int) -> None:
        """Refuse what nobody could have meant."""
        low, high = amount.low, amount.high or amount.low
        if high.numerator <= 99 and low.denominator <= 99 and amount.unit not in ("mg", "bushel"):
            return
        size = SIZES[amount.system].get(amount.unit)
        if size is None:
            fits = low >= LEAST_COUNT and high <= MOST_COUNT
        else:
            fits = low * size >= LEAST_G_OR_ML and high * size <= MOST_G_OR_ML
        if not fits:
            self.fail(
                "amount-absurd",
                f"{_short(self.plain)} is no amount for a kitchen",
                "at most 1000 kg, 1000 l or 100 000 pieces, at least 1 mg or a thousandth",
                start,
            )

    # -- ingredient lines ----------------------------------------------------------------

    def tail_phrase(self) -> tuple[Amount, str] | None:
        """'salt, to taste': the amount stands at the end."""
        tokens = self.tokens
        word = tokens[0].lower()
        if self.number_ahead(0) or word in FILL_WORDS or tokens[0] == "-":
            return None
        end = len(tokens) - 4
        while end > 2 and tokens[end - 1] in (")", "."):
            end -= 1
        phrase = (
            PHRASES.get((tokens[end - 2].lower(), tokens[end - 1].lower())) if end > 2 else None
        )
        if phrase is None or KINDS.get(SPELLINGS.get(word, ""), "count") != "count":
            return None
        amount = Amount(low=_ONE, unit=phrase, system=self.system)
        return amount, self.text[: self.span(end - 2)[0]].strip(" \u00a0,;(")

    def rest(self) -> str:
        """The text that follows the amount; refused where a second amount lurks in it."""
        tokens = self.tokens
        while tokens[self.at] == ",":
            self.at += 1
        if not self.bare and tokens[self.at].lower() == "of" and tokens[self.at + 1]:
            self.at += 1
        if not tokens[self.at]:
            return ""
        for at in range(self.at, len(tokens) - 4):
            if (at == self.at or tokens[at - 1].lower() in ("plus", "+")) and self.measured(at):
                self.at = at
                self.fail(
                    "amount-not-understood",
                    f"a second amount follows: {_short(self.plain[self.span(at)[0] :])}",
                    "put it in brackets after the first ('1 (14 oz) can'), join the two with "
                    "'plus' before the food, or write two lines",
                )
        return self.text[self.span(self.at)[0] :].strip()

    def measured(self, at: int) -> bool:
        """Does a number with a unit stand there?"""
        tokens = self.tokens
        if not self.number_ahead(at) or tokens[at].lower() in ("a", "an"):
            return False
        while self.number_ahead(at) or (tokens[at] == "/" and self.number_ahead(at + 1)):
            at += 1
        if tokens[at] == "-":
            at += 1
        name = CASED.get(tokens[at]) or SPELLINGS.get(tokens[at].lower())
        return name is not None and KINDS[name] != "count"


def _short(part: str) -> str:
    """A part of the text, quoted and cut to a length that fits a line."""
    part = part.strip()
    return repr(part if len(part) <= 40 else part[:37] + "...")
