"""Run by alembic: the migrations work on the connection that `store/migrate.py` hands over."""

from alembic import context

from service.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
