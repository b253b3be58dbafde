"""What happens to a document in one step?  Statements on an open connection, one club each.

Every function is given the club whose book it is, and every statement is bound to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from msgspec import Struct
from sqlalchemy import Connection, Select, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from fellfare.book.document import Act, Document, Entry
from fellfare.book.meanwhile import ChangedMeanwhile, Meanwhile
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


class Change(Struct, frozen=True, kw_only=True):
    """Who changes a document, and when."""

    by: str
    at: datetime


class _Held(Struct, frozen=True):
    """The row of a document."""

    id: int
    name: str
    newest: int
    deleted: bool


def spot(club_id: int, kind: str, name: str) -> Spot:
    """Read the kind and the name."""
    return Spot(club_id=club_id, kind=read_kind(kind), name=read_name(name))


# -- reading ------------------------------------------------------------------------------


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
        raise _absent(connection, place, revision)
    if row.deleted and revision is None:
        raise Mistake(
            "book-no-such-document",
            f"the {place.kind} {row.name!r} was deleted",
            "undelete it; nothing of it is lost",
            place.where,
        )
    return _document(row)


def _absent(connection: Connection, place: Spot, revision: int | None) -> Mistake:
    held = _held(connection, place)
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
        raise _absent(connection, place, None)
    return found


def number_of(connection: Connection, place: Spot) -> int:
    """The number under which a document (not a deleted one) stands in the tables."""
    held = _held(connection, place)
    if held is None or held.deleted:
        raise _absent(connection, place, None)
    return held.id


def stamp(connection: Connection, club_id: int, kinds: tuple[str, ...]) -> int:
    """How many revisions there are: another number whenever something has changed."""
    count = select(func.coalesce(func.sum(DOCUMENT.c.newest), 0)).where(
        DOCUMENT.c.club_id == club_id, DOCUMENT.c.kind.in_(kinds)
    )
    return int(connection.scalar(count) or 0)


# -- changing -----------------------------------------------------------------------------


def save(
    connection: Connection, place: Spot, text: str, based_on: int | None, change: Change
) -> Document:
    """A new revision with this text; a new document when ``based_on`` is None."""
    held = _held(connection, place)
    if held is None:
        if based_on is not None:
            raise _absent(connection, place, None)
        return _found(connection, place, text, change)
    if not held.deleted:
        newest = get(connection, place, held.newest)
        if newest.text == text:
            return newest  # the same words again are no second revision
    expected = held.newest if based_on is None and held.deleted else based_on
    if expected != held.newest:
        raise _changed(connection, place, text, based_on)
    return _revise(connection, place, held, change, "save", text=text, deleted=False)


def _found(connection: Connection, place: Spot, text: str, change: Change) -> Document:
    """A document that was not there."""
    try:
        with connection.begin_nested():
            made = connection.execute(
                insert(DOCUMENT).values(
                    club_id=place.club_id,
                    kind=place.kind,
                    name=place.name,
                    name_key=name_key(place.name),
                    newest=1,
                    deleted=False,
                )
            )
    except IntegrityError:  # somebody else was a moment faster
        raise _changed(connection, place, text, None) from None
    key = made.inserted_primary_key
    assert key is not None
    _write(connection, key[0], change, number=1, act="save", name=place.name, text=text)
    return Document(
        kind=place.kind,
        name=place.name,
        text=text,
        revision=1,
        saved_at=change.at,
        saved_by=change.by,
        deleted=False,
    )


def set_deleted(
    connection: Connection, place: Spot, deleted: bool, based_on: int | None, change: Change
) -> Document:
    """Throw a document away, or take it back."""
    held = _the(connection, place, based_on)
    if held.deleted and deleted:
        raise Mistake(
            "book-deleted-already",
            f"{held.name!r} is deleted already",
            "there is nothing to do; undelete takes it back",
            place.where,
        )
    if not (held.deleted or deleted):
        raise Mistake(
            "book-not-deleted",
            f"{held.name!r} is not deleted",
            "there is nothing to do",
            place.where,
        )
    act: Act = "delete" if deleted else "undelete"
    return _revise(connection, place, held, change, act, text_of=held.newest, deleted=deleted)


def restore(
    connection: Connection, place: Spot, revision: int, based_on: int | None, change: Change
) -> Document:
    """A new revision with the text of an older one."""
    held = _the(connection, place, based_on)
    get(connection, place, revision)  # refuses a revision that is not there
    return _revise(connection, place, held, change, "restore", text_of=revision, deleted=False)


def rename(
    connection: Connection, place: Spot, new_name: str, based_on: int | None, change: Change
) -> Document:
    """The same document, with its history, under another name."""
    held = _the(connection, place, based_on)
    return _revise(
        connection,
        place,
        held,
        change,
        "rename",
        text_of=held.newest,
        deleted=held.deleted,
        name=read_name(new_name),
    )


def undo(connection: Connection, place: Spot, based_on: int | None, change: Change) -> Document:
    """Take the last change back, by one more revision; again: the change before that."""
    held = _the(connection, place, based_on)
    real = _real(connection, held, held.newest)
    if real == 0:
        raise nothing_to_undo(place.where)
    back_to = _real(connection, held, real - 1)
    if back_to == 0:  # it was the first: then the document was not there
        return _revise(
            connection, place, held, change, "undo", text_of=real, deleted=True, back_to=0
        )
    row = _row(connection, held, back_to)
    return _revise(
        connection,
        place,
        held,
        change,
        "undo",
        text_of=back_to,
        deleted=row.deleted,
        name=row.name,
        back_to=back_to,
    )


def last_changed(connection: Connection, club_id: int, by: str | None) -> tuple[str, str] | None:
    """(kind, name) of the document whose change an undo would take back first."""
    newest, real = REVISION.alias("newest"), REVISION.alias("real")
    rows = (
        select(DOCUMENT.c.kind, DOCUMENT.c.name)
        .join_from(
            DOCUMENT,
            newest,
            (newest.c.document_id == DOCUMENT.c.id) & (newest.c.number == DOCUMENT.c.newest),
        )
        .join(
            real,
            (real.c.document_id == DOCUMENT.c.id)
            & (real.c.number == func.coalesce(newest.c.back_to, newest.c.number)),
        )
        .where(DOCUMENT.c.club_id == club_id)
        .order_by(real.c.id.desc())
        .limit(1)
    )
    if by is not None:
        rows = rows.where(real.c.saved_by == by)
    row = connection.execute(rows).first()
    return None if row is None else (row.kind, row.name)


def nothing_to_undo(where: str = "") -> Mistake:
    """For a document, or a book, in which nothing is left to take back."""
    return Mistake(
        "book-nothing-to-undo",
        "there is no change left to take back",
        "every revision can still be restored from the history",
        where,
    )


# -- the pieces ---------------------------------------------------------------------------


def _held(connection: Connection, place: Spot) -> _Held | None:
    row = connection.execute(
        select(DOCUMENT.c.id, DOCUMENT.c.name, DOCUMENT.c.newest, DOCUMENT.c.deleted).where(
            DOCUMENT.c.club_id == place.club_id,
            DOCUMENT.c.kind == place.kind,
            DOCUMENT.c.name_key == name_key(place.name),
        )
    ).first()
    return None if row is None else _Held(*row)


def _the(connection: Connection, place: Spot, based_on: int | None) -> _Held:
    """The document, which must be there, and at ``based_on`` if that is said."""
    held = _held(connection, place)
    if held is None:
        raise _absent(connection, place, None)
    if based_on is not None and based_on != held.newest:
        raise _changed(connection, place, None, based_on)
    return held


def _row(connection: Connection, held: _Held, number: int) -> Any:
    return connection.execute(
        select(REVISION.c.name, REVISION.c.deleted, REVISION.c.text_of, REVISION.c.back_to).where(
            REVISION.c.document_id == held.id, REVISION.c.number == number
        )
    ).one()


def _real(connection: Connection, held: _Held, number: int) -> int:
    """The revision whose state holds at ``number``: of an undo the one it went back to."""
    if number == 0:
        return 0
    back_to = _row(connection, held, number).back_to
    return number if back_to is None else int(back_to)


def _revise(
    connection: Connection,
    place: Spot,
    held: _Held,
    change: Change,
    act: Act,
    *,
    deleted: bool,
    text: str | None = None,
    text_of: int | None = None,
    name: str | None = None,
    back_to: int | None = None,
) -> Document:
    """One more revision on top of ``held``, or nothing at all."""
    name = held.name if name is None else name
    number = held.newest + 1
    values = {"newest": number, "deleted": deleted, "name": name, "name_key": name_key(name)}
    # Only as it was seen: of two savers the second finds another number, and nothing is kept.
    changed = (
        update(DOCUMENT)
        .where(DOCUMENT.c.id == held.id, DOCUMENT.c.newest == held.newest)
        .values(**values)
    )
    if name == held.name:
        done = connection.execute(changed)
    else:
        try:
            with connection.begin_nested():
                done = connection.execute(changed)
        except IntegrityError:
            raise _taken(place, name) from None
    if done.rowcount != 1:
        raise _changed(connection, place, text, held.newest)
    if text_of is not None:
        text_of = int(_row(connection, held, text_of).text_of)
    _write(
        connection,
        held.id,
        change,
        number=number,
        act=act,
        name=name,
        text=text,
        deleted=deleted,
        text_of=text_of,
        back_to=back_to,
    )
    if text is None:
        return get(connection, Spot(club_id=place.club_id, kind=place.kind, name=name), number)
    return Document(
        kind=place.kind,
        name=name,
        text=text,
        revision=number,
        saved_at=change.at,
        saved_by=change.by,
        deleted=deleted,
        act=act,
    )


def _write(
    connection: Connection,
    document_id: int,
    change: Change,
    *,
    number: int,
    act: Act,
    name: str,
    text: str | None,
    deleted: bool = False,
    text_of: int | None = None,
    back_to: int | None = None,
) -> None:
    connection.execute(
        insert(REVISION).values(
            document_id=document_id,
            number=number,
            act=act,
            name=name,
            deleted=deleted,
            text_of=number if text_of is None else text_of,
            back_to=back_to,
            text=text,
            saved_at=change.at,
            saved_by=change.by,
        )
    )


def _changed(
    connection: Connection, place: Spot, mine: str | None, based_on: int | None
) -> Mistake:
    """Both texts, and what they began with."""
    held = _held(connection, place)
    if held is None:
        return _absent(connection, place, None)
    theirs = get(connection, place, held.newest)
    base = None
    if based_on is not None:
        if not 1 <= based_on <= theirs.revision:
            return _absent(connection, place, based_on)
        base = get(connection, place, based_on)
    text = mine if mine is not None else (base or theirs).text
    return ChangedMeanwhile(Meanwhile(mine=text, theirs=theirs, base=base), place.where)


def _taken(place: Spot, name: str) -> Mistake:
    return Mistake(
        "book-name-taken",
        f"a {place.kind} called {name!r} is in the book already, or among the deleted ones",
        "choose another name; names that differ only in capitals count as one",
        place.where,
    )
