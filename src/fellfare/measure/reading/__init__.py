"""What did the cook write?  A strict reader of amounts: it understands or refuses.

Nothing is guessed.  What two people would read as two amounts is refused, and
the refusal says how to write either of them.  The house rules:

* The point is the decimal sign; a comma is one too ('1,5 dl'), except before
  exactly three figures, where English readers see a thousand: '1,000 g' is
  refused, '0,125 l' is not.  '1.500 g' (or ml) is refused as well: no kitchen
  scale shows a last nought of a milligram, but continental thousands look so.
* '1-3/4' is one and three quarters: as a range it would run downwards.
* '11/2' is refused: '1 1/2' that lost its space looks the same.
* ``T`` is a tablespoon, ``t`` a teaspoon, ``c`` a cup; a capital ``C`` is refused.
* '1 400 g' is refused (1400 g, or one of 400 g?), '1 400 g can' is one can.
* '2 cans (400 g)' is refused: for one, or for both?
* '1 heaped tbsp' keeps its fill, '2 large eggs' its size.
* Spaces, hyphens and slashes of the typographer count as ours; what cannot be
  seen (zero width, direction marks, controls) is refused.

``spelling`` has the words, ``numbers`` the numbers, ``grammar`` the amounts,
``line`` what follows an amount in an ingredient line, ``cursor`` the place in
the text and the refusals.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from fellfare.measure.amount import Amount
from fellfare.measure.reading.cursor import Cursor, open_text
from fellfare.measure.reading.grammar import amount_here
from fellfare.measure.reading.line import amount_at_end, rest_of_line
from fellfare.measure.units import System

__all__ = ["MOST_AMOUNT_CHARACTERS", "MOST_LINE_CHARACTERS", "read_amount", "read_leading_amount"]

#: Longest text that is looked at [characters].
MOST_AMOUNT_CHARACTERS: Final = 200
MOST_LINE_CHARACTERS: Final = 500
#: How many read amounts are kept at hand (a refused text is never kept).
REMEMBERED: Final = 4096


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
        One of :data:`fellfare.measure.reading.cursor.MENDS`, with the column in
        ``where``.

    Examples
    --------
    >>> float(read_amount("1 3/4 oz").mass_g)
    49.61166546875
    >>> read_amount("3 heaping tablespoons").fill
    'heaped'
    """
    return _read_whole(text, system)


@lru_cache(maxsize=REMEMBERED)
def _read_whole(text: str, system: System) -> Amount:
    """The amount; kept, since '90 g' and '1 tbsp' come again in every other recipe."""
    cursor = Cursor(text, open_text(text, system, MOST_AMOUNT_CHARACTERS), system, line=False)
    amount = amount_here(cursor)
    if cursor.tokens[cursor.at]:
        cursor.not_understood()
    return amount


def read_leading_amount(text: str, system: System = "us") -> tuple[Amount, str]:
    """The amount at the start of an ingredient line, and the text that follows it.

    The rest is returned as it was written, without the spaces, the commas and
    the 'of' before it.  'Salt, to taste' gives that amount and 'Salt'.  A bare
    number counts pieces: '2 eggs' is 2 pieces of 'eggs', and so '2 garlic cloves'
    is 2 pieces of 'garlic cloves'.  Refused: a number before a word after which a
    unit stands ('1 generous cup'), and a second amount further on ('1 can 14 oz',
    '1 cup flour plus 2 tbsp').

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
    cursor = Cursor(text, open_text(text, system, MOST_LINE_CHARACTERS), system, line=True)
    if (whole := amount_at_end(cursor)) is not None:
        return whole
    amount = amount_here(cursor)
    return amount, rest_of_line(cursor)
