"""Weeks of practice, and the running record of every hymn."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Brings the library to this version."""
    op.create_table(
        "weeks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("service_on", sa.Date(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("asked", sa.Text(), nullable=False),
        sa.Column("laid_out", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_weeks")),
    )
    with op.batch_alter_table("weeks", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_weeks_service_on"), ["service_on"], unique=False)

    op.create_table(
        "practice",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("details", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_practice")),
    )
    with op.batch_alter_table("practice", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_practice_digest"), ["digest"], unique=False)
