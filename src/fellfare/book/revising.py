"""What happens to a document in one step?  One more revision, or nothing at all.

Statements on an open connection; the transaction belongs to the caller.
"""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct
from sqlalchemy import Connection, insert, update
from sqlalchemy.exc import IntegrityError

from fellfare.book.document import Act, Document
from fellfare.book.finding import Held, Spot, absent, get, held_at, row_of
from fellfare.book.meanwhile import ChangedMeanwhile, Meanwhile
from fellfare.book.names import name_key, read_name
from fellfare.book.tables import DOCUMENT, REVISION
from fellfare.mistake import Mistake


class Change(Struct, frozen=True, kw_only=True):
    """Who changes a document, and when."""

    by: str
    at: datetime


def save(
    connection: Connection, place: Spot, text: str, based_on: int | None, change: Change
) -> Document:
    """A new revision with this text; a new document when ``based_on`` is None."""
    held = held_at(connection, place)
    if held is None:
        if based_on is not None:
            raise absent(connection, place, None)
        return _found(connection, place, text, change)
    if not held.deleted:
        newest = get(connection, place, held.newest)
        if newest.text == text:
            return newest  # the same words again are no second revision
    expected = held.newest if based_on is None and held.deleted else based_on
    if expected != held.newest:
        raise _changed(connection, place, text, based_on)
    return revise(connection, place, held, change, "save", text=text, deleted=False)


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
    held = the(connection, place, based_on)
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
    return revise(connection, place, held, change, act, text_of=held.newest, deleted=deleted)


def restore(
    connection: Connection, place: Spot, revision: int, based_on: int | None, change: Change
) -> Document:
    """A new revision with the text of an older one."""
    held = the(connection, place, based_on)
    get(connection, place, revision)  # refuses a revision that is not there
    return revise(connection, place, held, change, "restore", text_of=revision, deleted=False)


def rename(
    connection: Connection, place: Spot, new_name: str, based_on: int | None, change: Change
) -> Document:
    """The same document, with its history, under another name."""
    held = the(connection, place, based_on)
    return revise(
        connection,
        place,
        held,
        change,
        "rename",
        text_of=held.newest,
        deleted=held.deleted,
        name=read_name(new_name),
    )


# -- the pieces ---------------------------------------------------------------------------


def the(connection: Connection, place: Spot, based_on: int | None) -> Held:
    """The document, which must be there, and at ``based_on`` if that is said."""
    held = held_at(connection, place)
    if held is None:
        raise absent(connection, place, None)
    if based_on is not None and based_on != held.newest:
        raise _changed(connection, place, None, based_on)
    return held


def revise(
    connection: Connection,
    place: Spot,
    held: Held,
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
        text_of = int(row_of(connection, held, text_of).text_of)
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
    held = held_at(connection, place)
    if held is None:
        return absent(connection, place, None)
    theirs = get(connection, place, held.newest)
    base = None
    if based_on is not None:
        if not 1 <= based_on <= theirs.revision:
            return absent(connection, place, based_on)
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
