"""Every recipe of the book with its dish, reckoned once per revision and not once per page."""

from __future__ import annotations

from threading import Lock

from msgspec import Struct

from fellfare.book import Book, Document
from fellfare.mistake import Mistake
from fellfare.recipe.document import Recipe
from fellfare.web.dish import Dish, dish_of
from fellfare.web.documents import recipe_of
from fellfare.web.foods_at_hand import FoodsAtHand


class Listed(Struct, frozen=True):
    """One recipe of the list; without a ``dish``, ``mistake`` says why."""

    name: str
    revision: int
    text: str
    title: str
    recipe: Recipe | None
    dish: Dish | None
    mistake: Mistake | None


class RecipesAtHand:
    """Keeps what was reckoned until the recipe or an own food changes."""

    def __init__(self, book: Book, foods: FoodsAtHand) -> None:
        self._book, self._foods = book, foods
        self._lock = Lock()
        self._stamp: int | None = None
        self._food_stamp: int | None = None
        self._rows: dict[str, Listed] = {}

    def all(self) -> tuple[Listed, ...]:
        """Every recipe, by name."""
        with self._lock:
            self._forget_if_foods_changed()
            stamp = self._book.stamp("recipe")
            if stamp != self._stamp:
                known = self._rows
                documents = self._book.all("recipe")
                self._rows = {one.name: self._row(one, known.get(one.name)) for one in documents}
                self._stamp = stamp
            return tuple(self._rows.values())

    def of(self, document: Document) -> Listed:
        """The same for one document that was just read."""
        with self._lock:
            self._forget_if_foods_changed()
            row = self._row(document, self._rows.get(document.name))
            if row is not self._rows.get(document.name):
                self._rows[document.name] = row
                self._stamp = None  # the list is put in order again before it is shown
            return row

    def _forget_if_foods_changed(self) -> None:
        stamp = self._foods.stamp()
        if stamp != self._food_stamp:
            self._rows, self._stamp, self._food_stamp = {}, None, stamp

    def _row(self, document: Document, known: Listed | None) -> Listed:
        if known is not None and known.revision == document.revision:
            return known
        recipe, dish, told = None, None, None
        try:
            recipe = recipe_of(document.text, document.name)
            dish = dish_of(recipe, self._foods.pantry(), self._foods.said())
        except Mistake as mistake:
            told = mistake
        title = document.name.replace("-", " ") if recipe is None else recipe.title
        return Listed(document.name, document.revision, document.text, title, recipe, dish, told)
