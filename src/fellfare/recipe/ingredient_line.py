"""What does an ingredient line say?  Amount, food, and how it is prepared."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from fellfare.measure.amount import Amount
from fellfare.measure.reading import read_amount, read_leading_amount
from fellfare.measure.reading.spelling import SPELLINGS
from fellfare.measure.units import UNITS, System
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.names import fold
from fellfare.pantry.pantry import Pantry
from fellfare.pantry.search import names_of
from fellfare.recipe.document import Line
from fellfare.recipe.weighing import Weighed, weigh


def read_ingredient(text: str, pantry: Pantry, system: System = "us") -> tuple[Line, Food, str]:
    """One ingredient line: the Line, its food, and what was understood.

    >>> # '1 3/4 cups rolled oats, toasted' → rolled-oats, '1 3/4 cups', note 'toasted'

    Raises
    ------
    Mistake
        ``amount-…`` or ``unknown-unit`` with the place in the line,
        ``unknown-food`` with suggestions, ``ambiguous-food``, ``two-foods``,
        ``fresh-in-a-can``, ``state-in-note``, ``no-measure``, ``no-food-named``.
    """
    _refuse_two_foods(text, text, pantry)
    amount, rest = read_leading_amount(text, system)
    written = text[: len(text) - len(rest)].strip() if text.endswith(rest) else text
    phrase, note, optional = _split_note(rest)
    if not phrase and amount.unit == "teabag":
        phrase = "tea"
    if not phrase:
        raise Mistake(
            "no-food-named",
            f"{text[:60]!r} names no food after the amount",
            "write amount, food, then a comma and how it is prepared",
        )
    _refuse_two_foods(phrase, text, pantry)
    try:
        food, taken = _named(phrase, note, amount, pantry)
    except Mistake as mistake:
        if mistake.code != "unknown-food":
            raise
        raise _told_better(phrase, text, amount, pantry, mistake) from None
    note = ", ".join(part for part in (taken, note) if part)
    amount, written, weighed = _weighed(amount, written, food, phrase, note)
    line = Line(food=food.id, amount=_amount_text(amount, written), note=note, optional=optional)
    mass = weighed.measure if weighed.mass_g is None else f"{weighed.mass_g:.4g} g"
    how = "" if weighed.measure == "by mass" or weighed.mass_g is None else f" by {weighed.measure}"
    extra = f", note: {note}" if note else ""
    return line, food, f"{line.amount} → {mass} of {food.id}{how}{extra}"


def _knows(phrase: str, pantry: Pantry) -> bool:
    try:
        pantry.named(phrase)
    except Mistake:
        return False
    return True


_AND: Final = re.compile(r"\s(?:and|plus)\s|\s?[&+]\s?", re.I)
_TO_TASTE: Final = re.compile(r"[,(]?\s*\b(?:to taste|as needed)\b\)?\s*$", re.I)


def _refuse_two_foods(phrase: str, text: str, pantry: Pantry) -> None:
    """'Salt & pepper' is two lines."""
    bare = _TO_TASTE.sub("", phrase).strip(" ,")
    parts = [part.strip() for part in _AND.split(bare)]
    if len(parts) != 2 or not all(parts) or _knows(bare, pantry):
        return
    if not all(_knows(part, pantry) for part in parts):
        return
    alone = phrase is text
    lines = " and ".join(f"'{part}, to taste'" if alone else f"'… {part}'" for part in parts)
    raise Mistake(
        "two-foods",
        f"{bare[:60]!r} are two foods",
        f"write two lines, each with its own amount: {lines}",
    )


#: How many foods a refusal offers when a name is short of a word.
_MOST_OFFERED: Final = 8
_UNITS: Final = "g, kg, ml, l, tsp, tbsp, cup, oz, lb, or a counted thing ('clove', 'packet')"


def _told_better(
    phrase: str, text: str, amount: Amount, pantry: Pantry, mistake: Mistake
) -> Mistake:
    """Why no food has this name: a strange unit before it, or a word too few."""
    first, _, rest = phrase.partition(" ")
    rest = re.sub(r"^of\s", "", rest)
    words = fold(phrase)
    names = {food.id: names_of(food) for food in pantry}
    described = {word for own in names.values() for name in own for word in name}
    counted = amount.unit == "piece" and amount.unmeasured is None
    # A word that stands in names of foods ('brown', 'dried') is no unit.
    if counted and rest and not set(fold(first)) & described and _knows(rest, pantry):
        return Mistake(
            "unknown-unit",
            f"{first[:40]!r} is no unit we know, and {phrase[:40]!r} is no food",
            f"if {first[:20]!r} is a unit, write it in {_UNITS}; if it is a kind of"
            f" {rest[:30]}, put it behind a comma: '{rest[:30]}, {first[:20]}'",
            f"column {text.find(first) + 1}",
        )
    fits = [one for one, own in names.items() if any(name[-len(words) :] == words for name in own)]
    if words and len(fits) > 1:
        offered = sorted(fits, key=len)[:_MOST_OFFERED]
        more = " …" if len(fits) > _MOST_OFFERED else ""
        return Mistake(
            "ambiguous-food",
            f"{phrase[:60]!r} could be {len(fits)} foods",
            f"write which: {', '.join(sorted(offered))}{more}",
        )
    return mistake


#: Packs in which raw meat or fish does not come; what comes in them is cooked or cured.
_SEALED: Final = frozenset({"can", "pouch", "packet", "sachet", "jar"})
#: A note may say that the food is not what its bare name means: 'chicken, canned'.
_STATES: Final[dict[str, str]] = {
    "canned": "canned", "tinned": "canned", "from a can": "canned", "from a tin": "canned",
    "pouch": "canned", "pouched": "canned", "jarred": "canned", "freeze-dried": "freeze-dried",
    "freeze dried": "freeze-dried", "dehydrated": "dried", "dried": "dried", "powdered": "powdered",
}  # fmt: skip
_STATE: Final = re.compile(
    rf"(?<![\w-])(?:{'|'.join(sorted(_STATES, key=len, reverse=True))})(?![\w-])", re.I
)


def _named(phrase: str, note: str, amount: Amount, pantry: Pantry) -> tuple[Food, str]:
    """The food of the phrase; out of a can comes the canned one, or none."""
    said = _STATE.search(note)
    if said is not None and amount.unit not in _SEALED:
        return _in_state(phrase, _STATES[said.group().casefold()], pantry)
    if amount.unit not in _SEALED:
        return pantry.named(phrase)
    if amount.unit != "can":
        # Jars and packets hold many things as their bare name says: oats, honey, spinach.
        food, taken = _or_canned(phrase, pantry)
        if not _keeps_only_cold(food):
            return food, taken
    try:
        return pantry.named(f"canned {phrase}")
    except Mistake:
        food, taken = pantry.named(phrase)
    if food.form != "fresh":
        return food, taken
    canned = [one.id for one in pantry.search(f"canned {phrase}", 3) if one.form == "canned"]
    raise Mistake(
        "fresh-in-a-can",
        f"{food.name!r} is the fresh food, and it does not come in a {amount.unit}",
        f"name the canned one{': ' + ' or '.join(canned) if canned else ''}, or write grams",
    )


def _or_canned(phrase: str, pantry: Pantry) -> tuple[Food, str]:
    """A pouch of chicken: no food is called so, but there is a canned one."""
    try:
        return pantry.named(phrase)
    except Mistake as mistake:
        try:
            return pantry.named(f"canned {phrase}")
        except Mistake:
            raise mistake from None


def _keeps_only_cold(food: Food) -> bool:
    raw = {"raw-meat", "raw-fish", "raw-milk"} & set(food.hazards)
    return bool(raw) or (food.form == "fresh" and "perishable" in food.hazards)


def _in_state(phrase: str, state: str, pantry: Pantry) -> tuple[Food, str]:
    """'Chicken breast, canned' is canned chicken, never the raw one."""
    for name in (f"{state} {phrase}", f"{phrase} {state}"):
        if _knows(name, pantry):
            return pantry.named(name)[0], ""
    food, taken = pantry.named(phrase)
    if food.form == "fresh":
        near = [one.id for one in pantry.search(f"{phrase} {state}", 3) if one.form != "fresh"]
        raise Mistake(
            "state-in-note",
            f"{food.name!r} is the fresh food, and the note says {state!r}",
            f"name the food as it is{': ' + ' or '.join(near) if near else ''}",
        )
    return food, taken


def _weighed(
    amount: Amount, written: str, food: Food, phrase: str, note: str
) -> tuple[Amount, str, Weighed]:
    """The mass; '2 garlic cloves' counts cloves when the food has no 'piece'."""
    try:
        return amount, written, weigh(amount, food, note)
    except Mistake:
        unit = SPELLINGS.get(phrase.split()[-1].casefold(), "")
        if fold(phrase)[-2:] == ("tea", "bag"):
            unit = "teabag"
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
