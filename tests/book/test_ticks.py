"""Ticks stay, belong to one list of one document, and make no revision."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fellfare.book import Book, open_book

Refused = Callable[[Callable[[], object]], str]


def test_ticks_stay(address: str) -> None:
    with open_book(address) as book:
        book.save("trip", "round", "x", None)
        book.set_tick("trip", "round", "shopping", "bulgur, 2 packs", by="Tansy")
        book.set_tick("trip", "round", "shopping", "walnuts")
        book.set_tick("trip", "round", "shopping", "walnuts")
        book.set_tick("trip", "round", "prep", "dry the peppers")
    with open_book(address) as book:
        assert book.ticks("trip", "round", "shopping") == {"bulgur, 2 packs", "walnuts"}
        book.set_tick("trip", "round", "shopping", "walnuts", done=False)
        book.set_tick("trip", "round", "shopping", "never ticked", done=False)
        assert book.ticks("trip", "round", "shopping") == {"bulgur, 2 packs"}
        book.clear_ticks("trip", "round", "shopping")
        assert book.ticks("trip", "round", "shopping") == frozenset()
        assert book.ticks("trip", "round", "prep") == {"dry the peppers"}
        assert len(book.history("trip", "round")) == 1


def test_ticks_go_along_with_a_new_name(book: Book) -> None:
    book.save("trip", "round", "x", None)
    book.set_tick("trip", "round", "shopping", "bulgur")
    book.rename("trip", "round", "ring")
    assert book.ticks("trip", "ring", "shopping") == {"bulgur"}


def test_no_tick_without_its_document(book: Book, refused: Refused) -> None:
    assert refused(lambda: book.ticks("trip", "round", "x")) == "book-no-such-document"
    assert refused(lambda: book.set_tick("trip", "round", "x", "y")) == "book-no-such-document"
    book.save("trip", "round", "x", None)
    book.delete("trip", "round")
    assert refused(lambda: book.set_tick("trip", "round", "x", "y")) == "book-no-such-document"


@pytest.mark.parametrize(
    ("list_name", "item"),
    [("", "y"), ("x", ""), ("x" * 61, "y"), ("x", "a\nb"), ("x", "a\0"), ("a\ud800", "y")],
)
def test_a_tick_is_one_line(book: Book, refused: Refused, list_name: str, item: str) -> None:
    book.save("trip", "round", "x", None)
    assert refused(lambda: book.set_tick("trip", "round", list_name, item)) == "book-bad-tick"


def test_a_list_that_cannot_be_is_not_looked_for(book: Book, refused: Refused) -> None:
    book.save("trip", "round", "x", None)
    assert refused(lambda: book.ticks("trip", "round", "a\0b")) == "book-bad-tick"
    assert refused(lambda: book.clear_ticks("trip", "round", "a\ud800")) == "book-bad-tick"
