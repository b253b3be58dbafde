"""Are the book's tables of today's shape?  If not, bring them there."""

from __future__ import annotations

from pathlib import Path
from threading import Lock
from typing import Final

from sqlalchemy import Connection, Engine, inspect, text

from fellfare.book.backup import copy_file
from fellfare.book.engine import reading, writing
from fellfare.mistake import Mistake

#: The newest step in ``migrations/versions``; a test compares.
HEAD: Final = "0004"

_MIGRATIONS: Final = Path(__file__).parent / "migrations"
#: Key of the lock under which one process of many brings a PostgreSQL book up to date.
_LOCK_KEY: Final = 0x66656C6C
#: alembic keeps its context in module variables: one thread at a time.
_ONE_AT_A_TIME: Final = Lock()


def bring_up_to_date(engine: Engine) -> None:
    """Make the tables, or change them as the steps say; nothing when they are right.

    A SQLite book of an earlier Fellfare is copied first, to ``….before-NNNN`` beside it.

    Raises
    ------
    Mistake
        ``book-too-new`` for a book of a later Fellfare, ``book-not-a-book`` for a database
        of something else.
    """
    with reading(engine) as connection:
        step = _step_of(connection, engine)
    if step == HEAD:
        return  # the usual case, without the half second that alembic's import takes
    if step is not None and engine.dialect.name == "sqlite":
        _keep_a_copy(Path(str(engine.url.database)))
    with _ONE_AT_A_TIME, writing(engine) as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK_KEY})
        if _step_of(connection, engine) != HEAD:
            _run(connection)


def _keep_a_copy(path: Path) -> None:
    copy = path.with_name(f"{path.name}.before-{HEAD}")
    if not copy.exists():
        copy_file(path, copy)


def _step_of(connection: Connection, engine: Engine) -> str | None:
    """The step at which the book stands; None for an empty database."""
    tables = set(inspect(connection).get_table_names())
    if "alembic_version" not in tables:
        if tables:
            raise _foreign(engine)
        return None
    step = connection.scalar(text("SELECT version_num FROM alembic_version"))
    if step is not None and "revision" not in tables:
        raise _foreign(engine)
    if step is not None and step > HEAD:
        raise Mistake(
            "book-too-new",
            "the book was written by a later Fellfare",
            "bring Fellfare up to date; the book was not touched",
            engine.url.database or "",
        )
    return None if step is None else str(step)


def _foreign(engine: Engine) -> Mistake:
    return Mistake(
        "book-not-a-book",
        "this is the database of something else",
        "name a file that is not there yet, or an empty database",
        engine.url.database or "",
    )


def _run(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
