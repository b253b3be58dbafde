"""What of one member is in the book, and what stays when they go?"""

from __future__ import annotations

from typing import Any, Final

import msgspec
from sqlalchemy import Connection, Select, delete, select, update

from fellfare.book.accounts.member import Member
from fellfare.book.tables import DOCUMENT, INVITATION, JOB, MEMBER, REVISION, SESSION, TICK

#: Stands beside what somebody saved who has left.
FORMER: Final = "former member"

_BODY: Final = REVISION.alias("body")


def own_data(connection: Connection, member: Member) -> dict[str, Any]:
    """Everything that is kept of a member, as plain values; no hashes, nobody else's words."""
    documents = _documents(member)
    revisions = (
        select(
            DOCUMENT.c.kind, REVISION.c.name, REVISION.c.number, REVISION.c.act,
            REVISION.c.saved_at, _BODY.c.text,
        )
        .join_from(DOCUMENT, REVISION, REVISION.c.document_id == DOCUMENT.c.id)
        .outerjoin(
            _BODY,
            # The text only where this member wrote it: an undo may bring back another's.
            (_BODY.c.document_id == REVISION.c.document_id)
            & (_BODY.c.number == REVISION.c.text_of)
            & (_BODY.c.saved_by == member.name),
        )
        .where(DOCUMENT.c.club_id == member.club_id, REVISION.c.saved_by == member.name)
        .order_by(REVISION.c.id)
    )  # fmt: skip
    ticks = (
        select(DOCUMENT.c.kind, DOCUMENT.c.name, TICK.c.list_name, TICK.c.item, TICK.c.ticked_at)
        .join_from(DOCUMENT, TICK, TICK.c.document_id == DOCUMENT.c.id)
        .where(TICK.c.document_id.in_(documents), TICK.c.ticked_by == member.name)
    )
    sessions = select(SESSION.c.made_at, SESSION.c.seen_at, SESSION.c.expires_at).where(
        SESSION.c.member_id == member.id
    )
    invitations = select(
        INVITATION.c.role, INVITATION.c.made_at, INVITATION.c.expires_at, INVITATION.c.used_at
    ).where(INVITATION.c.club_id == member.club_id, INVITATION.c.invited_by == member.name)
    jobs = select(
        JOB.c.kind, JOB.c.about, JOB.c.state, JOB.c.asked, JOB.c.result, JOB.c.asked_at
    ).where(JOB.c.club_id == member.club_id, JOB.c.asked_by == member.name)
    return {
        "member": msgspec.to_builtins(member),
        "revisions": _rows(connection, revisions),
        "ticks": _rows(connection, ticks),
        "sessions": _rows(connection, sessions),
        "invitations": _rows(connection, invitations),
        "jobs": _rows(connection, jobs),
    }


def _rows(connection: Connection, rows: Select[Any]) -> list[dict[str, Any]]:
    return [
        {key: msgspec.to_builtins(value) for key, value in row.items()}
        for row in connection.execute(rows).mappings()
    ]


def _documents(member: Member) -> Select[Any]:
    return select(DOCUMENT.c.id).where(DOCUMENT.c.club_id == member.club_id)


def remove(connection: Connection, member: Member) -> None:
    """Take the account away, and the name from everything; what was saved stays the club's."""
    club, documents = member.club_id, _documents(member)
    for table, column, where in (
        (REVISION, REVISION.c.saved_by, REVISION.c.document_id.in_(documents)),
        (TICK, TICK.c.ticked_by, TICK.c.document_id.in_(documents)),
        (JOB, JOB.c.asked_by, JOB.c.club_id == club),
        (INVITATION, INVITATION.c.invited_by, INVITATION.c.club_id == club),
        (INVITATION, INVITATION.c.used_by, INVITATION.c.club_id == club),
    ):
        gone = where & (column == member.name)
        connection.execute(update(table).where(gone).values({column: FORMER}))
    connection.execute(delete(SESSION).where(SESSION.c.member_id == member.id))
    connection.execute(delete(MEMBER).where(MEMBER.c.id == member.id))
