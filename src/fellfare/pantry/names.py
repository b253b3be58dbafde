"""Which food do these words mean?  Exact names first, never a guess.

:func:`fold` brings a written name to the form in which names are compared:
lower case, no accents, no punctuation, English plurals folded.  Two writings
mean the same name when they fold to the same words.
"""

from __future__ import annotations

import unicodedata
from typing import Final

#: Words about the knife or the hand, not about what the food is.  They may be
#: taken off the front of a phrase when the whole phrase is not a name.
PREPARATION: Final = frozenset(
    "chopped diced sliced slivered flaked minced crumbled shredded grated torn halved"
    " quartered cubed peeled trimmed rinsed drained washed cored seeded pitted stoned melted"
    " softened beaten toasted packed loosely lightly finely roughly coarsely freshly thinly"
    " thickly very good quality large medium small big optional heaped level cold warm".split()
)

#: Plurals that the rules below would fold wrongly, or that are not plurals.
_ODD: Final = {
    "leaves": "leaf",
    "halves": "half",
    "loaves": "loaf",
    "knives": "knife",
    "radishes": "radish",
    "molasses": "molasses",
    "hummus": "hummus",
    "couscous": "couscous",
    "asparagus": "asparagus",
    "citrus": "citrus",
    "swiss": "swiss",
    "watercress": "watercress",
    "cress": "cress",
    "bass": "bass",
    "brussels": "brussels",
    "cookies": "cookie",
    "brownies": "brownie",
    "smoothies": "smoothie",
    "calories": "calorie",
    "pies": "pie",
    "as": "as",
    "us": "us",
    "is": "is",
    "its": "its",
    "gas": "gas",
    "hors": "hors",
    "des": "des",
    "les": "les",
    "herbes": "herb",
}


def singular(word: str) -> str:
    """One English word without its plural ending ('tomatoes' → 'tomato')."""
    if word in _ODD:
        return _ODD[word]
    if len(word) < 4 or not word.endswith("s") or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "ches", "shes", "sses", "xes", "zes")):
        return word[:-2]
    return word[:-1]


def fold(text: str) -> tuple[str, ...]:
    """The words of a name, ready to be compared.

    >>> fold("Sun-dried Tomatoes")
    ('sun', 'dried', 'tomato')
    """
    plain = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(
        char if char.isalnum() or char == "%" else ("" if unicodedata.combining(char) else " ")
        for char in plain.replace("'", "").replace("’", "")
    )
    return tuple(singular(word) for word in letters.split())


def without_preparation(words: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(words taken off the front, the rest): 'finely chopped onion' → onion."""
    for index, word in enumerate(words):
        if word not in PREPARATION and not (word == "and" and index):
            return words[:index], words[index:]
    return (), words  # nothing but preparation: leave it whole, it will be refused
