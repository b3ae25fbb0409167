"""Bringing the tables of a database up to this version."""

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util.exc import CommandError
from sqlalchemy import Connection

from wheelover.store.faults import StoreRefused


def bring_up_to_date(connection: Connection) -> None:
    """Run the migrations that a database has not had, inside the transaction it is in.

    Parameters
    ----------
    connection : sqlalchemy.Connection
        In a transaction: the tables are the old ones or the new ones, never between.

    Raises
    ------
    StoreRefused
        When the tables are those of a newer version.
    """
    config = Config()
    config.set_main_option("script_location", "wheelover.store:migrations")
    config.attributes["connection"] = connection
    scripts = ScriptDirectory.from_config(config)
    present = MigrationContext.configure(connection).get_current_revision()
    if present == scripts.get_current_head():
        return
    try:
        scripts.get_revision(present or "base")
        command.upgrade(config, "head")
    except CommandError as error:
        raise StoreRefused(
            f"The database was last used by a newer version (its tables are {present}); "
            "start that version, or restore a backup from before."
        ) from error
