"""Which foods are at hand?  The shipped table, and on top of it the book's own."""

from __future__ import annotations

from threading import Lock

from fellfare.book import Book, Document
from fellfare.files.own_food import shadowed
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.web.documents import food_of


class FoodsAtHand:
    """Reads the book's own foods once per change of them, not once per page."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._lock = Lock()
        self._stamp: int | None = None
        self._pantry = shipped_pantry()
        self._own: tuple[Food, ...] = ()
        self._names: dict[str, str] = {}
        self._said: tuple[Finding, ...] = ()
        self._unread: tuple[tuple[str, Mistake], ...] = ()

    def pantry(self) -> Pantry:
        """Every food that a line may name."""
        self._refresh()
        return self._pantry

    def own(self) -> tuple[Food, ...]:
        """The book's own foods, as far as they can be read."""
        self._refresh()
        return self._own

    def names(self) -> dict[str, str]:
        """Id of an own food → name of its document."""
        self._refresh()
        return self._names

    def said(self) -> tuple[Finding, ...]:
        """What is odd about their labels, and which stand in place of a shipped one."""
        self._refresh()
        return self._said

    def unread(self) -> tuple[tuple[str, Mistake], ...]:
        """(document, mistake) of own foods that cannot be read: they are left out, not lost."""
        self._refresh()
        return self._unread

    def stamp(self) -> int:
        """Changes whenever an own food does."""
        return self._book.stamp("food")

    def _refresh(self) -> None:
        stamp = self.stamp()
        with self._lock:
            if stamp != self._stamp:
                self._read(self._book.all("food"))
                self._stamp = stamp

    def _read(self, documents: tuple[Document, ...]) -> None:
        own: dict[str, Food] = {}
        names: dict[str, str] = {}
        said: list[Finding] = []
        unread: list[tuple[str, Mistake]] = []
        for document in documents:
            try:
                food, findings = food_of(document.text, document.name)
                if food.id in own:
                    raise Mistake(
                        "food-twice",
                        f"the id {food.id!r} is taken by {names[food.id]!r}",
                        "give each food an id of its own",
                        document.name,
                    )
            except Mistake as mistake:
                unread.append((document.name, mistake))
                continue
            own[food.id], names[food.id] = food, document.name
            said += findings
        self._own, self._names, self._unread = tuple(own.values()), names, tuple(unread)
        self._said = (*said, *shadowed(self._own, shipped_pantry()))
        self._pantry = shipped_pantry().with_foods(self._own) if own else shipped_pantry()
