"""Alembic's entry. The connection, its lock and its transaction are the caller's."""

from alembic import context

context.configure(connection=context.config.attributes["connection"])
context.run_migrations()
