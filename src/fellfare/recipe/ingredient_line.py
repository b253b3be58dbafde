"""What does an ingredient line say?  Amount, food, and how it is prepared."""

from __future__ import annotations

import re
import unicodedata

from fellfare.measure.amount import Amount
from fellfare.measure.reading import read_amount, read_leading_amount
from fellfare.measure.reading.spelling import SPELLINGS
from fellfare.measure.units import UNITS, System
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line
from fellfare.recipe.weighing import Weighed, weigh


def read_ingredient(text: str, pantry: Pantry, system: System = "us") -> tuple[Line, Food, str]:
    """One ingredient line: the Line, its food, and what was understood.

    >>> # '1 3/4 cups rolled oats, toasted' → rolled-oats, '1 3/4 cups', note 'toasted'

    Raises
    ------
    Mistake
        ``amount-…`` or ``unknown-unit`` with the place in the line,
        ``unknown-food`` with suggestions, ``no-measure``, ``no-food-named``.
    """
    amount, rest = read_leading_amount(text, system)
    written = text[: len(text) - len(rest)].strip() if text.endswith(rest) else text
    phrase, note, optional = _split_note(rest)
    if not phrase:
        raise Mistake(
            "no-food-named",
            f"{text[:60]!r} names no food after the amount",
            "write amount, food, then a comma and how it is prepared",
        )
    food, taken = _named(phrase, amount, pantry)
    note = ", ".join(part for part in (taken, note) if part)
    amount, written, weighed = _weighed(amount, written, food, phrase, note)
    line = Line(food=food.id, amount=_amount_text(amount, written), note=note, optional=optional)
    mass = weighed.measure if weighed.mass_g is None else f"{weighed.mass_g:.4g} g"
    how = "" if weighed.measure == "by mass" or weighed.mass_g is None else f" by {weighed.measure}"
    extra = f", note: {note}" if note else ""
    return line, food, f"{line.amount} → {mass} of {food.id}{how}{extra}"


def _named(phrase: str, amount: Amount, pantry: Pantry) -> tuple[Food, str]:
    """The food of the phrase; out of a can comes the canned one, or none."""
    if amount.unit != "can":
        return pantry.named(phrase)
    try:
        return pantry.named(f"canned {phrase}")
    except Mistake:
        food, taken = pantry.named(phrase)
    if food.form != "fresh":
        return food, taken
    canned = [one.id for one in pantry.search(f"canned {phrase}", 3) if one.form == "canned"]
    raise Mistake(
        "fresh-in-a-can",
        f"{food.name!r} is the fresh food, and it does not come in a can",
        f"name the canned one{': ' + ' or '.join(canned) if canned else ''}, or write grams",
    )


def _weighed(
    amount: Amount, written: str, food: Food, phrase: str, note: str
) -> tuple[Amount, str, Weighed]:
    """The mass; '2 garlic cloves' counts cloves when the food has no 'piece'."""
    try:
        return amount, written, weigh(amount, food, note)
    except Mistake:
        unit = SPELLINGS.get(phrase.split()[-1].casefold(), "")
        if amount.unit != "piece" or unit not in {one.unit for one in food.measures}:
            raise
        noun = UNITS[unit].singular if amount.value <= 1 else UNITS[unit].plural
        written = f"{written} {noun}"
        amount = read_amount(written, amount.system)
        return amount, written, weigh(amount, food, note)


def _amount_text(amount: Amount, written: str) -> str:
    written = re.sub(r"\s+of$", "", written.strip().rstrip(",")).strip()
    try:
        if written and read_amount(written, amount.system) == amount:
            return unicodedata.normalize("NFC", written)
    except Mistake:
        pass
    return amount.unmeasured or written


def _split_note(rest: str) -> tuple[str, str, bool]:
    """('rolled oats', 'toasted', False) of 'rolled oats, toasted'."""
    optional = bool(re.search(r"\boptional\b", rest, re.I))
    rest = re.sub(r"\(?\boptional\b\)?", "", rest, flags=re.I).strip(" ,;")
    notes: list[str] = []

    def aside(match: re.Match[str]) -> str:
        notes.append(match.group(1).strip())
        return " "

    rest = re.sub(r"\(([^()]*)\)", aside, rest)
    head, _, tail = rest.partition(",")
    if tail.strip():
        notes.insert(0, tail.strip())
    head = re.sub(r"\s+", " ", head).strip(" .;")
    return head, ", ".join(note for note in notes if note), optional
