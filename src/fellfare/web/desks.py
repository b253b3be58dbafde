"""Whose book is opened for a request?  One's own; or, in a club, that of whoever is signed in."""

from __future__ import annotations

from threading import Lock
from typing import Final, Protocol

from msgspec import Struct

from fellfare.book import Accounts, Book, Member, Shelf
from fellfare.web.foods_at_hand import FoodsAtHand
from fellfare.web.recipes_at_hand import RecipesAtHand

#: The cookie of a session; it holds the token and nothing else.
SESSION_COOKIE: Final = "fellfare-session"


class Desk(Struct, frozen=True):
    """An open book with what is kept at hand of it."""

    book: Book
    foods: FoodsAtHand
    recipes: RecipesAtHand
    #: Who is signed in; None on one's own machine.
    member: Member | None = None


class Desks(Protocol):
    """Where a request finds its book."""

    @property
    def shelf(self) -> Shelf:
        """The database that all of it lies in."""

    @property
    def accounts(self) -> Accounts | None:
        """Members and their sessions; None on one's own machine."""

    def desk(self, token: str | None) -> Desk | None:
        """The desk of whoever holds the session; None = nobody does."""


class OwnDesk:
    """One book, on one's own machine: no names, no passwords."""

    def __init__(self, book: Book) -> None:
        foods = FoodsAtHand(book)
        self._desk = Desk(book, foods, RecipesAtHand(book, foods))
        self.shelf = book.shelf

    @property
    def accounts(self) -> None:
        """There are none."""
        return None

    def desk(self, token: str | None) -> Desk:
        """Always the same one."""
        del token
        return self._desk


class ClubDesks:
    """The books of clubs: each member finds that of their own, and no other."""

    def __init__(self, shelf: Shelf) -> None:
        self.shelf, self._accounts = shelf, shelf.accounts
        self._lock = Lock()
        self._at_hand: dict[int, tuple[FoodsAtHand, RecipesAtHand]] = {}

    @property
    def accounts(self) -> Accounts:
        """Members and their sessions."""
        return self._accounts

    def desk(self, token: str | None) -> Desk | None:
        """The club's book as this member may use it."""
        member = self._accounts.member_of(token) if token else None
        if member is None:
            return None
        foods, recipes = self._club(member.club_id)
        return Desk(self._accounts.book(member), foods, recipes, member)

    def _club(self, club_id: int) -> tuple[FoodsAtHand, RecipesAtHand]:
        with self._lock:
            if club_id not in self._at_hand:
                read_only = Book(self.shelf, club_id, role="reader")
                foods = FoodsAtHand(read_only)
                self._at_hand[club_id] = foods, RecipesAtHand(read_only, foods)
            return self._at_hand[club_id]
