"""Who has signed in, and for how long?"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from sqlalchemy import Connection, delete, insert, select, update

from fellfare.book.accounts import limits, passwords
from fellfare.book.accounts.member import COLUMNS, Member, SignedIn, as_member
from fellfare.book.accounts.tokens import kept, new_token
from fellfare.book.names import key_or_none
from fellfare.book.tables import CLUB, MEMBER, SESSION
from fellfare.mistake import Mistake

if TYPE_CHECKING:
    from fellfare.book.shelf import Shelf

#: How long a session lasts at most, and without being used [days].
SESSION_DAYS: Final = 30
IDLE_DAYS: Final = 7
#: How exactly it is kept when a session was last used [h].
_SEEN_HOURS: Final = 1


def sign_in(shelf: Shelf, club: str, name: str, password: str, address: str) -> SignedIn:
    """A new session, for whoever knows the password; ``address`` is where they ask from.

    Raises
    ------
    Mistake
        ``sign-in-refused`` (the same for a wrong club, name or password),
        ``sign-in-too-often``.
    """
    club_key, own_key = key_or_none(club), key_or_none(name)
    keys = limits.keys_of(club_key or "", own_key or "", address)
    tried = limits.count_attempt(shelf, keys)
    rows = (
        select(*COLUMNS, MEMBER.c.password_hash)
        .join_from(MEMBER, CLUB)
        .where(CLUB.c.name_key == club_key, MEMBER.c.name_key == own_key)
    )
    with shelf.reading() as connection:
        row = connection.execute(rows).first()
    known = passwords.nobodys_hash() if row is None else row.password_hash
    if not passwords.fits(password, known) or row is None:
        raise Mistake(
            "sign-in-refused",
            "club, name and password do not belong together",
            "check all three; after several attempts there is a wait",
        )
    limits.forget(shelf, tried, keys[0])
    member = as_member(row)
    with shelf.writing() as connection:
        if passwords.is_outdated(known):
            connection.execute(
                update(MEMBER)
                .where(MEMBER.c.id == member.id)
                .values(password_hash=passwords.make_hash(password))
            )
        return _begin(shelf, connection, member)


def _begin(shelf: Shelf, connection: Connection, member: Member) -> SignedIn:
    token, now = new_token(), shelf.clock()
    expires = now + timedelta(days=SESSION_DAYS)
    connection.execute(delete(SESSION).where(SESSION.c.expires_at <= now))
    connection.execute(
        insert(SESSION).values(
            member_id=member.id,
            token_hash=kept(token),
            made_at=now,
            seen_at=now,
            expires_at=expires,
        )
    )
    return SignedIn(token=token, member=member, expires_at=expires)


def member_of(shelf: Shelf, token: str) -> Member | None:
    """Whose session it is; None when it is nobody's, or over."""
    now = shelf.clock()
    rows = (
        select(*COLUMNS, SESSION.c.seen_at)
        .join_from(SESSION, MEMBER)
        .where(
            SESSION.c.token_hash == kept(token),
            SESSION.c.expires_at > now,
            SESSION.c.seen_at > now - timedelta(days=IDLE_DAYS),
        )
    )
    with shelf.reading() as connection:
        row = connection.execute(rows).first()
    if row is None:
        return None
    if row.seen_at < now - timedelta(hours=_SEEN_HOURS):
        with shelf.writing() as connection:
            connection.execute(
                update(SESSION).where(SESSION.c.token_hash == kept(token)).values(seen_at=now)
            )
    return as_member(row)


def sign_out(shelf: Shelf, token: str) -> None:
    """End one session."""
    with shelf.writing() as connection:
        connection.execute(delete(SESSION).where(SESSION.c.token_hash == kept(token)))


def sign_out_everywhere(shelf: Shelf, member: Member) -> None:
    """End every session of a member."""
    with shelf.writing() as connection:
        connection.execute(delete(SESSION).where(SESSION.c.member_id == member.id))


def change_password(shelf: Shelf, member: Member, old: str, new: str) -> SignedIn:
    """Another password; every session ends and a new one begins.

    Raises
    ------
    Mistake
        ``sign-in-refused``, ``sign-in-too-often``, ``password-too-weak``.
    """
    keys = kept(f"password {member.id}"), kept(f"password of {member.id}")
    tried = limits.count_attempt(shelf, keys)
    with shelf.reading() as connection:
        known = connection.execute(
            select(MEMBER.c.password_hash, CLUB.c.name)
            .join_from(MEMBER, CLUB)
            .where(MEMBER.c.id == member.id, MEMBER.c.club_id == member.club_id)
        ).first()
    if known is None or not passwords.fits(old, known.password_hash):
        raise Mistake("sign-in-refused", "that is not your password", "try again", "old")
    limits.forget(shelf, tried, keys[0])
    made = passwords.make_hash(passwords.read_password(new, member.name, known.name))
    with shelf.writing() as connection:
        connection.execute(
            update(MEMBER).where(MEMBER.c.id == member.id).values(password_hash=made)
        )
        connection.execute(delete(SESSION).where(SESSION.c.member_id == member.id))
        return _begin(shelf, connection, member)
