"""Whatever was done to a document can be taken back, and what was taken back stays in sight."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fellfare.book import Book
from fellfare.mistake import Mistake

Refused = Callable[[Callable[[], object]], str]


def test_a_deleted_document_can_be_taken_back(book: Book, refused: Refused) -> None:
    book.save("recipe", "soup", "x", None)
    assert book.delete("recipe", "soup", 1).deleted
    assert book.names("recipe") == ()
    assert book.names("recipe", deleted=True) == ("soup",)
    assert [one.text for one in book.all("recipe", deleted=True)] == ["x"]
    assert refused(lambda: book.get("recipe", "soup")) == "book-no-such-document"
    assert book.get("recipe", "soup", 1).text == "x"
    assert refused(lambda: book.delete("recipe", "soup")) == "book-deleted-already"
    back = book.undelete("recipe", "soup", by="Tansy")
    assert (back.text, back.revision, back.act, back.saved_by) == ("x", 3, "undelete", "Tansy")
    assert refused(lambda: book.undelete("recipe", "soup")) == "book-not-deleted"


def test_an_older_revision_comes_back_as_a_new_one(book: Book) -> None:
    for number in (1, 2, 3):
        book.save("recipe", "soup", str(number), number - 1 or None)
    assert book.restore("recipe", "soup", 1).text == "1"
    assert [one.text for one in book.history("recipe", "soup")] == ["1", "3", "2", "1"]
    book.delete("recipe", "soup")
    assert book.restore("recipe", "soup", 3).text == "3"
    assert book.get("recipe", "soup").act == "restore"


def test_a_renamed_document_keeps_its_history(book: Book, refused: Refused) -> None:
    book.save("recipe", "soup", "1", None)
    book.save("recipe", "stew", "2", None)
    assert refused(lambda: book.rename("recipe", "soup", "Stew")) == "book-name-taken"
    assert book.rename("recipe", "soup", "broth").name == "broth"
    assert book.names("recipe") == ("broth", "stew")
    assert [one.name for one in book.history("recipe", "broth")] == ["broth", "soup"]
    assert refused(lambda: book.get("recipe", "soup")) == "book-no-such-document"
    assert book.rename("recipe", "broth", "Broth").name == "Broth"  # only a capital
    book.delete("recipe", "stew")
    assert refused(lambda: book.rename("recipe", "broth", "stew")) == "book-name-taken"
    assert book.undo_of("recipe", "broth").name == "broth"
    assert book.undo_of("recipe", "broth").name == "soup"


def test_undo_goes_back_step_by_step_to_nothing(book: Book, refused: Refused) -> None:
    book.save("recipe", "soup", "1", None)
    book.save("recipe", "soup", "2", 1)
    book.save("recipe", "soup", "3", 2)
    assert book.undo_of("recipe", "soup").text == "2"
    assert book.undo_of("recipe", "soup").text == "1"
    assert book.undo_of("recipe", "soup").deleted
    assert refused(lambda: book.undo_of("recipe", "soup")) == "book-nothing-to-undo"
    # Nothing was lost on the way.
    texts = [one.text for one in reversed(book.history("recipe", "soup"))]
    assert texts == ["1", "2", "3", "2", "1", "1"]
    book.restore("recipe", "soup", 3)
    assert book.undo_of("recipe", "soup").deleted


def test_undo_after_a_new_save_takes_back_that_save(book: Book) -> None:
    book.save("recipe", "soup", "1", None)
    book.save("recipe", "soup", "2", 1)
    book.undo_of("recipe", "soup")
    book.save("recipe", "soup", "4", 3)
    assert book.undo_of("recipe", "soup").text == "1"


def test_undo_of_the_book_takes_the_last_change_of_all(book: Book, refused: Refused) -> None:
    book.save("recipe", "soup", "1", None)
    book.save("trip", "round", "1", None)
    book.save("recipe", "soup", "2", 1)
    assert (book.undo().kind, book.get("recipe", "soup").text) == ("recipe", "1")
    assert book.undo().kind == "trip"
    assert book.undo().name == "soup"
    assert book.names("recipe") == book.names("trip") == ()
    assert refused(book.undo) == "book-nothing-to-undo"


def test_in_a_club_undo_takes_back_ones_own_change(book: Book, refused: Refused) -> None:
    book.save("recipe", "soup", "1", None, by="Tansy")
    book.save("recipe", "stew", "1", None, by="Corrie")
    assert book.undo(by="Tansy").name == "soup"
    assert book.names("recipe") == ("stew",)
    assert refused(lambda: book.undo(by="Tansy")) == "book-nothing-to-undo"


#: What may happen to one document, as one letter each.
STEPS = st.lists(st.sampled_from("sdurR"), max_size=12)


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_undoing_everything_goes_back_through_every_state(book: Book, steps: list[str]) -> None:
    name = f"walk-{book.stamp()}"
    book.save("log", name, "0", None)
    states = [(name, "0", False)]
    for number, step in enumerate(steps, 1):
        now, _, deleted = states[-1]
        newest = book.history("log", now)[0].revision
        if step == "s":
            kept = book.save("log", now, f"{number}", newest)
        elif step == "d" and not deleted:
            kept = book.delete("log", now)
        elif step == "u" and deleted:
            kept = book.undelete("log", now)
        elif step == "r":
            kept = book.restore("log", now, 1)
        elif step == "R":
            kept = book.rename("log", now, f"{name}-{number}")
        else:
            continue
        states.append((kept.name, kept.text, kept.deleted))
    for state in reversed(states[:-1]):
        kept = book.undo_of("log", states[-1][0])
        states[-1] = (kept.name, kept.text, kept.deleted)
        assert states[-1] == state
    assert book.undo_of("log", name).deleted
    with pytest.raises(Mistake, match="book-nothing-to-undo"):
        book.undo_of("log", name)
