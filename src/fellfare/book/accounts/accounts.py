"""The door: clubs, invitations, members, sessions."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any, Final

from sqlalchemy import Connection, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from fellfare.book.accounts import leaving, passwords, sessions
from fellfare.book.accounts.member import COLUMNS, MEASURES, Club, Member, SignedIn, as_member
from fellfare.book.accounts.roles import must, read_role
from fellfare.book.accounts.tokens import kept, new_token
from fellfare.book.names import key_or_none, name_key, read_name
from fellfare.book.tables import CLUB, INVITATION, MEMBER
from fellfare.mistake import Mistake

if TYPE_CHECKING:
    from fellfare.book.book import Book
    from fellfare.book.shelf import Shelf

#: How long an invitation waits [days].
INVITED_DAYS: Final = 14


class Accounts:
    """Everything about the members of the clubs on one shelf.

    Whoever acts is a :class:`Member` as :meth:`member_of` gave it; the role is looked up
    again, so that a role that was taken away is gone at once.
    """

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf

    # -- clubs ----------------------------------------------------------------------------

    def found_club(self, name: str) -> Club:
        """A new club with an empty book; for whoever runs the server.

        Raises
        ------
        Mistake
            ``club-name-taken``, ``book-bad-name``.
        """
        name = read_name(name)
        row = {"name": name, "name_key": name_key(name), "founded_at": self._shelf.clock()}
        with self._shelf.writing() as connection:
            try:
                with connection.begin_nested():
                    connection.execute(insert(CLUB).values(**row))
            except IntegrityError:
                raise Mistake(
                    "club-name-taken", f"there is a club {name!r}", "choose another name"
                ) from None
        return self.club(name)

    def club(self, name: str) -> Club:
        """The club of this name; ``unknown-club``."""
        rows = select(CLUB.c.id, CLUB.c.name, CLUB.c.founded_at)
        with self._shelf.reading() as connection:
            row = connection.execute(rows.where(CLUB.c.name_key == key_or_none(name))).first()
        if row is None:
            raise Mistake("unknown-club", f"there is no club {name[:60]!r}", "check the name")
        return Club(id=row.id, name=row.name, founded_at=row.founded_at)

    # -- coming in ------------------------------------------------------------------------

    def invite(self, club_id: int, role: str, by: Member | None, days: float = INVITED_DAYS) -> str:
        """A token with which one person can join; kept nowhere, to be handed on once.

        ``by`` is a keeper of the club, or None for whoever runs the server.

        Raises
        ------
        Mistake
            ``role-may-not``, ``unknown-role``.
        """
        token, role, now = new_token(), read_role(role), self._shelf.clock()
        with self._shelf.writing() as connection:
            if by is not None:
                self._keeper(connection, by, club_id)
            connection.execute(
                insert(INVITATION).values(
                    club_id=club_id,
                    token_hash=kept(token),
                    role=role,
                    invited_by="" if by is None else by.name,
                    made_at=now,
                    expires_at=now + timedelta(days=days),
                    used_by="",
                )
            )
        return token

    def sign_up(self, token: str, name: str, password: str) -> Member:
        """Join the club that the invitation is from; it can be used once.

        Raises
        ------
        Mistake
            ``invitation-not-valid``, ``member-name-taken``, ``book-bad-name``,
            ``password-too-weak``, ``password-too-long``.
        """
        name = read_name(name)
        if name_key(name) == leaving.FORMER:
            raise _name_taken(name)
        with self._shelf.reading() as connection:
            club = self._inviting(connection, token)
        password_hash = passwords.make_hash(passwords.read_password(password, name, club))
        with self._shelf.writing() as connection:
            now = self._shelf.clock()
            taken = connection.execute(
                update(INVITATION)
                .where(
                    INVITATION.c.token_hash == kept(token),
                    INVITATION.c.used_at.is_(None),
                    INVITATION.c.expires_at > now,
                )
                .values(used_at=now, used_by=name)
            )
            if taken.rowcount != 1:  # somebody else has used it in this moment
                raise _not_valid()
            row = connection.execute(
                select(INVITATION.c.club_id, INVITATION.c.role).where(
                    INVITATION.c.token_hash == kept(token)
                )
            ).one()
            try:
                with connection.begin_nested():
                    made = connection.execute(
                        insert(MEMBER).values(
                            club_id=row.club_id,
                            name=name,
                            name_key=name_key(name),
                            role=row.role,
                            password_hash=password_hash,
                            joined_at=now,
                        )
                    )
            except IntegrityError:
                raise _name_taken(name) from None
            assert made.inserted_primary_key is not None
            return self._member(connection, int(made.inserted_primary_key[0]), row.club_id)

    def _inviting(self, connection: Connection, token: str) -> str:
        """Name of the club, if the invitation is good."""
        rows = select(CLUB.c.name).join_from(INVITATION, CLUB).where(
            INVITATION.c.token_hash == kept(token),
            INVITATION.c.used_at.is_(None),
            INVITATION.c.expires_at > self._shelf.clock(),
        )  # fmt: skip
        found = connection.scalar(rows)
        if found is None:
            raise _not_valid()
        return str(found)

    def sign_in(self, club: str, name: str, password: str, address: str) -> SignedIn:
        """A new session, for whoever knows the password; ``address`` is where they ask from.

        Raises
        ------
        Mistake
            ``sign-in-refused`` (the same for a wrong club, name or password),
            ``sign-in-too-often``.
        """
        return sessions.sign_in(self._shelf, club, name, password, address)

    def member_of(self, token: str) -> Member | None:
        """Whose session it is; None when it is nobody's, or over."""
        return sessions.member_of(self._shelf, token)

    def sign_out(self, token: str) -> None:
        """End one session."""
        sessions.sign_out(self._shelf, token)

    def sign_out_everywhere(self, member: Member) -> None:
        """End every session of a member."""
        sessions.sign_out_everywhere(self._shelf, member)

    def change_password(self, member: Member, old: str, new: str) -> SignedIn:
        """Another password; every session ends and a new one begins.

        Raises
        ------
        Mistake
            ``sign-in-refused``, ``sign-in-too-often``, ``password-too-weak``.
        """
        return sessions.change_password(self._shelf, member, old, new)

    # -- who is in ------------------------------------------------------------------------

    def members(self, by: Member) -> tuple[Member, ...]:
        """Everybody in the same club, by name."""
        rows = select(*COLUMNS).where(MEMBER.c.club_id == by.club_id)
        with self._shelf.reading() as connection:
            found = [as_member(row) for row in connection.execute(rows)]
        return tuple(sorted(found, key=lambda one: name_key(one.name)))

    def set_role(self, by: Member, member_id: int, role: str) -> Member:
        """A keeper gives somebody of the club another role; ``last-keeper``."""
        role = read_role(role)
        with self._shelf.writing() as connection:
            self._keeper(connection, by, by.club_id)
            member = self._member(connection, member_id, by.club_id)
            if member.role == "keeper" and role != "keeper":
                self._not_the_last(connection, member)
            connection.execute(update(MEMBER).where(MEMBER.c.id == member.id).values(role=role))
            return self._member(connection, member_id, by.club_id)

    def set_measures(self, member: Member, measures: str) -> Member:
        """Whose measures a member wants to see, from now on and in every browser.

        Raises
        ------
        Mistake
            ``unknown-measures``, ``unknown-member``.
        """
        if measures not in MEASURES:
            raise Mistake(
                "unknown-measures",
                f"nobody here measures in {measures[:20]!r}",
                "choose one of: " + ", ".join(MEASURES[1:]),
                "units",
            )
        with self._shelf.writing() as connection:
            connection.execute(
                update(MEMBER).where(MEMBER.c.id == member.id).values(measures=measures)
            )
            return self._member(connection, member.id, member.club_id)

    def remove(self, by: Member, member_id: int) -> None:
        """A member leaves, or a keeper takes the account away.

        What they saved stays in the club's book, beside the words 'former member'.

        Raises
        ------
        Mistake
            ``role-may-not``, ``unknown-member``, ``last-keeper``.
        """
        with self._shelf.writing() as connection:
            if by.id != member_id:
                self._keeper(connection, by, by.club_id)
            member = self._member(connection, member_id, by.club_id)
            if member.role == "keeper":
                self._not_the_last(connection, member)
            leaving.remove(connection, member)

    def own_data(self, member: Member) -> dict[str, Any]:
        """Everything that is kept of a member, as plain values for a JSON file."""
        with self._shelf.reading(steady=True) as connection:
            found = self._member(connection, member.id, member.club_id)
            return leaving.own_data(connection, found)

    def book(self, member: Member) -> Book:
        """The club's book as this member may use it, with their name beside what they save."""
        from fellfare.book.book import Book

        with self._shelf.reading() as connection:
            found = self._member(connection, member.id, member.club_id)
        return Book(self._shelf, found.club_id, by=found.name, role=found.role)

    # -- the pieces -----------------------------------------------------------------------

    def _member(self, connection: Connection, member_id: int, club_id: int) -> Member:
        rows = select(*COLUMNS).where(MEMBER.c.id == member_id, MEMBER.c.club_id == club_id)
        row = connection.execute(rows).first()
        if row is None:
            raise Mistake(
                "unknown-member", "there is no such member in the club", "look at the list"
            )
        return as_member(row)

    def _keeper(self, connection: Connection, by: Member, club_id: int) -> None:
        now = self._member(connection, by.id, by.club_id)
        must(now.role if by.club_id == club_id else "reader", "keep")

    def _not_the_last(self, connection: Connection, member: Member) -> None:
        # Two keepers who remove each other at once: one waits here for the other.
        connection.execute(select(CLUB.c.id).where(CLUB.c.id == member.club_id).with_for_update())
        keepers = select(func.count()).where(
            MEMBER.c.club_id == member.club_id, MEMBER.c.role == "keeper"
        )
        if (connection.scalar(keepers) or 0) < 2:
            raise Mistake(
                "last-keeper",
                f"{member.name!r} is the only keeper of the club",
                "make somebody else a keeper first",
            )


def _not_valid() -> Mistake:
    return Mistake(
        "invitation-not-valid",
        "the invitation is unknown, used or too old",
        "ask a keeper of the club for a new one",
    )


def _name_taken(name: str) -> Mistake:
    return Mistake(
        "member-name-taken",
        f"somebody of the club is called {name!r}",
        "choose another name; the invitation is still good",
        "name",
    )
