"""Opening the store: which database, and that its tables are those of this version."""

import secrets
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any, Protocol

from sqlalchemy import URL, Connection, Engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError

from wheelover.core.errors import InvalidInput, Unavailable
from wheelover.store.faults import StoreRefused, translated
from wheelover.store.sealing import Seal, seal_of
from wheelover.store.secrets import seal_secrets
from wheelover.store.sqlite import SqliteDatabase
from wheelover.store.unit import Unit

_TURN_WAIT_S = 5.0


class Database(Protocol):
    """What the store asks of an engine. Both promise that one transaction writes at a time."""

    writer: Engine
    reader: Engine
    far: bool
    """Whether a commit can succeed without our hearing of it."""

    def take_turn(self, connection: Connection) -> None:
        """Wait until no other transaction writes; what is read after that stays true."""

    def prepare(self, connection: Connection) -> None:
        """Take the turn at start; raise StoreRefused for a database that must not be used."""

    def words(self, connection: Connection) -> str:
        """Return engine, version and how it writes."""

    def snapshot(self, scratch: Path) -> AbstractContextManager[Connection]:
        """Give the store as it is at one moment, while it is written to.

        ``scratch`` is a folder that a copy may be made in.
        """

    def replacing(self, *, force: bool) -> AbstractContextManager[Connection]:
        """Give a transaction on an empty database that takes the store's place at its end.

        Raises StoreRefused when the store is in use, or holds something and is not forced.
        """

    def refusal(self, error: DBAPIError) -> StoreRefused:
        """Return a fault at start as a refusal with its remedy."""

    def close(self) -> None:
        """Close every connection."""


class Store:
    """One database. Readers run side by side; there is one writer at a time.

    Parameters
    ----------
    database : Database
        SQLite or PostgreSQL.
    schema : str
        Name of the migration its tables are at.
    came_from : str or None
        Name of the migration they were at before this start; None for a new database.
    seal : Seal
        What its secrets are sealed with.
    lost : tuple of str
        What another key file sealed, each a sentence with what must be made anew.
    """

    def __init__(
        self,
        database: Database,
        schema: str,
        came_from: str | None,
        seal: Seal,
        lost: tuple[str, ...] = (),
    ) -> None:
        self.schema, self.came_from = schema, came_from
        self.seal, self.lost = seal, lost
        self._database = database
        self._writer, self._reader = database.writer, database.reader
        self._one_writer = threading.Lock()
        self._name = secrets.token_hex(8)

    @contextmanager
    def writing(self) -> Iterator[Unit]:
        """Give a unit of work that is kept whole at its end, or not at all.

        Raises
        ------
        Unavailable, NoRoom
            When the database cannot be reached or its disk is full. Nothing was kept then, unless
            the error says that this is not known.
        """
        with (
            self._turn(),
            translated(),
            self._writer.connect() as connection,
            connection.begin() as transaction,
        ):
            self._database.take_turn(connection)
            self._require_same_tables(connection)
            unit = Unit(connection, self.seal)
            yield unit
            unit.finish()
            with translated(in_doubt=self._database.far):
                transaction.commit()

    @contextmanager
    def _turn(self) -> Iterator[None]:
        """Let the threads of this process write one after the other, each holding no connection."""
        if not self._one_writer.acquire(timeout=_TURN_WAIT_S):
            raise Unavailable("The store is busy; try again in a moment.")
        try:
            yield
        finally:
            self._one_writer.release()

    def _require_same_tables(self, connection: Connection) -> None:
        """Refuse to write to tables that a newer version has changed since this process started."""
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
        if found != self.schema:
            raise Unavailable(
                f"The tables were brought to {found} while this process ran with {self.schema}; "
                "nothing was kept: restart the service with its newer version."
            )

    @contextmanager
    def reading(self) -> Iterator[Unit]:
        """Give a unit that sees the store as it is at one moment."""
        with translated(), self._reader.begin() as connection:
            yield Unit(connection, self.seal, self._name)

    def ready(self) -> str:
        """Return engine, version and how the store writes, after it has answered.

        Raises
        ------
        Unavailable
            When it does not answer.
        """
        with translated(), self._reader.begin() as connection:
            return self._database.words(connection)

    def close(self) -> None:
        """Close every connection."""
        self._database.close()


def open_store(database_url: str) -> Store:
    """Return the store at a URL, its tables made or brought up to this version.

    Parameters
    ----------
    database_url : str
        ``sqlite:///`` and the path of a file, or ``postgresql://user@host/database``.

    Raises
    ------
    StoreRefused
        For another kind of database, one that cannot be reached or written or is none of ours,
        damage, or tables of a newer version.
    """
    from wheelover.store.migrate import bring_up_to_date  # noqa: PLC0415  slow to import

    database, seal = database_at(database_url), seal_of(database_url)
    try:
        with database.writer.begin() as connection:
            database.prepare(connection)
            came_from, schema = bring_up_to_date(connection)
            lost = seal_secrets(connection, seal)
    except DBAPIError as error:
        database.close()
        raise database.refusal(error) from error
    except BaseException:
        database.close()
        raise
    for engine in (database.writer, database.reader):
        event.listen(engine, "before_cursor_execute", _refuse_nul)
    return Store(database, schema, came_from, seal, lost)


def database_at(database_url: str, *, make: bool = True) -> Database:
    """Return the database at a URL, not looked into yet.

    Parameters
    ----------
    database_url : str
        As ``open_store`` takes it.
    make : bool
        Whether a file that is not there is made.

    Raises
    ------
    StoreRefused
        For another kind of database, or a file that this user must not write.
    """
    url = _read(database_url)
    if url.drivername == "sqlite":
        return SqliteDatabase(url, make=make)
    if url.drivername in ("postgresql", "postgresql+psycopg"):
        # Only now: whoever keeps plans in a file does not wait for the driver to load.
        from wheelover.store.postgres import PostgresDatabase  # noqa: PLC0415

        return PostgresDatabase(url)
    raise StoreRefused(
        f"Plans are not kept in {url.drivername!r}; use sqlite:///file or "
        "postgresql://user@host/database."
    )


def _read(database_url: str) -> URL:
    """Return a database URL in its parts. It may hold a password: it is not repeated."""
    try:
        return make_url(database_url)
    except Exception as error:
        raise StoreRefused(
            "WHEELOVER_DATABASE is no database URL; use sqlite:///file or "
            "postgresql://user@host/database."
        ) from error


def _refuse_nul(
    _connection: Any, _cursor: Any, _sql: str, values: Any, _context: Any, _many: bool
) -> None:
    """Refuse text with the character NUL, which PostgreSQL cannot keep, on either engine."""
    for row in values if isinstance(values, list) else (values,):
        for value in row.values() if isinstance(row, dict) else row or ():
            if isinstance(value, str) and "\0" in value:
                raise InvalidInput("A text holds the character NUL, which cannot be kept.")
