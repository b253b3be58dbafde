"""Search by plain words: 'garlic powder', 'instant rice', 'brocoli'.

A food's score is made of what a shopper would expect: the whole name first,
then a name that begins with the words, then every word found somewhere, and
shorter names before longer ones.  Only when nothing holds every word are
misspellings tried, word by word.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
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
    return Index(foods).ranked(text, most)


def nearest(text: str, foods: Iterable[Named], most: int) -> tuple[Food, ...]:
    """Foods whose names are nearest to a misspelt or incomplete phrase, see :class:`Index`."""
    return Index(foods).nearest(text, most)


class Index:
    """Names of foods, laid out once so that they are found while somebody types."""

    __slots__ = ("_at_joined", "_at_word", "_foods", "_joined", "_names", "_words", "_written")

    def __init__(self, foods: Iterable[Named]) -> None:
        self._foods = tuple(foods)
        #: Every name with the place of its food; the places in this list by word, and by the name
        #: without its spaces.
        self._names: list[tuple[int, tuple[str, ...]]] = []
        self._at_word: dict[str, list[int]] = {}
        self._at_joined: dict[str, list[int]] = {}
        for place, (_, names) in enumerate(self._foods):
            for name in names:
                at = len(self._names)
                self._names.append((place, name))
                self._at_joined.setdefault("".join(name), []).append(at)
                for word in dict.fromkeys(name):
                    self._at_word.setdefault(word, []).append(at)
        self._words = sorted(self._at_word)
        #: To compare spellings with, made when first asked for: words, and names without spaces.
        self._written: tuple[Written, ...] | None = None
        self._joined: tuple[Written, ...] | None = None

    def ranked(self, text: str, most: int) -> tuple[Food, ...]:
        """The foods that hold all the words, best first; else those that nearly do."""
        words = fold(text)[:MOST_WORDS]
        if not words:
            return ()
        # Whatever has a score has, for every word, one of its own that begins with it.
        places = set.intersection(*(self._beginning(word) for word in dict.fromkeys(words)))
        scored = []
        for place in places:
            food, names = self._foods[place]
            score = _score(words, names)
            if score > 0:
                scored.append((-score, food.id, place))
        if scored:
            return tuple(self._foods[place][0] for _, _, place in sorted(scored)[:most])
        return self.nearest(text, most)

    def _beginning(self, word: str) -> set[int]:
        """Places of the foods with a word that begins so."""
        found: set[int] = set()
        at = bisect_left(self._words, word)
        while at < len(self._words) and self._words[at].startswith(word):
            found.update(self._names[name][0] for name in self._at_word[self._words[at]])
            at += 1
        return found

    def nearest(self, text: str, most: int) -> tuple[Food, ...]:
        """The foods nearest to a phrase, best first; none when nothing is alike.

        Each word asked for counts by its best likeness to a word of the name; a
        name loses a little for every word that nobody asked for.
        """
        folded = fold(text)
        # 'thumb of ginger': the small words would find every name with an 'of'.
        words = tuple(word[:40] for word in folded if word not in _SMALL)[:MOST_WORDS]
        words = words or folded[:MOST_WORDS]
        if not words:
            return ()
        if self._written is None or self._joined is None:
            self._written = tuple(map(_written, self._at_word))
            self._joined = tuple(map(_written, self._at_joined))
        alike = {word: _alike(word, self._written) for word in dict.fromkeys(words)}
        joined = _alike("".join(words), self._joined)
        near = {at for found in alike.values() for word in found for at in self._at_word[word]}
        near.update(at for name in joined for at in self._at_joined[name])
        best: dict[int, float] = {}
        for at in near:
            place, name = self._names[at]
            hit = sum(max(alike[word].get(part, 0.0) for part in name) for word in words if name)
            score = hit / len(words) - 0.08 * max(0, len(name) - len(words))
            if len(words) != len(name):  # 'cous cous' for 'couscous', 'popcorn' for 'pop corn'
                score = max(score, joined.get("".join(name), 0.0) - 0.02)
            if score > best.get(place, 0.3):
                best[place] = score
        scored = [
            (-score, len(self._foods[place][0].name), self._foods[place][0].id, place)
            for place, score in best.items()
        ]
        return tuple(self._foods[place][0] for _, _, _, place in sorted(scored)[:most])


#: A word, its first letter, its length, and how often each letter stands in it.
Written = tuple[str, str, int, dict[str, int]]


def _written(word: str) -> Written:
    return word, word[:1], len(word), dict(Counter(word))


def _alike(one: str, others: tuple[Written, ...]) -> dict[str, float]:
    """Those of the others that are alike, with their likeness."""
    found: dict[str, float] = {}
    _, first, length, letters = _written(one)
    for other, begins, long, there in others:
        if first != begins and not -1 <= length - long <= 1:
            continue
        # What the matcher can reach at best, by the lengths and by the letters: to look closer
        # costs a hundred times as much.
        both = length + long
        if not both or 2.0 * min(length, long) / both < LIKENESS:
            continue
        common = 0
        for letter, many in letters.items():
            held = there.get(letter, 0)
            common += many if many < held else held
        if 2.0 * common / both < LIKENESS:
            continue
        ratio = 1.0 if one == other else SequenceMatcher(None, one, other, False).ratio()
        if ratio >= LIKENESS:
            found[other] = ratio
    return found
