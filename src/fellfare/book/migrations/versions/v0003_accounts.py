"""Members, invitations, sessions and attempts to sign in."""

import sqlalchemy as sa
from alembic import op

from fellfare.book.tables import BIG, Moment

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Forward."""
    op.create_table(
        "member",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("club_id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("name_key", sa.String(240), nullable=False),
        sa.Column("role", sa.String(10), nullable=False),
        sa.Column("password_hash", sa.String(200), nullable=False),
        sa.Column("joined_at", Moment, nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name="fk_member_club_id"),
        sa.PrimaryKeyConstraint("id", name="pk_member"),
        sa.UniqueConstraint("club_id", "name_key", name="uq_member_club_id_name_key"),
    )
    op.create_table(
        "invitation",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("club_id", sa.Integer, nullable=False),
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("role", sa.String(10), nullable=False),
        sa.Column("invited_by", sa.String(120), nullable=False),
        sa.Column("made_at", Moment, nullable=False),
        sa.Column("expires_at", Moment, nullable=False),
        sa.Column("used_at", Moment),
        sa.Column("used_by", sa.String(120), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name="fk_invitation_club_id"),
        sa.PrimaryKeyConstraint("id", name="pk_invitation"),
        sa.UniqueConstraint("token_hash", name="uq_invitation_token_hash"),
    )
    op.create_table(
        "session",
        sa.Column("id", BIG, nullable=False),
        sa.Column("member_id", sa.Integer, nullable=False),
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("made_at", Moment, nullable=False),
        sa.Column("seen_at", Moment, nullable=False),
        sa.Column("expires_at", Moment, nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["member.id"], name="fk_session_member_id"),
        sa.PrimaryKeyConstraint("id", name="pk_session"),
        sa.UniqueConstraint("token_hash", name="uq_session_token_hash"),
    )
    op.create_index("ix_session_member_id", "session", ["member_id"])
    op.create_table(
        "attempt",
        sa.Column("id", BIG, nullable=False),
        sa.Column("key_hash", sa.String(64), nullable=False),
        sa.Column("tried_at", Moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_attempt"),
    )
    op.create_index("ix_attempt_key_hash", "attempt", ["key_hash"])
    op.create_index("ix_attempt_tried_at", "attempt", ["tried_at"])
