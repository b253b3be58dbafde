"""Whose books lie in one database?  A shelf holds one book for each club."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Final

from sqlalchemy import Connection, Engine, insert, select
from sqlalchemy.exc import IntegrityError

from fellfare.book.accounts import Accounts
from fellfare.book.engine import engine_of, reading, writing
from fellfare.book.migrating import bring_up_to_date
from fellfare.book.moving import Moving
from fellfare.book.names import name_key
from fellfare.book.tables import CLUB

Clock = Callable[[], datetime]

#: Name of the one book on one's own machine.
OWN: Final = "own"


def now() -> datetime:
    """The clock of the machine, in UTC."""
    return datetime.now(UTC)


class Shelf:
    """An open database; may be used by many threads at once."""

    def __init__(self, engine: Engine, clock: Clock) -> None:
        self.engine, self.clock = engine, clock
        self.moving = Moving(engine)

    def reading(self, *, steady: bool = False) -> AbstractContextManager[Connection]:
        """A connection to read by."""
        return reading(self.engine, steady=steady)

    def writing(self) -> AbstractContextManager[Connection]:
        """One transaction, kept whole or not at all."""
        return writing(self.engine)

    @property
    def kind(self) -> str:
        """'sqlite' or 'postgresql'."""
        return self.engine.dialect.name

    @property
    def accounts(self) -> Accounts:
        """Clubs and their members."""
        return Accounts(self)

    def own_club(self) -> int:
        """Number of the club whose book is opened when none is named; made when missing."""
        wanted = select(CLUB.c.id).where(CLUB.c.name_key == name_key(OWN))
        with self.reading() as connection:
            found = connection.scalar(wanted)
        if found is None:
            found = self._found_own()
        return int(found)

    def _found_own(self) -> int:
        row = {"name": OWN, "name_key": name_key(OWN), "founded_at": self.clock()}
        with self.writing() as connection:
            try:
                with connection.begin_nested():
                    connection.execute(insert(CLUB).values(**row))
            except IntegrityError:
                pass  # another process opened it at the same moment
            return int(
                connection.scalars(select(CLUB.c.id).where(CLUB.c.name_key == name_key(OWN))).one()
            )

    def close(self) -> None:
        """Let go of the database."""
        self.moving.close()
        self.engine.dispose()

    def __enter__(self) -> Shelf:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def open_shelf(address: str | Path, *, clock: Clock = now) -> Shelf:
    """Open a database, and bring its tables up to date.

    Raises
    ------
    Mistake
        ``book-bad-address``, ``book-unwritable``, ``book-unreachable``, ``book-not-a-book``,
        ``book-too-new``, ``club-extra-missing``.
    """
    engine = engine_of(address)
    try:
        bring_up_to_date(engine)
    except BaseException:
        engine.dispose()
        raise
    return Shelf(engine, clock)
