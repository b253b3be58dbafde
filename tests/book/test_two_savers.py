"""Of two edits of one document the second is told, is shown both, and can put them together."""

from __future__ import annotations

import pickle
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from sqlalchemy import text

from fellfare.book import Book, ChangedMeanwhile, merge, open_book
from fellfare.mistake import Mistake

SOUP = 'title = "Soup"\nserves = 1\n\n[[line]]\nfood = "bulgur"\namount = "90 g"\n'


def test_the_second_of_two_edits_is_told_and_shown_both(book: Book) -> None:
    book.save("recipe", "soup", SOUP, None, by="Tansy")
    theirs = SOUP.replace("90 g", "100 g")
    mine = SOUP.replace("serves = 1", "serves = 2")
    book.save("recipe", "soup", theirs, 1, by="Corrie")
    with pytest.raises(ChangedMeanwhile, match="book-changed-meanwhile") as caught:
        book.save("recipe", "soup", mine, 1, by="Tansy")
    told = caught.value.meanwhile
    assert caught.value.code == "book-changed-meanwhile"
    assert "Corrie" in caught.value.what
    assert told.base is not None
    assert (told.base.text, told.mine, told.theirs.text) == (SOUP, mine, theirs)
    assert book.get("recipe", "soup").text == theirs  # nothing was overwritten
    merged = merge(told.base.text, told.mine, told.theirs.text)
    assert merged.conflicts == ()
    kept = book.save("recipe", "soup", merged.text, told.theirs.revision, by="Tansy")
    assert kept.revision == 3
    assert "serves = 2" in kept.text
    assert "100 g" in kept.text


def test_a_new_document_never_takes_the_place_of_another(book: Book) -> None:
    book.save("recipe", "Soup", "old", None)
    with pytest.raises(ChangedMeanwhile) as caught:
        book.save("recipe", "soup", "new", None)
    assert caught.value.meanwhile.base is None
    assert caught.value.meanwhile.theirs.text == "old"


def test_an_edit_of_what_was_deleted_meanwhile_is_told(book: Book) -> None:
    book.save("recipe", "soup", "old", None)
    book.delete("recipe", "soup", 1)
    with pytest.raises(ChangedMeanwhile, match="deleted") as caught:
        book.save("recipe", "soup", "mine", 1)
    assert caught.value.meanwhile.theirs.deleted
    # Saved on top of the deletion it is there again, with its history.
    assert book.save("recipe", "soup", "mine", 2).revision == 3
    assert book.get("recipe", "soup").text == "mine"


@pytest.mark.parametrize("step", ["delete", "rename", "restore", "undo_of"])
def test_no_step_steps_over_a_save_it_has_not_seen(book: Book, step: str) -> None:
    book.save("recipe", "soup", "1", None)
    book.save("recipe", "soup", "2", 1)
    calls = {
        "delete": lambda: book.delete("recipe", "soup", 1),
        "rename": lambda: book.rename("recipe", "soup", "broth", based_on=1),
        "restore": lambda: book.restore("recipe", "soup", 1, based_on=1),
        "undo_of": lambda: book.undo_of("recipe", "soup", based_on=1),
    }
    with pytest.raises(ChangedMeanwhile):
        calls[step]()
    assert book.get("recipe", "soup").text == "2"


def test_the_mistake_travels_between_processes(book: Book) -> None:
    book.save("recipe", "soup", "1", None)
    with pytest.raises(ChangedMeanwhile) as caught:
        book.save("recipe", "soup", "2", None)
    sent = pickle.loads(pickle.dumps(caught.value.at("form")))
    assert sent.meanwhile == caught.value.meanwhile
    assert sent.where == "form > recipe soup"
    assert str(sent) == str(caught.value.at("form"))


def test_of_many_savers_at_once_one_wins_each_round_and_nothing_is_lost(address: str) -> None:
    books = [open_book(address) for _ in range(4)]
    books[0].save("log", "camp", "0\n", None)

    all_have_read = Barrier(4)  # so that the first round is a clash for three of them

    def add(which: int) -> int:
        """Append ten lines, each time on top of what is there; how often somebody was faster."""
        clashes = 0
        for line in range(10):
            while True:
                seen = books[which].get("log", "camp")
                if line == clashes == 0:
                    all_have_read.wait(20)
                try:
                    books[which].save("log", "camp", f"{seen.text}{which}-{line}\n", seen.revision)
                    break
                except ChangedMeanwhile:
                    clashes += 1
        return clashes

    with ThreadPoolExecutor(4) as pool:
        clashes = sum(pool.map(add, range(4)))
    lines = books[0].get("log", "camp").text.splitlines()
    history = books[0].history("log", "camp")
    for book in books:
        book.close()
    assert sorted(lines[1:]) == sorted(f"{w}-{n}" for w in range(4) for n in range(10))
    assert [one.revision for one in history] == list(range(41, 0, -1))
    assert clashes >= 3


def test_of_many_who_begin_the_same_document_one_wins(address: str) -> None:
    books = [open_book(address) for _ in range(6)]

    def begin(which: int) -> bool:
        try:
            return books[which].save("trip", "round", f"{which}", None).revision == 1
        except ChangedMeanwhile as told:
            return told.meanwhile.theirs.text == str(which)

    with ThreadPoolExecutor(6) as pool:
        won = list(pool.map(begin, range(6)))
    history = books[0].history("trip", "round")
    for book in books:
        book.close()
    assert won.count(True) == 1
    assert [one.text for one in history] == [str(won.index(True))]


def test_who_finds_the_book_taken_is_told_to_try_again(
    file: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fellfare.book.engine.PATIENCE_S", 0)
    with open_book(file) as one, open_book(file) as other, one.shelf.writing():
        with pytest.raises(Mistake, match="book-busy"):
            other.save("log", "camp", "x", None)
        assert other.names("log") == ()  # whoever only reads never waits


def test_a_server_that_went_away_is_told_and_come_back_is_used(empty_postgresql: str) -> None:
    with open_book(empty_postgresql) as book, open_book(empty_postgresql) as other:

        def cut_off() -> None:
            with book.shelf.writing() as connection:
                pid = connection.scalar(text("SELECT pg_backend_pid()"))
                with other.shelf.reading() as second:
                    second.execute(text("SELECT pg_terminate_backend(:pid)"), {"pid": pid})
                connection.execute(text("SELECT 1"))

        with pytest.raises(Mistake, match="book-unreachable"):
            cut_off()
        assert book.save("log", "camp", "x", None).revision == 1
