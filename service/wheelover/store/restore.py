"""Restoring a backup into an empty store of either engine, whole or not at all."""

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import groupby
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, insert, inspect, text

from wheelover.core.errors import Damaged
from wheelover.store.backup import Backup, read_backup, rows_in
from wheelover.store.emptiness import take_out_seeds
from wheelover.store.faults import translated
from wheelover.store.key_wrap import unwrapped
from wheelover.store.migrate import bring_up_to_date, make_tables
from wheelover.store.open import database_at
from wheelover.store.rows import tables_in, total_of, values_in
from wheelover.store.sealing import seal_of
from wheelover.store.secrets import seal_secrets

_AT_ONCE_COUNT = 50


def restore_backup(
    source: Path, database_url: str, *, force: bool, passphrase: str | None = None
) -> tuple[Backup, str]:
    """Put a backup into a store, hold what is there then against it, and bring it up to date.

    The tables are made as they were when the backup was taken, filled, compared row by row, and
    only then migrated: a backup of any released version can be restored.

    Parameters
    ----------
    source : Path
        The backup.
    database_url : str
        The store; it must not be in use.
    force : bool
        Whether what the store holds may be replaced. A file that is replaced stays beside it,
        its name ending in ``.before-restore``.
    passphrase : str or None
        Of a backup that brings its key file along, which is then put where this store's belongs.
        None leaves it in the backup: what it sealed must be made anew (``Store.lost``).

    Returns
    -------
    Backup, str
        What was restored, and the name of the last migration that the store has now.

    Raises
    ------
    UnreadableFile
        For a backup that is not whole, has no key along, or another passphrase.
    StoreRefused, Unavailable, NoRoom
        When the store is in use, not empty or cannot be written, or the backup is of a newer
        version.
    Damaged
        When what was written is not what the backup holds.
    """
    backup, seal = read_backup(source), seal_of(database_url)
    secret = None if passphrase is None else unwrapped(backup.key, passphrase)
    if secret is not None:
        seal.require_place_for(secret)
    database = database_at(database_url)
    try:
        with translated(), database.replacing(force=force) as connection:
            make_tables(connection, backup.schema)
            tables = {table.name: table for table in tables_in(connection)}
            with _references_later(connection):
                take_out_seeds(connection)
                _fill(connection, source, tables)
            _require_same(connection, backup, tables)
            _, schema = bring_up_to_date(connection)
            if secret is not None:
                seal.take_over(secret)
            seal_secrets(connection, seal)
        return backup, schema
    finally:
        database.close()


def _fill(connection: Connection, source: Path, tables: dict[str, Table]) -> None:
    """Insert every row of a backup."""
    for name, rows in groupby(rows_in(source), key=lambda row: row[0]):
        batch: list[dict[str, Any]] = []
        for _, columns, line in rows:
            batch.append(dict(zip(columns, values_in(line), strict=True)))
            if len(batch) == _AT_ONCE_COUNT:
                connection.execute(insert(tables[name]), batch)
                batch = []
        if batch:
            connection.execute(insert(tables[name]), batch)
        _count_on(connection, tables[name])


def _count_on(connection: Connection, table: Table) -> None:
    """Let numbers that the server gives begin after those that were put back."""
    if connection.dialect.name != "postgresql":
        return
    for column in table.primary_key.columns:
        names = {"table": table.name, "column": column.name}
        found = connection.execute(
            text("SELECT pg_get_serial_sequence(:table, :column)"), names
        ).scalar()
        if found is not None:
            highest = f"SELECT max({column.name}) FROM {table.name}"  # noqa: S608  names of ours
            last = connection.exec_driver_sql(highest).scalar()
            if last is not None:
                connection.execute(
                    text("SELECT setval(:name, :last)"), {"name": found, "last": last}
                )


@contextmanager
def _references_later(connection: Connection) -> Iterator[None]:
    """Let rows point at rows that come later, and hold every one to it at the end.

    SQLite's new file is checked by ``PRAGMA foreign_key_check`` before it takes its place.
    """
    if connection.dialect.name != "postgresql":
        yield
        return
    found = inspect(connection)
    names = [
        (table, key["name"])
        for table in found.get_table_names()
        for key in found.get_foreign_keys(table)
    ]
    for table, name in names:
        connection.exec_driver_sql(f"ALTER TABLE {table} ALTER CONSTRAINT {name} DEFERRABLE")
    connection.exec_driver_sql("SET CONSTRAINTS ALL DEFERRED")
    yield
    connection.exec_driver_sql("SET CONSTRAINTS ALL IMMEDIATE")
    for table, name in names:
        connection.exec_driver_sql(f"ALTER TABLE {table} ALTER CONSTRAINT {name} NOT DEFERRABLE")


def _require_same(connection: Connection, backup: Backup, tables: dict[str, Table]) -> None:
    """Hold every table, as it is read back, against the backup."""
    for name, total in backup.totals.items():
        if total_of(connection, tables[name]) != total:
            raise Damaged(f"table {name} was not restored as it was; nothing was changed")
