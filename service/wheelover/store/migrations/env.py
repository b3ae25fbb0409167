"""How Alembic reaches the database: over the connection the store hands it."""

from alembic import context

from wheelover.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
    transaction_per_migration=False,
)
with context.begin_transaction():
    context.run_migrations()
