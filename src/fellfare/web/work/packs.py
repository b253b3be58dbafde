"""Which cupboard belongs to a trip of the book, and what it gives a menu."""

from __future__ import annotations

from typing import Final

from fellfare.book import Book
from fellfare.menu.pool import Pack
from fellfare.pantry.pantry import Pantry
from fellfare.provision.trip.priced import menu_packs
from fellfare.web.documents import own_of

#: Name of a cupboard that came from a folder with one trip.
COMMON: Final = "provision"


def packs_text(book: Book, trip: str) -> str:
    """The text of the trip's cupboard, or of the only trip's common one; '' = nothing is told."""
    names = book.names("provision")
    if trip in names:
        return book.get("provision", trip).text
    if COMMON in names and len(book.names("trip")) == 1:
        return book.get("provision", COMMON).text
    return ""


def packs_of_text(text: str, pantry: Pantry) -> tuple[Pack, ...]:
    """Packs with a price, and what is at home.

    Raises
    ------
    Mistake
        As :func:`fellfare.web.documents.own_of`.
    """
    return menu_packs(own_of(text, pantry)) if text else ()
