"""Clubs, documents, revisions, ticks."""

import sqlalchemy as sa
from alembic import op

from fellfare.book.tables import BIG, Moment

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Forward."""
    op.create_table(
        "club",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("name_key", sa.String(240), nullable=False),
        sa.Column("founded_at", Moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_club"),
        sa.UniqueConstraint("name_key", name="uq_club_name_key"),
    )
    op.create_table(
        "document",
        sa.Column("id", BIG, nullable=False),
        sa.Column("club_id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("name_key", sa.String(240), nullable=False),
        sa.Column("newest", sa.Integer, nullable=False),
        sa.Column("deleted", sa.Boolean, nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name="fk_document_club_id"),
        sa.PrimaryKeyConstraint("id", name="pk_document"),
        sa.UniqueConstraint(
            "club_id", "kind", "name_key", name="uq_document_club_id_kind_name_key"
        ),
    )
    op.create_table(
        "revision",
        sa.Column("id", BIG, nullable=False),
        sa.Column("document_id", BIG, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("act", sa.String(10), nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("deleted", sa.Boolean, nullable=False),
        sa.Column("text_of", sa.Integer, nullable=False),
        sa.Column("back_to", sa.Integer),
        sa.Column("text", sa.Text),
        sa.Column("saved_at", Moment, nullable=False),
        sa.Column("saved_by", sa.String(120), nullable=False),
        sa.ForeignKeyConstraint(["document_id"], ["document.id"], name="fk_revision_document_id"),
        sa.PrimaryKeyConstraint("id", name="pk_revision"),
        sa.UniqueConstraint("document_id", "number", name="uq_revision_document_id_number"),
    )
    op.create_table(
        "tick",
        sa.Column("document_id", BIG, nullable=False),
        sa.Column("list_name", sa.String(60), nullable=False),
        sa.Column("item", sa.String(200), nullable=False),
        sa.Column("ticked_at", Moment, nullable=False),
        sa.Column("ticked_by", sa.String(120), nullable=False),
        sa.ForeignKeyConstraint(["document_id"], ["document.id"], name="fk_tick_document_id"),
        sa.PrimaryKeyConstraint("document_id", "list_name", "item", name="pk_tick"),
    )
