"""Bringing the tables of a database up to this version."""

from typing import Any

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util.exc import CommandError
from sqlalchemy import Connection

from wheelover.store.faults import StoreRefused


def bring_up_to_date(connection: Connection) -> tuple[str | None, str]:
    """Run the migrations that a database has not had, inside the transaction it is in.

    Parameters
    ----------
    connection : sqlalchemy.Connection
        In a transaction that no other writes beside: the tables are the old ones or the new ones,
        never between.

    Returns
    -------
    tuple of str or None, and str
        The names of the last migration before (None for a new database) and after.

    Raises
    ------
    StoreRefused
        When the tables are those of a newer version.
    """
    config = _config(connection)
    scripts = ScriptDirectory.from_config(config)
    present, newest = schema_of(connection), str(scripts.get_current_head())
    if present != newest:
        _require_known(scripts, present)
        command.upgrade(config, "head")
    return present, newest


def make_tables(connection: Connection, schema: str) -> None:
    """Make the tables as they were after a migration, in an empty database.

    Raises
    ------
    StoreRefused
        For a migration of a newer version.
    """
    config = _config(connection)
    _require_known(ScriptDirectory.from_config(config), schema)
    command.upgrade(config, schema)


def schema_of(connection: Connection) -> str | None:
    """Return the name of the last migration a database has had, None for an empty one."""
    return MigrationContext.configure(connection).get_current_revision()


def _config(connection: Connection) -> Config:
    """Return what Alembic needs to know."""
    config = Config()
    config.set_main_option("script_location", "wheelover.store:migrations")
    attributes: dict[Any, Any] = config.attributes
    attributes["connection"] = connection
    return config


def _require_known(scripts: ScriptDirectory, schema: str | None) -> None:
    """Refuse tables that this version knows nothing of."""
    try:
        scripts.get_revision(schema or "base")
    except CommandError as error:
        raise StoreRefused(
            f"The database was last used by a newer version (its tables are {schema}); "
            "start that version, or restore a backup from before."
        ) from error
