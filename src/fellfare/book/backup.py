"""How is a running book copied?  Into one SQLite file that is a book itself."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sqlalchemy import Connection, Table, func, insert, select

from fellfare.book.tables import CLUB, DOCUMENT, MEMBER, REVISION, TICK
from fellfare.mistake import Mistake

if TYPE_CHECKING:
    from fellfare.book.shelf import Shelf

#: Rows that are copied at a time.
_AT_ONCE: Final = 200


def back_up(shelf: Shelf, club_id: int, path: Path, *, replace: bool = False) -> Path:
    """Copy a club's book, as of one moment, while others go on saving.

    From one's own SQLite file the whole of it, by the engine's own backup; from PostgreSQL, or
    where there are accounts, the club's documents, revisions and ticks (no accounts, no jobs).
    Either way the copy can be opened as a book, is checked before it takes its name, and is
    never to be seen half.

    Raises
    ------
    Mistake
        ``file-exists`` unless ``replace``; ``file-unwritable``; ``book-backup-failed``.
    """
    if os.path.lexists(path) and not replace:
        raise Mistake(
            "file-exists",
            "the file is there already",
            "choose another name, or say --replace",
            str(path),
        )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=path.parent, prefix=".fellfare-") as folder:
            copy = Path(folder) / "copy"
            if shelf.kind == "sqlite" and _alone(shelf):
                copy_file(Path(str(shelf.engine.url.database)), copy)
            else:
                _copy_rows(shelf, club_id, copy)
            _check(copy)
            _into_place(copy, path)
    except OSError as error:
        raise Mistake(
            "file-unwritable",
            f"cannot be written ({error.strerror or type(error).__name__})",
            "choose another name or folder",
            str(path),
        ) from error
    return path


def _alone(shelf: Shelf) -> bool:
    """One book and no accounts: then there is nothing in the file that is not one's own."""
    with shelf.reading() as connection:
        clubs = connection.scalar(select(func.count()).select_from(CLUB)) or 0
        members = connection.scalar(select(func.count()).select_from(MEMBER)) or 0
    return clubs == 1 and members == 0


def copy_file(source: Path, target: Path) -> None:
    """The engine's own backup (sqlite.org, "SQLite Backup API"): right also while others write."""
    os.close(os.open(target, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(target)) as new:
            old.backup(new)
            # One file, not three: whoever carries it away forgets nothing.
            new.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.Error as error:
        raise _failed(target, str(error)) from error


def _copy_rows(shelf: Shelf, club_id: int, path: Path) -> None:
    from fellfare.book.shelf import open_shelf

    with open_shelf(path, clock=shelf.clock) as copy:
        own = copy.own_club()
        with shelf.reading(steady=True) as source, copy.writing() as target:
            documents = select(DOCUMENT.c.id).where(DOCUMENT.c.club_id == club_id)
            _copy(source, target, DOCUMENT, DOCUMENT.c.club_id == club_id, {"club_id": own})
            _copy(source, target, REVISION, REVISION.c.document_id.in_(documents), {})
            _copy(source, target, TICK, TICK.c.document_id.in_(documents), {})
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA journal_mode=DELETE")


def _copy(
    source: Connection, target: Connection, table: Table, where: object, changed: dict[str, int]
) -> None:
    rows = source.execute(select(table).where(where))  # type: ignore[arg-type] # a condition
    for some in rows.mappings().partitions(_AT_ONCE):
        target.execute(insert(table), [dict(row) | changed for row in some])


def _check(path: Path) -> None:
    """Would the copy be of use?"""
    with closing(sqlite3.connect(path)) as raw:
        told = raw.execute("PRAGMA integrity_check").fetchone()[0]
        lost = raw.execute("PRAGMA foreign_key_check").fetchone()
    if told != "ok" or lost is not None:
        raise _failed(path, "the copy does not hold together")


def _into_place(copy: Path, path: Path) -> None:
    with copy.open("rb+") as file:
        os.fsync(file.fileno())
    copy.replace(path)
    if os.name == "posix":  # the name too must outlive a loss of power
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _failed(path: Path, why: str) -> Mistake:
    return Mistake(
        "book-backup-failed",
        f"the book could not be copied ({why})",
        "is there room on the disk?  The book itself was not touched",
        str(path),
    )
