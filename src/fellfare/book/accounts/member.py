"""Who is in a club?"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from msgspec import Struct

from fellfare.book.accounts.roles import Role
from fellfare.book.tables import MEMBER

#: Whose measures a member wants to see; empty = they have not said.
MEASURES: Final = ("", "metric", "us", "both")


class Club(Struct, frozen=True, kw_only=True):
    """A club: one book, and those who may open it."""

    id: int
    name: str
    founded_at: datetime


class Member(Struct, frozen=True, kw_only=True):
    """Somebody with an account; the name stands beside what they save."""

    id: int
    club_id: int
    name: str
    role: Role
    joined_at: datetime
    #: One of :data:`MEASURES`.
    measures: str = ""


class SignedIn(Struct, frozen=True, kw_only=True):
    """A session: the token goes to the browser and is kept nowhere else."""

    token: str
    member: Member
    expires_at: datetime


#: What of the table makes a :class:`Member`; the hash of the password is not among it.
COLUMNS: Final = (
    MEMBER.c.id,
    MEMBER.c.club_id,
    MEMBER.c.name,
    MEMBER.c.role,
    MEMBER.c.joined_at,
    MEMBER.c.measures,
)


def as_member(row: Any) -> Member:
    """A row with these columns."""
    return Member(
        id=row.id,
        club_id=row.club_id,
        name=row.name,
        role=row.role,
        joined_at=row.joined_at,
        measures=row.measures,
    )
