"""Where does a document stand in the tables, and what was it at each revision?

Every function is given the club whose book it is, and every statement is bound to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct
from sqlalchemy import Connection, Select, bindparam, func, select

from fellfare.book.document import Document, Entry
from fellfare.book.names import name_key, read_kind, read_name
from fellfare.book.tables import DOCUMENT, REVISION
from fellfare.mistake import Mistake

_BODY = REVISION.alias("body")
_LIGHT = (
    DOCUMENT.c.kind,
    REVISION.c.name,
    REVISION.c.number,
    REVISION.c.saved_at,
    REVISION.c.saved_by,
    REVISION.c.deleted,
    REVISION.c.act,
)


class Spot(Struct, frozen=True, kw_only=True):
    """Which document of which club is meant, with names as the book keeps them."""

    club_id: int
    kind: str
    name: str

    @property
    def where(self) -> str:
        """For a mistake: 'recipe soup'."""
        return f"{self.kind} {self.name}"


class Held(Struct, frozen=True):
    """The row of a document."""

    id: int
    name: str
    newest: int
    deleted: bool


def spot(club_id: int, kind: str, name: str) -> Spot:
    """Read the kind and the name."""
    return Spot(club_id=club_id, kind=read_kind(kind), name=read_name(name))


def held_at(connection: Connection, place: Spot) -> Held | None:
    row = connection.execute(
        select(DOCUMENT.c.id, DOCUMENT.c.name, DOCUMENT.c.newest, DOCUMENT.c.deleted).where(
            DOCUMENT.c.club_id == place.club_id,
            DOCUMENT.c.kind == place.kind,
            DOCUMENT.c.name_key == name_key(place.name),
        )
    ).first()
    return None if row is None else Held(*row)


def row_of(connection: Connection, held: Held, number: int) -> Any:
    return connection.execute(
        select(REVISION.c.name, REVISION.c.deleted, REVISION.c.text_of, REVISION.c.back_to).where(
            REVISION.c.document_id == held.id, REVISION.c.number == number
        )
    ).one()


def _with_text() -> Select[Any]:
    return (
        select(*_LIGHT, _BODY.c.text)
        .join_from(DOCUMENT, REVISION, REVISION.c.document_id == DOCUMENT.c.id)
        .join(
            _BODY,
            (_BODY.c.document_id == REVISION.c.document_id)
            & (_BODY.c.number == REVISION.c.text_of),
        )
    )


def _document(row: Any) -> Document:
    return Document(
        kind=row.kind,
        name=row.name,
        text=row.text,
        revision=row.number,
        saved_at=row.saved_at,
        saved_by=row.saved_by,
        deleted=row.deleted,
        act=row.act,
    )


def _entry(row: Any) -> Entry:
    return Entry(
        kind=row.kind,
        name=row.name,
        revision=row.number,
        saved_at=row.saved_at,
        saved_by=row.saved_by,
        deleted=row.deleted,
        act=row.act,
    )


def get(connection: Connection, place: Spot, revision: int | None) -> Document:
    """One document; the newest revision unless another is asked for."""
    rows = _with_text().where(
        DOCUMENT.c.club_id == place.club_id,
        DOCUMENT.c.kind == place.kind,
        DOCUMENT.c.name_key == name_key(place.name),
        REVISION.c.number == (DOCUMENT.c.newest if revision is None else revision),
    )
    row = connection.execute(rows).first()
    if row is None:
        raise absent(connection, place, revision)
    if row.deleted and revision is None:
        raise Mistake(
            "book-no-such-document",
            f"the {place.kind} {row.name!r} was deleted",
            "undelete it; nothing of it is lost",
            place.where,
        )
    return _document(row)


def absent(connection: Connection, place: Spot, revision: int | None) -> Mistake:
    held = held_at(connection, place)
    if held is None or revision is None:
        return Mistake(
            "book-no-such-document",
            f"the book holds no {place.kind} called {place.name!r}",
            "look through the list of names; what was deleted stands in a list of its own",
            place.where,
        )
    return Mistake(
        "book-no-such-revision",
        f"{held.name!r} has no revision {revision}",
        f"give 1 to {held.newest}",
        place.where,
    )


def every(connection: Connection, club_id: int, kind: str, deleted: bool) -> Iterator[Document]:
    """Each document of one kind as it stands, by name; or each deleted one."""
    rows = _with_text().where(
        DOCUMENT.c.club_id == club_id,
        DOCUMENT.c.kind == kind,
        DOCUMENT.c.deleted == deleted,
        REVISION.c.number == DOCUMENT.c.newest,
    )
    documents = [_document(row) for row in connection.execute(rows)]
    # Sorted here and not by the database: no two engines sort letters alike.
    return iter(sorted(documents, key=lambda one: name_key(one.name)))


def entries(connection: Connection, club_id: int, kind: str, deleted: bool) -> list[Entry]:
    """The same without the texts."""
    rows = (
        select(*_LIGHT)
        .join_from(DOCUMENT, REVISION, REVISION.c.document_id == DOCUMENT.c.id)
        .where(
            DOCUMENT.c.club_id == club_id,
            DOCUMENT.c.kind == kind,
            DOCUMENT.c.deleted == deleted,
            REVISION.c.number == DOCUMENT.c.newest,
        )
    )
    found = [_entry(row) for row in connection.execute(rows)]
    return sorted(found, key=lambda one: name_key(one.name))


def names(connection: Connection, club_id: int, kind: str, deleted: bool) -> list[str]:
    """The names alone."""
    rows = select(DOCUMENT.c.name).where(
        DOCUMENT.c.club_id == club_id, DOCUMENT.c.kind == kind, DOCUMENT.c.deleted == deleted
    )
    return sorted(connection.scalars(rows), key=name_key)


def history(connection: Connection, place: Spot) -> list[Document]:
    """Every revision of one document, the newest first."""
    rows = (
        _with_text()
        .where(
            DOCUMENT.c.club_id == place.club_id,
            DOCUMENT.c.kind == place.kind,
            DOCUMENT.c.name_key == name_key(place.name),
        )
        .order_by(REVISION.c.number.desc())
    )
    found = [_document(row) for row in connection.execute(rows)]
    if not found:
        raise absent(connection, place, None)
    return found


def number_of(connection: Connection, place: Spot) -> int:
    """The number under which a document (not a deleted one) stands in the tables."""
    held = held_at(connection, place)
    if held is None or held.deleted:
        raise absent(connection, place, None)
    return held.id


_STAMP = select(func.coalesce(func.sum(DOCUMENT.c.newest), 0)).where(
    DOCUMENT.c.club_id == bindparam("club_id"),
    DOCUMENT.c.kind.in_(bindparam("kinds", expanding=True)),
)


def stamp(connection: Connection, club_id: int, kinds: tuple[str, ...]) -> int:
    """How many revisions there are: another number whenever something has changed."""
    return int(connection.scalar(_STAMP, {"club_id": club_id, "kinds": kinds}) or 0)
