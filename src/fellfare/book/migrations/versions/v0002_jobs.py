"""Long work outside the request."""

import sqlalchemy as sa
from alembic import op

from fellfare.book.tables import BIG, Moment

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Forward."""
    op.create_table(
        "job",
        sa.Column("id", BIG, nullable=False),
        sa.Column("club_id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("about", sa.String(200), nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("asked", sa.Text, nullable=False),
        sa.Column("progress", sa.Text, nullable=False),
        sa.Column("result", sa.Text, nullable=False),
        sa.Column("asked_by", sa.String(120), nullable=False),
        sa.Column("asked_at", Moment, nullable=False),
        sa.Column("heard_at", Moment),
        sa.Column("ended_at", Moment),
        sa.Column("stop_asked", sa.Boolean, nullable=False),
        sa.Column("tries", sa.Integer, nullable=False),
        sa.Column("worker", sa.String(40), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name="fk_job_club_id"),
        sa.PrimaryKeyConstraint("id", name="pk_job"),
    )
    op.create_index("ix_job_state", "job", ["state"])
