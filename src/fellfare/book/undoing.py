"""What was the last change, and how is it taken back?

An undo is a revision that says to which older one it went back; so the next undo knows where
to go on, and nothing is ever cut off.
"""

from __future__ import annotations

from sqlalchemy import Connection, func, select

from fellfare.book.document import Document
from fellfare.book.finding import Held, Spot, row_of
from fellfare.book.revising import Change, revise, the
from fellfare.book.tables import DOCUMENT, REVISION
from fellfare.mistake import Mistake


def undo(connection: Connection, place: Spot, based_on: int | None, change: Change) -> Document:
    """Take the last change back, by one more revision; again: the change before that."""
    held = the(connection, place, based_on)
    real = _real(connection, held, held.newest)
    if real == 0:
        raise nothing_to_undo(place.where)
    back_to = _real(connection, held, real - 1)
    if back_to == 0:  # it was the first: then the document was not there
        return revise(
            connection, place, held, change, "undo", text_of=real, deleted=True, back_to=0
        )
    row = row_of(connection, held, back_to)
    return revise(
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


def _real(connection: Connection, held: Held, number: int) -> int:
    """The revision whose state holds at ``number``: of an undo the one it went back to."""
    if number == 0:
        return 0
    back_to = row_of(connection, held, number).back_to
    return number if back_to is None else int(back_to)
