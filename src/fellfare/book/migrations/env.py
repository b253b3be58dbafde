"""Run by alembic: the steps on the connection that we hand in, inside its transaction."""

from alembic import context

from fellfare.book.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,  # SQLite changes a table by copying it
)
with context.begin_transaction():
    context.run_migrations()
