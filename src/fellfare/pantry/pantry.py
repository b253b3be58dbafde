"""All foods at hand, by id and by name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.names import fold, without_preparation
from fellfare.pantry.search import Index, Named, names_of

#: How many foods a refusal suggests.
SUGGESTIONS: Final = 3
#: For so many unknown names the suggestions are kept.
MOST_UNKNOWN: Final = 500


class Pantry:
    """A fixed collection of foods; :meth:`with_foods` makes a larger one.

    A food of one's own may take the id of a shipped one; it then stands in
    its place.  A name, though, must stay the name of one food only.
    """

    __slots__ = ("_by_id", "_by_name", "_index", "_named", "_near")

    def __init__(self, foods: Iterable[Food]) -> None:
        self._by_id: Final = {food.id: food for food in foods}
        # Both are made when first asked for: a sheet needs neither.
        self._named: tuple[Named, ...] | None = None
        self._by_name: dict[tuple[str, ...], str] | None = None
        self._index: Index | None = None
        self._near: dict[str, tuple[str, ...]] = {}

    def __len__(self) -> int:
        return len(self._by_id)

    def __iter__(self) -> Iterator[Food]:
        return iter(self._by_id.values())

    def __contains__(self, food_id: object) -> bool:
        return food_id in self._by_id

    def food(self, food_id: str) -> Food:
        """The food with this id.

        Raises
        ------
        Mistake
            ``unknown-food``, with the three nearest names.
        """
        try:
            return self._by_id[food_id]
        except KeyError:
            raise self._unknown(food_id) from None

    def named(self, phrase: str) -> tuple[Food, str]:
        """The food that a written phrase names, and the words taken off its front.

        >>> # pantry.named("finely chopped onions") → (onion, "finely chopped")

        Raises
        ------
        Mistake
            ``unknown-food`` when the phrase is no whole name of one food.
        """
        words = fold(phrase)
        names = self._names()
        if words in names:
            return self._by_id[names[words]], ""
        taken, rest = without_preparation(words)
        if rest in names and taken:
            return self._by_id[names[rest]], " ".join(taken)
        raise self._unknown(phrase)

    def search(self, text: str, most: int = 10) -> tuple[Food, ...]:
        """Foods for plain words, the likeliest first; misspellings are forgiven."""
        return self._search_index().ranked(text, most)

    def with_foods(self, foods: Iterable[Food]) -> Pantry:
        """A pantry that also holds ``foods`` (same id: the newcomer wins)."""
        return Pantry({**self._by_id, **{food.id: food for food in foods}}.values())

    def _names(self) -> dict[tuple[str, ...], str]:
        if self._by_name is None:
            names: dict[tuple[str, ...], str] = {}
            for food, phrases in self._all_named():
                for phrase in phrases:
                    names.setdefault(phrase, food.id)
            self._by_name = names
        return self._by_name

    def _all_named(self) -> tuple[Named, ...]:
        if self._named is None:
            self._named = tuple((food, names_of(food)) for food in self)
        return self._named

    def _search_index(self) -> Index:
        if self._index is None:
            self._index = Index(self._all_named())
        return self._index

    def _unknown(self, phrase: str) -> Mistake:
        near = self._near.get(phrase)
        if near is None:  # a recipe asks for the same food again and again, and so do others
            near = tuple(one.id for one in self._search_index().nearest(phrase, SUGGESTIONS))
            if len(self._near) >= MOST_UNKNOWN:
                self._near.clear()
            self._near[phrase] = near
        mend = "name a food of the pantry"
        if near:
            mend = "did you mean " + " or ".join(near) + "?"
        return Mistake(
            "unknown-food",
            what=f"no food is called {phrase.strip()[:80]!r}",
            mend=f"{mend} ('fellfare food WORDS' searches; --help says how to add your own)",
        )
