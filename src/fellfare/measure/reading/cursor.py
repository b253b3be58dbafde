"""Where in the text are we, and how do we say no?"""

from __future__ import annotations

import re
from typing import Final, NoReturn

from fellfare.measure.reading.spelling import ABOUT, NUMBER_WORDS, PART_WORDS, PLAIN, VULGAR
from fellfare.measure.units import SYSTEMS, System
from fellfare.mistake import Mistake

#: Every refusal of the reader by its code, and how to mend it.
MENDS: Final[dict[str, str]] = {
    "amount-absurd": "at most 9 figures, 1000 kg, 1000 l or 100 000 pieces; "
    "at least 1 mg, a thousandth of a millilitre or of a piece",
    "amount-empty": "write a number and a unit, such as '90 g', '½ tsp' or '2 cloves'",
    "amount-missing": "begin with the amount ('90 g', '2 cloves'), "
    "or write 'to taste' or 'as needed'",
    "amount-negative": "drop the sign; what is not there is left out",
    "amount-not-understood": "write a number and a unit, such as '90 g', '1 3/4 oz', "
    "'½ tsp' or '2 cloves', and nothing else",
    "amount-too-long": "write an amount in at most 200 characters, an ingredient line in 500",
    "amount-zero": "leave it out; a range from nothing is an optional line",
    "division-by-zero": "write the fraction afresh, such as '1/2'",
    "each-or-total": "write '(85 g each)' or '(170 g total)'",
    "not-summable": "write them as two lines",
    "number-ambiguous": "write a thousand as '1000', a fraction as '1 3/4', "
    "packs as '1 (400 g) can' or '2 x 85 g packets'",
    "odd-character": "delete it, or type the amount afresh on one line",
    "range-descends": "write the smaller number first, and a mixed number as '1 3/4'",
    "second-amount": "put it in brackets after the first ('1 (14 oz) can'), join the two "
    "with 'plus' before the food, or write two lines",
    "unit-doubtful": "write the unit out",
    "unit-not-in-system": "say whose it is ('US pint', 'imperial pint'), or give ml",
    "unknown-system": f"one of {', '.join(SYSTEMS)}",
    "unknown-unit": "write g, ml, tsp, tbsp, cup, oz, lb, a counted thing such as 'clove' or "
    "'packet', or the number alone for pieces",
}

_V: Final = "".join(VULGAR)
_TOKEN: Final = re.compile(rf"[{_V}]|[0-9]+(?:[.,][0-9]+)*|\.[0-9]+|[^\W\d_{_V}]+|\S")
_DIGITS: Final = "0123456789"


def open_text(text: str, system: System, most: int) -> str:
    """The text in plain characters, column for column, or a refusal at the door."""
    if system not in SYSTEMS:
        _refuse("unknown-system", f"{str(system)[:40]!r} is no system of measures", "")
    if len(text) > most:
        _refuse("amount-too-long", f"{len(text)} characters, beginning {text[:20]!r}", "column 1")
    if text.isascii() and text.isprintable():
        return text
    plain = text.translate(PLAIN)
    if not plain.isprintable():
        column, odd = next((i, c) for i, c in enumerate(plain, 1) if not c.isprintable())
        _refuse(
            "odd-character",
            f"character U+{ord(odd):04X} cannot be seen in print",
            f"column {column}",
        )
    return plain


def _refuse(code: str, what: str, where: str) -> NoReturn:
    raise Mistake(code, what, MENDS[code], where)


class Cursor:
    """A place in a row of tokens.

    The functions of ``numbers`` and ``grammar`` read what stands at the place
    and move it on; where they find nothing of theirs they leave it.
    """

    __slots__ = ("at", "bare", "depth", "line", "mixed", "plain", "system", "text", "tokens")

    def __init__(self, text: str, plain: str, system: System, *, line: bool) -> None:
        self.text, self.plain, self.system = text, plain, system
        #: An ingredient line: text may follow the amount.
        self.line = line
        tokens: list[str] = _TOKEN.findall(plain)
        if not tokens:
            self.tokens = []
            _refuse("amount-empty", "no amount is written", "column 1")
        #: Ends in empty tokens, so that looking ahead needs no guard.
        self.tokens = [*tokens, "", "", "", ""]
        self.at = 0
        #: How many amounts within amounts.
        self.depth = 0
        #: The last term had no unit written.
        self.bare = False
        #: The last number was a spaced mixed one, '1 1/2'.
        self.mixed = False

    def word(self, ahead: int = 0) -> str:
        return self.tokens[self.at + ahead].lower()

    def skip_stop(self) -> None:
        """Over the full stop of an abbreviation."""
        if self.tokens[self.at] == "." and self.glued(self.at):
            self.at += 1

    def number_ahead(self, at: int) -> bool:
        """Does a number begin there?"""
        token = self.tokens[at]
        if not token:
            return False
        if token[0] in _DIGITS or token in VULGAR:
            return True
        word = token.lower()
        return (
            word in NUMBER_WORDS
            or word in PART_WORDS
            or (word in ABOUT and self.number_ahead(at + 1))
            or (token[0] == "." and len(token) > 1)
        )

    def whole_ahead(self, at: int) -> bool:
        """Do figures stand there, and no sign among them?"""
        token = self.tokens[at]
        return bool(token) and token[0] in _DIGITS and token.isdecimal()

    # -- places in the text; looked up only where needed ---------------------------

    def span(self, at: int) -> tuple[int, int]:
        """Start and end of a token in the text."""
        for index, match in enumerate(_TOKEN.finditer(self.plain)):
            if index == at:
                return match.span()
        return len(self.plain.rstrip()), len(self.plain)

    def glued(self, at: int) -> bool:
        """No space between this token and the one before."""
        return at > 0 and self.span(at - 1)[1] == self.span(at)[0]

    def shown(self, start: int, end: int | None = None) -> str:
        """The text from one token up to another, quoted, cut to fit a line."""
        last = len(self.plain) if end is None else self.span(end - 1)[1]
        part = self.plain[self.span(start)[0] : last].strip()
        return repr(part if len(part) <= 40 else part[:37] + "...")

    # -- saying no --------------------------------------------------------------------

    def fail(self, code: str, what: str, at: int | None = None, mend: str = "") -> NoReturn:
        column = self.span(self.at if at is None else at)[0] + 1
        raise Mistake(code, what, mend or MENDS[code], f"column {column}")

    def not_understood(self) -> NoReturn:
        part = self.shown(self.at) if self.tokens[self.at] else "what should follow"
        self.fail("amount-not-understood", f"{part} is not understood")
