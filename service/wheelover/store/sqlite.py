"""SQLite: which one, how it is set, and whose file it is."""

import os
import stat
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError

from wheelover.store.faults import StoreRefused

# The WAL-reset fault: connections that write and checkpoint at once can lose commits (sqlite.org,
# wal.html). Mended in 3.51.3 and, for older branches, in 3.44.6 and 3.50.7.
_MENDED = ((3, 44, 6, 3, 45), (3, 50, 7, 3, 51))
_MENDED_FROM = (3, 51, 3)
_BUSY_MS = 5000
_READERS, _MORE_READERS, _POOL_WAIT_S = 8, 8, 10.0


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


class SqliteDatabase:
    """One file. A write transaction begins by taking the file's only write lock.

    Parameters
    ----------
    url : sqlalchemy.URL
        ``sqlite:///`` and the path of a file.

    Raises
    ------
    StoreRefused
        When there is no file of that name that this user owns and may write.
    """

    far = False

    def __init__(self, url: URL) -> None:
        self.path = file_of(url)
        make_private(self.path)
        self._kind = sqlite_kind()
        self.writer = _engine(self.path, self._kind, "BEGIN IMMEDIATE", pool_size=1)
        self.reader = _engine(self.path, self._kind, "BEGIN", pool_size=_READERS)

    def take_turn(self, connection: Connection) -> None:
        """Do nothing: ``BEGIN IMMEDIATE`` has taken the turn already."""

    def prepare(self, connection: Connection) -> None:
        """Look through the file before anything is done to it.

        Raises
        ------
        StoreRefused
            When it is damaged.
        """
        if connection.exec_driver_sql("PRAGMA quick_check(1)").scalar() != "ok":
            raise StoreRefused(f"The database {self.path.name} is damaged; restore a backup of it.")

    def words(self, connection: Connection) -> str:
        """Return how the store writes, after it has answered."""
        connection.exec_driver_sql("SELECT count(*) FROM plan").scalar_one()
        return self._kind.words

    def refusal(self, error: DBAPIError) -> StoreRefused:
        """Return why the file cannot be opened, and what helps."""
        return StoreRefused(
            f"The database {self.path.name} cannot be used ({error.orig}); check that it is a "
            "wheelover database, that its owner runs the service and that it may be written."
        )

    def close(self) -> None:
        """Close every connection."""
        self.reader.dispose()
        self.writer.dispose()


def _engine(path: Path, kind: SqliteKind, begin: str, pool_size: int) -> Engine:
    """Return an engine whose transactions begin as we say, not as the driver guesses."""
    engine = create_engine(
        make_url("sqlite://").set(database=str(path)),
        module=kind.module,
        pool_size=pool_size,
        max_overflow=0 if pool_size == 1 else _MORE_READERS,
        pool_timeout=_POOL_WAIT_S,
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


def file_of(url: URL) -> Path:
    """Return the file of a database URL.

    Raises
    ------
    StoreRefused
        For a database in memory, which would keep nothing.
    """
    if not url.database or url.database == ":memory:":
        raise StoreRefused("A SQLite store needs a file: sqlite:/// and its path.")
    return Path(url.database)


def make_private(path: Path) -> None:
    """Make the file and its folder for the owner alone, before SQLite makes them for all.

    Raises
    ------
    StoreRefused
        When they cannot be made, or the file is another user's or read-only.
    """
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.touch(mode=0o600, exist_ok=True)
        status = path.stat()
        # What another user makes beside the file (write-ahead log, journal) locks the owner out.
        _require_owner(path, status.st_uid)
        if stat.S_IMODE(status.st_mode) & 0o077:
            path.chmod(stat.S_IMODE(status.st_mode) & 0o700)
    except OSError as error:
        raise StoreRefused(
            f"The database {path.name} cannot be made or opened ({error.strerror}); "
            "set WHEELOVER_DATABASE to a place that its user may write."
        ) from error
    if not stat.S_IMODE(status.st_mode) & 0o200 or not os.access(path, os.W_OK):
        raise StoreRefused(f"The database {path.name} is read-only; make it writable (chmod u+w).")


def _require_owner(path: Path, owner: int) -> None:
    """Refuse a file that belongs to another user than the one who runs the service."""
    effective: Callable[[], int] | None = getattr(os, "geteuid", None)
    if effective is not None and owner != effective():
        raise StoreRefused(
            f"The database {path.name} belongs to user {owner} and the service runs as user "
            f"{effective()}; run it as its owner, or give it the file (chown)."
        )
