"""Whose measures a member wants to see."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Forward; nobody has said anything yet."""
    op.add_column("member", sa.Column("measures", sa.String(10), nullable=False, server_default=""))
