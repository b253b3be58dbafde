"""Who is in a club?"""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from fellfare.book.accounts.roles import Role


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


class SignedIn(Struct, frozen=True, kw_only=True):
    """A session: the token goes to the browser and is kept nowhere else."""

    token: str
    member: Member
    expires_at: datetime
