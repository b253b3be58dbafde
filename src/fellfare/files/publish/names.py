"""What is a food called in a published line?  By a name that reads back to it.

The list name 'bell pepper, red, freeze-dried' would be cut at its comma when somebody
pastes the line; 'freeze-dried red bell pepper' is a whole name of the same food.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from fellfare.measure.reading.spelling import SPELLINGS
from fellfare.pantry.food import Food
from fellfare.pantry.names import fold, singular
from fellfare.pantry.pantry import Pantry
from fellfare.pantry.search import names_of


def spoken_name(food: Food, pantry: Pantry) -> str:
    """The plainest whole name of ``food`` that a pasted line can carry.

    Where no name of it reads back (a food of one's own whose names belong to others),
    its list name without commas and brackets.
    """
    own = frozenset(names_of(food))
    for phrase in _candidates(food):
        # A name that is none of its own costs a search through the pantry: skip it.
        if fold(phrase) in own and pantry.named(phrase) == (food, ""):
            return _spelled(phrase, food.name)
    return " ".join(re.sub(r"[(),;]", " ", food.name).split()) or food.id


def _candidates(food: Food) -> Iterator[str]:
    if _is_plain(food.name):
        yield food.name
    words = set(fold(food.id))
    head, *tails = [part.strip() for part in re.sub(r"\([^()]*\)", "", food.name).split(",")]
    if fold(head) == fold(food.id) and _is_plain(head):
        yield head  # 'bulgur' of 'bulgur, dry'
    plain = [name for name in food.words if _is_plain(name)]
    yield from (name for name in plain if set(fold(name)) == words)
    if tails and _is_plain(head):
        yield " ".join([*tails, head])
        yield " ".join([*reversed(tails), head])
    parts = food.id.replace("freeze-dried", "freeze_dried").split("-")
    for last in (1, 2):  # 'spearmint-dried' → 'dried spearmint'
        if len(parts) > last:
            yield " ".join(parts[-last:] + parts[:-last]).replace("_", "-")
    yield from sorted((name for name in plain if set(fold(name)) > words), key=len)
    yield food.id.replace("-", " ")


def _is_plain(name: str) -> bool:
    """Nothing in it that a line reader takes for a unit, or for the end of the name."""
    if not name or name.split()[0].casefold() in SPELLINGS:  # 'pouch of salmon'
        return False
    return not re.search(r"[(),;.:/]|^[\W\d]|\boptional\b", name)


def _spelled(phrase: str, name: str) -> str:
    """Words as the list name spells them: 'salted peanut' of 'peanuts, salted' gets its s."""
    spelling = {singular(word.casefold()): word for word in re.findall(r"[^\s(),]+", name)}
    words = (spelling.get(singular(word.casefold()), word) for word in phrase.split())
    return " ".join(words).replace("freeze dried", "freeze-dried")
