"""Opening the store: which SQLite, how it is set, and that its tables are those of this version."""

import os
import stat
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from sqlalchemy import Engine, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError

from wheelover.store.faults import StoreRefused, translated
from wheelover.store.unit import Unit

# The WAL-reset fault: connections that write and checkpoint at once can lose commits (sqlite.org,
# wal.html). Mended in 3.51.3 and, for older branches, in 3.44.6 and 3.50.7.
_MENDED = ((3, 44, 6, 3, 45), (3, 50, 7, 3, 51))
_MENDED_FROM = (3, 51, 3)
_BUSY_MS = 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class SqliteKind:
    """The SQLite in use. ``wal`` is false where its write-ahead log can lose commits."""

    module: ModuleType
    version: str
    wal: bool

    @property
    def words(self) -> str:
        """Return how the store writes, for the log and ``/readyz``."""
        if self.wal:
            return f"SQLite {self.version}, write-ahead log, synchronous FULL"
        return f"SQLite {self.version} has the WAL-reset fault: rollback journal, synchronous EXTRA"


def sqlite_kind() -> SqliteKind:
    """Return the bundled SQLite where it is installed, else the system's."""
    try:
        from pysqlite3 import dbapi2 as module  # noqa: PLC0415  no wheel fits every machine
    except ImportError:
        import sqlite3 as module  # noqa: PLC0415
    version = str(module.sqlite_version)
    return SqliteKind(module=module, version=version, wal=wal_is_sound(version))


def wal_is_sound(version: str) -> bool:
    """Return whether a version of SQLite is free of the WAL-reset fault.

    Examples
    --------
    >>> wal_is_sound("3.40.1"), wal_is_sound("3.44.6"), wal_is_sound("3.53.4")
    (False, True, True)
    """
    parts = tuple(int(part) for part in version.split("."))
    if parts >= _MENDED_FROM or parts < (3, 7, 0):
        return True
    return any(row[:3] <= parts < row[3:] for row in _MENDED)


class Store:
    """One database. Readers run side by side; there is one writer at a time.

    Parameters
    ----------
    path : Path
        The database file.
    kind : SqliteKind
        The SQLite to open it with.
    """

    def __init__(self, path: Path, kind: SqliteKind) -> None:
        self.kind = kind
        self._writer = _engine(path, kind, "BEGIN IMMEDIATE", pool_size=1)
        self._reader = _engine(path, kind, "BEGIN", pool_size=8)
        self._one_writer = threading.Lock()

    @contextmanager
    def writing(self) -> Iterator[Unit]:
        """Give a unit of work that is kept whole at its end, or not at all.

        Raises
        ------
        Unavailable, NoRoom
            When the database cannot be reached or its disk is full; nothing was kept then.
        """
        with self._one_writer, translated(), self._writer.begin() as connection:
            unit = Unit(connection)
            yield unit
            unit.finish()

    @contextmanager
    def reading(self) -> Iterator[Unit]:
        """Give a unit that sees the store as it is at one moment."""
        with translated(), self._reader.begin() as connection:
            yield Unit(connection)

    def ready(self) -> str:
        """Return how the store writes, after it has answered.

        Raises
        ------
        Unavailable
            When it does not answer.
        """
        with translated(), self._reader.begin() as connection:
            connection.execute(text("SELECT count(*) FROM plan")).scalar_one()
        return self.kind.words

    def close(self) -> None:
        """Close every connection."""
        self._reader.dispose()
        self._writer.dispose()


def _engine(path: Path, kind: SqliteKind, begin: str, pool_size: int) -> Engine:
    """Return an engine whose transactions begin as we say, not as the driver guesses."""
    engine = create_engine(
        make_url("sqlite://").set(database=str(path)),
        module=kind.module,
        pool_size=pool_size,
        max_overflow=0 if pool_size == 1 else 8,
        pool_timeout=10,
    )

    @event.listens_for(engine, "connect")
    def _set(connection: Any, _record: Any) -> None:
        connection.isolation_level = None
        with closing(connection.cursor()) as cursor:
            for pragma in _pragmas(kind):
                cursor.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Any) -> None:
        connection.exec_driver_sql(begin)

    return engine


def _pragmas(kind: SqliteKind) -> tuple[str, ...]:
    """Return the settings of every connection: no acknowledged change is lost in a power cut."""
    journal = (
        ("journal_mode=WAL", "synchronous=FULL")
        if kind.wal
        else ("journal_mode=DELETE", "synchronous=EXTRA")
    )
    return (
        f"busy_timeout={_BUSY_MS}",
        *journal,
        "foreign_keys=ON",
        "trusted_schema=OFF",
        "cell_size_check=ON",
        "mmap_size=0",
    )


def open_store(database_url: str) -> Store:
    """Return the store at a URL, its tables made or brought up to this version.

    Parameters
    ----------
    database_url : str
        ``sqlite:///`` and the path of a file.

    Raises
    ------
    StoreRefused
        For another kind of database, a file that cannot be written or is no database of ours,
        damage, or tables of a newer version.
    """
    from wheelover.store.migrate import bring_up_to_date  # noqa: PLC0415  slow to import

    path = _file_of(database_url)
    _private(path)
    store = Store(path, sqlite_kind())
    try:
        with store._one_writer, store._writer.begin() as connection:
            found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar()
            if found != "ok":
                raise StoreRefused(f"The database {path.name} is damaged; restore a backup of it.")
            bring_up_to_date(connection)
    except DBAPIError as error:
        store.close()
        raise StoreRefused(
            f"The database {path.name} cannot be used ({error.orig}); check that it is a "
            "wheelover database, that its owner runs the service and that it may be written."
        ) from error
    except StoreRefused:
        store.close()
        raise
    return store


def _file_of(database_url: str) -> Path:
    """Return the file of a database URL."""
    try:
        url = make_url(database_url)
    except Exception as error:
        raise StoreRefused(f"{database_url!r} is no database URL; use sqlite:///file") from error
    if url.drivername != "sqlite" or not url.database or url.database == ":memory:":
        raise StoreRefused("This version keeps its store in a SQLite file: sqlite:///file.")
    return Path(url.database)


def _private(path: Path) -> None:
    """Make the file and its folder for the owner alone, before SQLite makes them for all."""
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.touch(mode=0o600, exist_ok=True)
        if stat.S_IMODE(path.stat().st_mode) & 0o077:
            path.chmod(0o600)
    except OSError as error:
        raise StoreRefused(
            f"The database {path.name} cannot be made or opened ({error.strerror}); "
            "set WHEELOVER_DATABASE to a place that may be written."
        ) from error
    if not os.access(path, os.W_OK):
        raise StoreRefused(f"The database {path.name} is read-only; make it writable.")
