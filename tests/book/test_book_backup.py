"""A backup is taken while others save, is a book itself, and is never to be seen half."""

from __future__ import annotations

import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from threading import Event, Thread

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import text

import fellfare.book
from fellfare.book import Book, open_book
from fellfare.book.engine import engine_of, writing
from fellfare.book.migrating import HEAD

Refused = Callable[[Callable[[], object]], str]


def test_a_backup_is_a_book(book: Book, tmp_path: Path) -> None:
    book.save("recipe", "soup", "1", None, by="Tansy")
    book.save("recipe", "soup", "2", 1)
    book.delete("recipe", "soup")
    book.save("trip", "round", "x", None)
    book.set_tick("trip", "round", "shopping", "bulgur")
    path = book.backup(tmp_path / "new" / "copy.fellfare")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [each.name for each in path.parent.iterdir()] == ["copy.fellfare"]
    with open_book(path) as copy:
        assert copy.history("recipe", "soup") == book.history("recipe", "soup")
        assert copy.ticks("trip", "round", "shopping") == {"bulgur"}
        copy.undelete("recipe", "soup")
        copy.save("log", "new", "x", None)


def test_a_backup_holds_together_while_others_save(address: str, tmp_path: Path) -> None:
    stop, saved = Event(), [0]

    def keep_saving() -> None:
        with open_book(address) as book:
            while not stop.is_set():
                # Two documents in step: in a copy of one moment they differ by one at most.
                for name in ("left", "right"):
                    number = saved[0]
                    book.save("log", name, str(number), number or None)
                saved[0] += 1

    writer = Thread(target=keep_saving)
    with open_book(address) as book:
        writer.start()
        try:
            while saved[0] < 3:
                stop.wait(0.01)
            paths = [book.backup(tmp_path / f"{number}.fellfare") for number in range(3)]
        finally:
            stop.set()
            writer.join()
    counts = []
    for path in paths:
        with open_book(path) as copy:
            left, right = copy.history("log", "left"), copy.history("log", "right")
        assert len(left) - len(right) in (0, 1)
        assert [int(one.text) for one in left] == list(reversed(range(len(left))))
        counts.append(len(left))
    assert counts == sorted(counts)
    assert counts[0] >= 3


def test_a_backup_writes_over_nothing_unasked(book: Book, tmp_path: Path, refused: Refused) -> None:
    path = tmp_path / "copy"
    path.write_text("mine")
    assert refused(lambda: book.backup(path)) == "file-exists"
    assert path.read_text() == "mine"
    book.backup(path, replace=True)
    open_book(path).close()
    assert refused(lambda: book.backup(path / "x")) == "file-unwritable"


def test_a_backup_that_breaks_leaves_no_file(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(path: Path) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("fellfare.book.backup._check", broken)
    with pytest.raises(ValueError, match="file-unwritable"):
        book.backup(tmp_path / "sub" / "copy")
    assert list((tmp_path / "sub").iterdir()) == []


def test_a_copy_that_does_not_hold_together_is_not_handed_out(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refused: Refused
) -> None:
    if book.shelf.kind == "postgresql":
        return  # its rows are copied through the book's own checks
    book.save("log", "x", "x", None)
    with closing(sqlite3.connect(str(book.shelf.engine.url.database))) as raw:
        raw.execute("UPDATE document SET club_id = 99")
        raw.commit()
    assert refused(lambda: book.backup(tmp_path / "copy")) == "book-backup-failed"
    assert not (tmp_path / "copy").exists()


def test_an_older_book_is_copied_before_it_is_changed(tmp_path: Path) -> None:
    path = tmp_path / "book.fellfare"
    engine = engine_of(path)
    config = Config()
    folder = Path(fellfare.book.__file__).parent / "migrations"
    config.set_main_option("script_location", str(folder))
    with writing(engine) as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        connection.execute(text("INSERT INTO club VALUES (1, 'own', 'own', '2031-05-01 00:00:00')"))
        connection.execute(text("INSERT INTO document VALUES (1, 1, 'log', 'x', 'x', 1, 0)"))
        connection.execute(
            text(
                "INSERT INTO revision VALUES "
                "(1, 1, 1, 'save', 'x', 0, 1, NULL, 'old', '2031-05-01 00:00:00', '')"
            )
        )
    engine.dispose()
    with open_book(path) as book:
        assert book.get("log", "x").text == "old"
        book.jobs.add("menu", {})
    with closing(sqlite3.connect(tmp_path / f"book.fellfare.before-{HEAD}")) as raw:
        assert raw.execute("SELECT text FROM revision").fetchall() == [("old",)]
        assert raw.execute("SELECT version_num FROM alembic_version").fetchall() == [("0001",)]
