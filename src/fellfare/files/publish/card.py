"""The recipe as one card of text: at most 40 lines of 48 columns, about an A6 sheet.

What does not fit shrinks by steps: first the author's words about the dish go, then the
ingredients run on in one paragraph for each bag, then the author's words in the steps go
(water and minutes stay), then the packing, then the names of the foods that bring an
allergen, then energy density and the sum of the water.  Allergens and cautions never go; a
card that still does not fit is refused.
"""

from __future__ import annotations

from typing import Final

from fellfare.files.publish.told import Told
from fellfare.files.publish.wrapping import one_line, wrapped
from fellfare.mistake import Mistake

#: A6 is 105 × 148 mm: 48 columns of 9-point monospaced type on lines of 3.5 mm.
COLUMNS: Final = 48
LINES: Final = 40

#: What each level still tells: the words about the dish, a line for each ingredient, the
#: author's words in steps, the packing, the foods that bring an allergen, sums that the
#: steps and the mass tell as well.
_PARTS: Final = ("about", "listed", "words", "packing", "foods", "sums")
_SUMS: Final = ("Energy density", "Water to add")


def card_text(told: Told) -> str:
    """The card; ends in one line feed.

    Raises
    ------
    Mistake
        ``card-too-long``: allergens, cautions, steps and ingredients alone need more.
    """
    lines: list[str] = []
    for level in range(len(_PARTS) + 1):
        lines = _card(told, frozenset(_PARTS[level:]))
        if len(lines) <= LINES:
            return "\n".join(lines) + "\n"
    raise Mistake(
        "card-too-long",
        what=f"the shortest card needs {len(lines)} lines; it has {LINES} of {COLUMNS} columns",
        mend="publish it as text or Markdown, say --measures metric or us, or split the dish",
    )


def _card(told: Told, tells: frozenset[str]) -> list[str]:
    lines = _wrap(told.title.upper())
    for stop in told.stops:
        lines += _wrap(f"STOP, not as written: {stop}")
    if "about" in tells and told.about:
        lines += _wrap(told.about)
    lines += _wrap(f"Serves {told.serves}")
    for fact in told.facts:
        if "sums" not in tells and fact.startswith(_SUMS):
            continue
        lines += _wrap(fact, "  ")
    for group in told.groups:
        if "listed" in tells:
            lines += _wrap(f'-- bag "{group.bag}"') if group.bag else []
            for line in group.lines:
                lines += _wrap(line, "  ")
        else:
            head = f'Bag "{group.bag}": ' if group.bag else ""
            lines += _wrap(head + "; ".join(group.lines), "  ")
    number = 0
    home, camp = (told.home, told.camp) if "words" in tells else (told.home_short, told.camp_short)
    for heading, steps in (("AT HOME", home), ("IN CAMP", camp)):
        if steps:
            lines.append(heading)
        for step in steps:
            number += 1
            lines += _wrap(f"{number}. {step}", "   ")
    if "packing" in tells:
        for one in told.packing:
            lines += _wrap(one, "  ")
    lines += _wrap(told.nutrition[0], "  ")
    for one in told.allergens if "foods" in tells else told.allergens_short:
        lines += _wrap(one, "  ")
    for one in told.cautions:
        lines += _wrap(f"Mind: {one}", "  ")
    return [*lines, "Labels and local rules come first."]


def _wrap(text: str, indent: str = "") -> list[str]:
    return wrapped(one_line(text), COLUMNS, indent)
