"""How do the documents lie in the database?  The same tables in SQLite and PostgreSQL.

A change here needs a new migration in ``migrations/versions``; a test compares the two.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    DateTime,
    Dialect,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

METADATA: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

#: SQLite counts up only in a column that it knows as INTEGER.
BIG: Final = BigInteger().with_variant(Integer, "sqlite")


class Moment(TypeDecorator[datetime]):
    """A moment in UTC; SQLite keeps it as text without a zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        """On the way in: a moment must say its zone."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise TypeError("a moment without a time zone")
        return value.astimezone(UTC)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """On the way out."""
        if value is None:
            return None
        moment: datetime = value
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


#: Whose book it is.  On one's own machine there is one row, and nobody signs in.
CLUB: Final = Table(
    "club",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", String(120), nullable=False),
    Column("name_key", String(240), nullable=False, unique=True),
    Column("founded_at", Moment, nullable=False),
)

DOCUMENT: Final = Table(
    "document",
    METADATA,
    Column("id", BIG, primary_key=True),
    Column("club_id", ForeignKey("club.id"), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("name", String(120), nullable=False),
    #: The name without capitals: two names that differ only there are one.
    Column("name_key", String(240), nullable=False),
    #: Number of its newest revision; only ever changed together with a new row below.
    Column("newest", Integer, nullable=False),
    Column("deleted", Boolean, nullable=False),
    UniqueConstraint("club_id", "kind", "name_key"),
)

REVISION: Final = Table(
    "revision",
    METADATA,
    #: Counts through all documents: which of two changes came later.
    Column("id", BIG, primary_key=True),
    Column("document_id", ForeignKey("document.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("act", String(10), nullable=False),
    Column("name", String(120), nullable=False),
    Column("deleted", Boolean, nullable=False),
    #: Number of the revision of this document whose row holds the text: mostly its own.
    Column("text_of", Integer, nullable=False),
    #: Of an undo: the revision that holds again; 0 = the document was not there.
    Column("back_to", Integer),
    Column("text", Text),
    Column("saved_at", Moment, nullable=False),
    Column("saved_by", String(120), nullable=False),
    #: The last word on who comes first: of two savers one finds the number taken.
    UniqueConstraint("document_id", "number"),
)

#: What is ticked off on a list of a document; no revision, only the present state.
TICK: Final = Table(
    "tick",
    METADATA,
    Column("document_id", ForeignKey("document.id"), primary_key=True),
    Column("list_name", String(60), primary_key=True),
    Column("item", String(200), primary_key=True),
    Column("ticked_at", Moment, nullable=False),
    Column("ticked_by", String(120), nullable=False),
)

#: Long work outside the request, see :mod:`fellfare.book.jobs`.
JOB: Final = Table(
    "job",
    METADATA,
    Column("id", BIG, primary_key=True),
    Column("club_id", ForeignKey("club.id"), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("about", String(200), nullable=False),
    Column("state", String(10), nullable=False, index=True),
    Column("asked", Text, nullable=False),
    Column("progress", Text, nullable=False),
    Column("result", Text, nullable=False),
    Column("asked_by", String(120), nullable=False),
    Column("asked_at", Moment, nullable=False),
    Column("heard_at", Moment),
    Column("ended_at", Moment),
    Column("stop_asked", Boolean, nullable=False),
    Column("tries", Integer, nullable=False),
    #: Who works on it; another worker's name there means that the job was lost to it.
    Column("worker", String(40), nullable=False),
)

# -- accounts of a club; empty on one's own machine ----------------------------------------

MEMBER: Final = Table(
    "member",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("club_id", ForeignKey("club.id"), nullable=False),
    Column("name", String(120), nullable=False),
    Column("name_key", String(240), nullable=False),
    Column("role", String(10), nullable=False),
    #: As argon2 writes it, with its own salt and costs.
    Column("password_hash", String(200), nullable=False),
    Column("joined_at", Moment, nullable=False),
    #: Whose measures they want to see; empty = they have not said.
    Column("measures", String(10), nullable=False, server_default=""),
    UniqueConstraint("club_id", "name_key"),
)

INVITATION: Final = Table(
    "invitation",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("club_id", ForeignKey("club.id"), nullable=False),
    #: SHA-256 of the token: whoever reads the table cannot use it.
    Column("token_hash", String(64), nullable=False, unique=True),
    Column("role", String(10), nullable=False),
    Column("invited_by", String(120), nullable=False),
    Column("made_at", Moment, nullable=False),
    Column("expires_at", Moment, nullable=False),
    Column("used_at", Moment),
    Column("used_by", String(120), nullable=False),
)

SESSION: Final = Table(
    "session",
    METADATA,
    Column("id", BIG, primary_key=True),
    Column("member_id", ForeignKey("member.id"), nullable=False, index=True),
    Column("token_hash", String(64), nullable=False, unique=True),
    Column("made_at", Moment, nullable=False),
    Column("seen_at", Moment, nullable=False),
    Column("expires_at", Moment, nullable=False),
)

#: Sign-ins that were tried of late, by a hash of whose name and from where.
ATTEMPT: Final = Table(
    "attempt",
    METADATA,
    Column("id", BIG, primary_key=True),
    Column("key_hash", String(64), nullable=False, index=True),
    Column("tried_at", Moment, nullable=False, index=True),
)
