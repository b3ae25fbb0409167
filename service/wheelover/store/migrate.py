"""Bringing the tables of a database up to this version.

Alembic is loaded only where there is something to bring up: a service that starts again on its own
tables is ready a tenth sooner without it.
"""

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, inspect

from wheelover.store.faults import StoreRefused

if TYPE_CHECKING:
    from alembic.config import Config
    from alembic.script import ScriptDirectory


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
    present = schema_of(connection)
    if present != newest():
        _upgrade(connection, present, "head")
    return present, newest()


@cache
def newest() -> str:
    """Return the name of the newest migration of this version; their numbers are in order."""
    folder = files("wheelover.store") / "migrations" / "versions"
    names = [one.name for one in folder.iterdir()]
    return max(name[:-3] for name in names if name.startswith("m") and name.endswith(".py"))


def make_tables(connection: Connection, schema: str) -> None:
    """Make the tables as they were after a migration, in an empty database.

    Raises
    ------
    StoreRefused
        For a migration of a newer version.
    """
    _upgrade(connection, schema, schema)


def schema_of(connection: Connection) -> str | None:
    """Return the name of the last migration a database has had, None for an empty one."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()


def _upgrade(connection: Connection, known: str | None, target: str) -> None:
    """Run the migrations up to one, in a database whose last is one that this version knows."""
    from alembic import command  # noqa: PLC0415  slow to import
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    config = _config(connection)
    _require_known(ScriptDirectory.from_config(config), known)
    command.upgrade(config, target)


def _config(connection: Connection) -> "Config":
    """Return what Alembic needs to know."""
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", "wheelover.store:migrations")
    attributes: dict[Any, Any] = config.attributes
    attributes["connection"] = connection
    return config


def _require_known(scripts: "ScriptDirectory", schema: str | None) -> None:
    """Refuse tables that this version knows nothing of."""
    from alembic.util.exc import CommandError  # noqa: PLC0415

    try:
        scripts.get_revision(schema or "base")
    except CommandError as error:
        raise StoreRefused(
            f"The database was last used by a newer version (its tables are {schema}); "
            "start that version, or restore a backup from before."
        ) from error
