"""How is the database spoken to?  One engine for SQLite and PostgreSQL, with firm promises.

SQLite: write-ahead log and ``synchronous=FULL``, so that a commit has been handed to the disk
before it is told (sqlite.org, "PRAGMA synchronous"; the manual promises it against a crash of
the program, of the system and loss of power, as far as the disk does not lie).  A writer says
so at once (``BEGIN IMMEDIATE``) and waits for its turn; readers never wait.
PostgreSQL: ``synchronous_commit`` is on for our connections, whatever the server's default.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from fellfare.mistake import Mistake

#: How long a writer waits for another before it gives up [s].
PATIENCE_S: Final = 20
#: Readers and writers at once, of one process.
_POOL: Final = 10
_MOST: Final = 40


def engine_of(address: str | Path) -> Engine:
    """The engine for a file, or for the address of a database.

    Raises
    ------
    Mistake
        ``book-bad-address``, ``book-unwritable``, ``club-extra-missing``.
    """
    url = _url(address)
    if url.get_backend_name() == "sqlite":
        return _sqlite(url)
    return _postgresql(url)


def _url(address: str | Path) -> URL:
    text = str(address)
    if "://" not in text:
        return URL.create("sqlite", database=str(Path(text).expanduser()))
    try:
        url = make_url(text)
    except (ArgumentError, ValueError):
        raise _bad_address("is no address of a database") from None
    if url.drivername in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    if url.drivername not in ("postgresql+psycopg", "sqlite"):
        raise _bad_address(f"names {url.drivername[:40]!r}, which no book can lie in")
    return url


def _bad_address(fault: str) -> Mistake:
    # The address itself is not shown: it may hold a password.
    return Mistake(
        "book-bad-address",
        f"the book's address {fault}",
        "give a file, or 'postgresql+psycopg://user@host/database'",
        "--book",
    )


# -- SQLite -------------------------------------------------------------------------------


def _sqlite(url: URL) -> Engine:
    if not url.database or url.database == ":memory:" or url.database.startswith("file:"):
        raise _bad_address("names no file")
    path = Path(url.database)
    _make_room(path)
    engine = create_engine(
        url,
        connect_args={"timeout": PATIENCE_S},
        pool_size=_POOL,
        max_overflow=_MOST - _POOL,
        pool_timeout=PATIENCE_S,
    )

    @event.listens_for(engine, "connect")
    def set_up(dbapi: sqlite3.Connection, _: object) -> None:
        dbapi.isolation_level = None  # the module starts no transactions behind our back
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
            dbapi.execute(f"PRAGMA {pragma}").close()

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _make_room(path: Path) -> None:
    """The file and its folder, for nobody else's eyes; what is there stays as it is."""
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    except OSError as error:
        raise Mistake(
            "book-unwritable",
            f"the book cannot be written ({error.strerror or type(error).__name__})",
            "choose another file with --book or FELLFARE_BOOK",
            str(path),
        ) from error


# -- PostgreSQL ---------------------------------------------------------------------------


def _postgresql(url: URL) -> Engine:
    try:
        return create_engine(
            url,
            connect_args={"connect_timeout": 10, "options": "-c synchronous_commit=on"},
            pool_size=_POOL,
            max_overflow=_MOST - _POOL,
            pool_timeout=PATIENCE_S,
            pool_pre_ping=True,
        )
    except (ImportError, NoSuchModuleError) as error:
        raise Mistake(
            "club-extra-missing",
            "the driver for PostgreSQL is not installed",
            "install Fellfare with its extra 'club'",
        ) from error


# -- transactions -------------------------------------------------------------------------


@contextmanager
def reading(engine: Engine, *, steady: bool = False) -> Iterator[Connection]:
    """A connection that only reads; ``steady``: as of one moment, however long it takes."""
    options: dict[str, Any] = {}
    if steady and engine.dialect.name == "postgresql":
        options["isolation_level"] = "REPEATABLE READ"
    with _told(engine), engine.connect() as connection:
        yield connection.execution_options(**options)


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """One transaction: when the block ends it is on the disk, when it breaks nothing is."""
    with (
        _told(engine),
        engine.connect() as connection,
        connection.execution_options(writing=True).begin(),
    ):
        yield connection


@contextmanager
def _told(engine: Engine) -> Iterator[None]:
    """The engine's own errors as mistakes, without statements, values or passwords."""
    try:
        yield
    except DBAPIError as error:
        raise _mistake(engine, error) from error
    except PoolTimeout as error:
        raise _busy(engine.url.database or "") from error


def _mistake(engine: Engine, error: DBAPIError) -> Mistake:
    where = engine.url.database or ""
    said = str(error.orig).casefold()
    if engine.dialect.name == "postgresql":
        if error.connection_invalidated or "connect" in said:
            return Mistake(
                "book-unreachable",
                "the database does not answer",
                "is it running, and are name, password and address right?",
                where,
            )
        if "deadlock" in said or "timeout" in said:
            return _busy(where)
    elif "locked" in said or "busy" in said:
        return _busy(where)
    elif "not a database" in said or "malformed" in said:
        return Mistake(
            "book-not-a-book",
            "the file is no book, or it is damaged",
            "name another file; a backup can be opened in its place",
            where,
        )
    elif "readonly" in said or "unable to open" in said:
        return Mistake(
            "book-unwritable",
            "the book cannot be written",
            "choose another file with --book or FELLFARE_BOOK",
            where,
        )
    return Mistake(
        "book-not-kept",
        f"the database refused ({type(error.orig).__name__})",
        "nothing was saved; is there room on the disk?",
        where,
    )


def _busy(where: str) -> Mistake:
    return Mistake(
        "book-busy",
        "others keep the book to themselves",
        "nothing was saved; try again",
        where,
    )
