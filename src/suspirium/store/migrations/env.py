"""How Alembic runs the versions: on the connection it is handed, in one transaction."""

from __future__ import annotations

from alembic import context

from suspirium.store.schema import Base

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=Base.metadata, render_as_batch=True)
with context.begin_transaction():
    context.run_migrations()
