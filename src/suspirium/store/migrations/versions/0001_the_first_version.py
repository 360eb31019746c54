"""The first version."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Brings the library to this version."""
    op.create_table(
        "hymns",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("file_name", sa.String(), nullable=False),
        sa.Column("score", sa.LargeBinary(), nullable=False),
        sa.Column("added_at", sa.DateTime(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("tune", sa.String(), nullable=False),
        sa.Column("first_line", sa.String(), nullable=False),
        sa.Column("author", sa.String(), nullable=False),
        sa.Column("metre", sa.String(), nullable=False),
        sa.Column("fifths", sa.Integer(), nullable=False),
        sa.Column("mode", sa.String(), nullable=False),
        sa.Column("low_midi", sa.Integer(), nullable=False),
        sa.Column("high_midi", sa.Integer(), nullable=False),
        sa.Column("duration_s", sa.Double(), nullable=False),
        sa.Column("difficulty", sa.Double(), nullable=False),
        sa.Column("degrees", sa.Text(), nullable=False),
        sa.Column("intervals", sa.Text(), nullable=False),
        sa.Column("lengths", sa.Text(), nullable=False),
        sa.Column("beats", sa.Text(), nullable=False),
        sa.Column("search", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("overrides", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hymns")),
        sa.UniqueConstraint("digest", name=op.f("uq_hymns_digest")),
    )
    with op.batch_alter_table("hymns", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_hymns_metre"), ["metre"], unique=False)
        batch_op.create_index(batch_op.f("ix_hymns_title"), ["title"], unique=False)
        batch_op.create_index(batch_op.f("ix_hymns_tune"), ["tune"], unique=False)

    op.create_table(
        "rights",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("hymn_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.String(), nullable=False),
        sa.Column("credit", sa.Text(), nullable=False),
        sa.Column("licence", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["hymn_id"], ["hymns.id"], name=op.f("fk_rights_hymn_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rights")),
    )
    with op.batch_alter_table("rights", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_rights_hymn_id"), ["hymn_id"], unique=False)

    op.create_table(
        "stanzas",
        sa.Column("hymn_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["hymn_id"], ["hymns.id"], name=op.f("fk_stanzas_hymn_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("hymn_id", "number", name=op.f("pk_stanzas")),
    )
    op.create_table(
        "tags",
        sa.Column("hymn_id", sa.Integer(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["hymn_id"], ["hymns.id"], name=op.f("fk_tags_hymn_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("hymn_id", "tag", name=op.f("pk_tags")),
    )
