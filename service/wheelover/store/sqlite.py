"""SQLite: which one, how it is set, and whose file it is."""

import fcntl
import os
import tempfile
import weakref
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError

from wheelover.core.errors import Damaged
from wheelover.store.faults import StoreRefused
from wheelover.store.files import COMPANIONS, beside, file_of, make_private, remove, sync_folder

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
    make : bool
        Whether a file that is not there is made.

    Raises
    ------
    StoreRefused
        When there is no file of that name that this user owns and may write, or a backup is just
        being restored into it.
    """

    far = False

    def __init__(self, url: URL, *, make: bool = True) -> None:
        self.path = file_of(url)
        if not make and not self.path.exists():
            raise StoreRefused(f"There is no database {self.path.name}; is WHEELOVER_DATABASE set?")
        make_private(self.path)
        # A rollback journal leaves no trace of who has the file open: so each who has holds this.
        self._use = os.open(beside(self.path, "-lock"), os.O_RDWR | os.O_CREAT, 0o600)
        self._end_use = weakref.finalize(self, os.close, self._use)
        self._hold(fcntl.LOCK_SH, "a backup is just being restored into it; wait for that")
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

    @contextmanager
    def snapshot(self, scratch: Path) -> Iterator[Connection]:
        """Give a copy made by SQLite's online backup, once it was found whole.

        Writers go on: with a rollback journal a reader of the file itself would stop them.

        Raises
        ------
        StoreRefused
            When the file is damaged.
        """
        handle, name = tempfile.mkstemp(prefix=f".{self.path.name}.", dir=scratch)
        os.close(handle)
        copy = Path(name)
        try:
            with self._reader_of_all() as whole, closing(self._kind.module.connect(copy)) as target:
                whole.backup(target)
            engine = _engine(copy, self._kind, "BEGIN", pool_size=1)
            try:
                with engine.begin() as connection:
                    require_whole(connection, self.path)
                    yield connection
            finally:
                engine.dispose()
        finally:
            remove(copy)

    @contextmanager
    def _reader_of_all(self) -> Iterator[Any]:
        """Give the driver's own connection to the file."""
        with closing(self.reader.raw_connection()) as connection:
            yield connection.driver_connection

    @contextmanager
    def replacing(self, *, force: bool) -> Iterator[Connection]:
        """Give a transaction on a new file, which takes the name of this one at its end.

        Raises
        ------
        StoreRefused
            When the file is in use, or holds something and is not forced.
        """
        self._hold(fcntl.LOCK_EX, "it is in use; stop the service first")
        holds_something = self._holds_something()
        if holds_something and not force:
            raise StoreRefused(
                f"The database {self.path.name} is not empty; --force replaces it and keeps it "
                f"as {self.path.name}.before-restore."
            )
        self.close_connections()
        new = beside(self.path, ".restoring")
        remove(new)
        make_private(new)
        engine = _engine(new, self._kind, "BEGIN IMMEDIATE", pool_size=1, foreign_keys="OFF")
        try:
            with engine.begin() as connection:
                yield connection
                require_whole(connection, self.path)
            with engine.connect() as connection:
                connection.exec_driver_sql("COMMIT")
                connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
            engine.dispose()
            self._take_place(new, keep_old=holds_something)
        finally:
            engine.dispose()
            remove(new)

    def _hold(self, how: int, why: str) -> None:
        """Hold the file against others, or say why it cannot be had."""
        try:
            fcntl.flock(self._use, how | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise StoreRefused(f"The database {self.path.name} cannot be used: {why}.") from error

    def _holds_something(self) -> bool:
        """Return whether the file holds anything, or something that cannot be read."""
        from wheelover.store.emptiness import holds_something  # noqa: PLC0415  slow to import

        try:
            with self.writer.begin() as connection:
                return holds_something(connection)
        except (DBAPIError, Damaged):
            return True

    def _take_place(self, new: Path, *, keep_old: bool) -> None:
        """Put a new file in the place of this one; at no moment is there none."""
        if keep_old:
            kept = beside(self.path, ".before-restore")
            remove(kept)
            os.link(self.path, kept)
            # What a damaged file left beside it belongs to it; a sound one has left nothing.
            for suffix in COMPANIONS:
                if beside(self.path, suffix).exists():
                    beside(self.path, suffix).replace(beside(kept, suffix))
        for suffix in COMPANIONS:
            beside(self.path, suffix).unlink(missing_ok=True)
        new.replace(self.path)
        sync_folder(self.path.parent)

    def refusal(self, error: DBAPIError) -> StoreRefused:
        """Return why the file cannot be opened, and what helps."""
        return StoreRefused(
            f"The database {self.path.name} cannot be used ({error.orig}); check that it is a "
            "wheelover database, that its owner runs the service and that it may be written."
        )

    def close_connections(self) -> None:
        """Close every connection, and go on holding the file."""
        self.reader.dispose()
        self.writer.dispose()

    def close(self) -> None:
        """Close every connection and let the file go."""
        self.close_connections()
        self._end_use()


def _engine(
    path: Path, kind: SqliteKind, begin: str, pool_size: int, foreign_keys: str = "ON"
) -> Engine:
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
            for pragma in (*_pragmas(kind), f"foreign_keys={foreign_keys}"):
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
        "trusted_schema=OFF",
        # A secret that was wiped or sealed does not stay in a free page.
        "secure_delete=ON",
        "cell_size_check=ON",
        "mmap_size=0",
    )


def require_whole(connection: Connection, path: Path) -> None:
    """Refuse a database with damaged pages, or rows that point at nothing.

    Raises
    ------
    StoreRefused
        For such a database; ``path`` is what it is called.
    """
    for pragma in ("integrity_check(1)", "foreign_key_check"):
        found = connection.exec_driver_sql(f"PRAGMA {pragma}").first()
        if found is not None and tuple(found) != ("ok",):
            raise StoreRefused(f"The database {path.name} is damaged ({pragma}: {tuple(found)}).")
