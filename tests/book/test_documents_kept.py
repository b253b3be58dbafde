"""Documents come back letter by letter, with every revision, on both engines."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fellfare.book import KINDS, Book, open_book
from fellfare.mistake import Mistake

Refused = Callable[[Callable[[], object]], str]


def test_what_was_saved_comes_back(book: Book, clock: Callable[[], datetime]) -> None:
    before = clock()
    kept = book.save("recipe", "bean-soup", 'title = "Bean soup"\n', None, by="Tansy")
    assert book.get("recipe", "bean-soup") == kept
    assert (kept.text, kept.revision, kept.saved_by) == ('title = "Bean soup"\n', 1, "Tansy")
    assert kept.saved_at == before + timedelta(seconds=1)
    assert kept.saved_at.utcoffset() == timedelta(0)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")))
def test_any_text_comes_back_letter_by_letter(book: Book, text: str) -> None:
    newest = book.history("log", "any")[0].revision if "any" in book.names("log") else None
    book.save("log", "any", text, newest)
    assert book.get("log", "any").text == text


@pytest.mark.parametrize(
    "text", ["a\r\nb\rc", "\ufeffbom", "", "\n", "trailing  \t", "ﬁ e\u0301 é"]
)
def test_line_ends_marks_and_blanks_are_left_alone(book: Book, text: str) -> None:
    book.save("food", "odd", text, None)
    assert book.get("food", "odd").text == text


def test_every_save_is_a_revision_of_its_own(book: Book) -> None:
    for number in range(5):
        book.save("menu", "week", f"{number}\n", number or None, by=f"walker {number}")
    told = [(one.revision, one.text, one.saved_by) for one in book.history("menu", "week")]
    assert told == [(n + 1, f"{n}\n", f"walker {n}") for n in reversed(range(5))]
    assert book.get("menu", "week", revision=2).text == "1\n"
    times = [one.saved_at for one in book.history("menu", "week")]
    assert times == sorted(times, reverse=True)
    assert len(set(times)) == 5


def test_the_same_words_again_are_no_second_revision(book: Book) -> None:
    first = book.save("recipe", "soup", "x", None)
    assert book.save("recipe", "soup", "x", 1) == first
    # Sent twice, because the answer to the first got lost on the way.
    assert book.save("recipe", "soup", "x", None) == first
    assert len(book.history("recipe", "soup")) == 1


def test_kinds_do_not_mix(book: Book) -> None:
    for kind in KINDS:
        book.save(kind, "moor", kind, None)
    assert [book.get(kind, "moor").text for kind in KINDS] == list(KINDS)
    assert all(book.names(kind) == ("moor",) for kind in KINDS)


def test_lists_are_in_the_order_of_names_on_any_engine(book: Book) -> None:
    for name in ("Zwieback", "apple", "Äpfel", "Beans", "10 dumplings", "2 dumplings"):
        book.save("recipe", name, name, None)
    names = ("10 dumplings", "2 dumplings", "apple", "Beans", "Zwieback", "Äpfel")
    assert book.names("recipe") == names
    assert tuple(one.name for one in book.all("recipe")) == names
    assert tuple(one.text for one in book.all("recipe")) == names
    assert tuple(one.name for one in book.entries("recipe")) == names


def test_the_book_is_there_when_it_is_opened_again(address: str) -> None:
    with open_book(address) as book:
        book.save("trip", "round", "x = 1\n", None)
    with open_book(address) as book:
        assert book.get("trip", "round").text == "x = 1\n"


def test_the_stamp_changes_with_every_change_and_only_then(book: Book) -> None:
    stamps = [book.stamp("food")]
    book.save("food", "bar", "1", None)
    stamps.append(book.stamp("food"))
    book.save("food", "bar", "2", 1)
    stamps.append(book.stamp("food"))
    book.delete("food", "bar")
    stamps.append(book.stamp("food"))
    assert len(set(stamps)) == 4
    book.save("recipe", "soup", "1", None)
    assert book.stamp("food") == stamps[-1]
    assert book.stamp() != stamps[-1]


def test_a_text_that_fails_the_check_is_not_kept(book: Book, refused: Refused) -> None:
    def check(kind: str, name: str, text: str) -> None:
        if "title" not in text:
            raise Mistake("wrong-shape", f"{kind} {name} has no title", "give one")

    assert refused(lambda: book.save("recipe", "soup", "x = 1", None, check=check)) == "wrong-shape"
    assert book.names("recipe") == ()
    book.save("recipe", "soup", "title = 1", None, check=check)


def test_what_is_not_there_is_said_so(book: Book, refused: Refused) -> None:
    assert refused(lambda: book.get("recipe", "soup")) == "book-no-such-document"
    assert refused(lambda: book.history("recipe", "soup")) == "book-no-such-document"
    assert refused(lambda: book.save("recipe", "soup", "x", 3)) == "book-no-such-document"
    assert refused(lambda: book.delete("recipe", "soup")) == "book-no-such-document"
    book.save("recipe", "soup", "x", None)
    assert refused(lambda: book.get("recipe", "soup", 2)) == "book-no-such-revision"
    assert refused(lambda: book.get("recipe", "soup", 0)) == "book-no-such-revision"
    assert refused(lambda: book.compare("recipe", "soup", 1, 2)) == "book-no-such-revision"
    assert refused(lambda: book.restore("recipe", "soup", 2)) == "book-no-such-revision"
    assert refused(lambda: book.get("soup", "soup")) == "book-unknown-kind"
    assert refused(lambda: book.save("recipe", "soup", "y", 5)) == "book-no-such-revision"


def test_what_no_engine_can_keep_is_refused(book: Book, refused: Refused) -> None:
    assert refused(lambda: book.save("log", "x", "a\0b", None)) == "book-text-unkeepable"
    assert refused(lambda: book.save("log", "x", "a\ud800b", None)) == "book-text-unkeepable"
    large = "ä" * 1_000_001
    assert refused(lambda: book.save("recipe", "x", large, None)) == "book-text-too-large"
    assert book.save("track", "x", large, None).text == large  # a track may be longer
    assert book.names("log") == ()
    with pytest.raises(Mistake, match="line 3"):
        book.save("log", "x", "1\n2\n\0", None)
