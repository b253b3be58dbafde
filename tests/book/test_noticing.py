"""A change is noticed, whoever made it: what is kept at hand of a book hangs on this."""

from __future__ import annotations

from fellfare.book import Book, open_book


def test_what_another_keeps_is_noticed(address: str) -> None:
    with open_book(address) as book, open_book(address) as other:
        seen = [book.stamp("food")]
        assert book.stamp("food") == seen[0]
        other.save("food", "oats", "id = 'oats'", None)
        seen.append(book.stamp("food"))
        other.delete("food", "oats")
        seen.append(book.stamp("food"))
        assert len(set(seen)) == 3


def test_what_one_keeps_oneself_is_noticed(book: Book) -> None:
    seen = [book.stamp("recipe")]
    for number in range(3):
        book.save("recipe", "soup", f"# {number}", number or None)
        seen.append(book.stamp("recipe"))
    assert len(set(seen)) == len(seen)


def test_another_kind_of_document_leaves_a_stamp_as_it_is(book: Book) -> None:
    before = book.stamp("food")
    book.save("recipe", "soup", "# 1", None)
    assert book.stamp("food") == before


def test_a_file_counts_its_commits_and_a_database_does_not_tell(book: Book) -> None:
    first = book.shelf.moving.version()
    book.save("recipe", "soup", "# 1", None)
    second = book.shelf.moving.version()
    if book.shelf.kind == "sqlite":
        assert None not in (first, second)
        assert first != second
    else:
        assert (first, second) == (None, None)


def test_a_book_that_was_let_go_is_looked_at_afresh(address: str) -> None:
    with open_book(address) as book:
        before = book.stamp("food")
    with open_book(address) as other:
        other.save("food", "oats", "id = 'oats'", None)
    assert book.stamp("food") != before
    book.close()
