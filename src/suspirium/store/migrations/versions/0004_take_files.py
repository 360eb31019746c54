"""The files of takes, kept by their content beside the library."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Brings the library to this version."""
    with op.batch_alter_table("takes", schema=None) as batch_op:
        batch_op.add_column(sa.Column("kept_as", sa.String(), server_default="", nullable=False))
