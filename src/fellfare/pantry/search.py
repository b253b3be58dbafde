"""Search by plain words: 'garlic powder', 'instant rice', 'brocoli'.

A food's score is made of what a shopper would expect: the whole name first,
then a name that begins with the words, then every word found somewhere, and
shorter names before longer ones.  Only when nothing holds every word are
misspellings tried, word by word.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher
from typing import Final

from fellfare.pantry.food import Food
from fellfare.pantry.names import fold

#: Two words are 'nearly the same' from this likeness on (SequenceMatcher ratio).
LIKENESS: Final = 0.72
#: Longer queries are cut: nobody types more, and matching must stay quick.
MOST_WORDS: Final = 8

_SMALL: Final = frozenset("a an and each for in of on or the to with without".split())

Names = tuple[tuple[str, ...], ...]
#: A food beside its folded names: id and name first, then the by-names.
Named = tuple[Food, Names]


def names_of(food: Food) -> Names:
    """Id and name of a food, folded (often the same), then every other name, each once."""
    own = (fold(food.id), fold(food.name))
    others = dict.fromkeys(fold(phrase) for phrase in food.words)
    return (*own, *(name for name in others if name not in own))


def _score(words: tuple[str, ...], names: Names) -> float:
    """Greater is better; 0 means that some word is missing."""
    best = 0.0
    for place, name in enumerate(names):
        own_name = 0.5 if place < 2 else 0.0  # the id or the name, not a by-name
        brevity = 1 / (1 + len(name))
        if name == words:
            score = 100.0
        elif name[: len(words)] == words:
            score = 80.0
        elif all(word in name for word in words):
            score = 60.0
        elif all(any(part.startswith(word) for part in name) for word in words):
            score = 40.0 + (10.0 if name[0].startswith(words[0]) else 0.0)
        else:
            continue
        best = max(best, score + own_name + 10 * brevity)
    if best:
        return best
    every = {part for name in names for part in name}
    if all(any(part.startswith(word) for part in every) for word in words):
        return 20.0
    return 0.0


def ranked(text: str, foods: Iterable[Named], most: int) -> tuple[Food, ...]:
    """The foods that hold all the words, best first; else those that nearly do."""
    words = fold(text)[:MOST_WORDS]
    if not words:
        return ()
    foods = tuple(foods)
    scored = [(-_score(words, names), food.id, food) for food, names in foods]
    hits = sorted(item for item in scored if item[0] < 0)
    if hits:
        return tuple(food for _, _, food in hits[:most])
    return nearest(text, foods, most)


def _likeness(one: str, other: str) -> float:
    if one == other:
        return 1.0
    if one[:1] != other[:1] and abs(len(one) - len(other)) > 1:
        return 0.0
    matcher = SequenceMatcher(None, one, other, autojunk=False)
    if matcher.real_quick_ratio() < LIKENESS or matcher.quick_ratio() < LIKENESS:
        return 0.0
    ratio = matcher.ratio()
    return ratio if ratio >= LIKENESS else 0.0


def nearest(text: str, foods: Iterable[Named], most: int) -> tuple[Food, ...]:
    """Foods whose names are nearest to a misspelt or incomplete phrase.

    Each word asked for counts by its best likeness to a word of the name; a
    name loses a little for every word that nobody asked for.
    """
    folded = fold(text)
    # 'thumb of ginger': the small words would find every name with an 'of'.
    words = tuple(word[:40] for word in folded if word not in _SMALL)[:MOST_WORDS]
    words = words or folded[:MOST_WORDS]
    if not words:
        return ()
    cache: dict[tuple[str, str], float] = {}

    def like(one: str, other: str) -> float:
        key = (one, other)
        if key not in cache:
            cache[key] = _likeness(one, other)
        return cache[key]

    joined = "".join(words)
    scored = []
    for food, names in foods:
        best = 0.0
        for name in names:
            hit = sum(max(like(word, part) for part in name) for word in words if name)
            spare = max(0, len(name) - len(words))
            score = hit / len(words) - 0.08 * spare
            if len(words) != len(name):  # 'cous cous' for 'couscous', 'popcorn' for 'pop corn'
                score = max(score, like(joined, "".join(name)) - 0.02)
            best = max(best, score)
        if best > 0.3:
            scored.append((-best, len(food.name), food.id, food))
    scored.sort(key=lambda item: item[:3])
    return tuple(item[3] for item in scored[:most])
