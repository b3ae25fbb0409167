"""PostgreSQL: how it is reached, how long anything may take, and one writer at a time."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, inspect, text
from sqlalchemy.exc import DBAPIError

from wheelover.store.faults import StoreRefused, sqlstate_of
from wheelover.store.rows import tables_in

_POOL_COUNT, _POOL_WAIT_S = 10, 2.0
_CONNECT_S = 3
_ANSWER_MS = 10_000
"""A server that is gone without a word is given up after so long."""

APPLICATION = "wheelover"
"""What our connections are called in pg_stat_activity."""

_START_WAIT_MS = 60_000
"""A start may wait so long while another process brings the tables up to date."""

# Milliseconds. A lock is never waited for longer than a statement may take.
_LIMITS_MS = {
    "statement_timeout": 5_000,
    "idle_in_transaction_session_timeout": 10_000,
    "lock_timeout": 4_000,
}
_WRITERS_LOCK = 0x77686565
"""The number of the lock that a writing transaction holds ("whee"); one for each database."""

_AS_IT_IS = """
SELECT current_setting('server_version') AS version,
       current_setting('server_encoding') AS encoding,
       current_setting('synchronous_commit') AS synchronous_commit,
       current_setting('fsync') AS fsync,
       current_setting('full_page_writes') AS full_page_writes,
       current_setting('data_checksums') AS checksums,
       pg_is_in_recovery() AS standby
"""

_OTHERS = """
SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()
AND pid <> pg_backend_pid() AND application_name = :name
"""


class PostgresDatabase:
    """One database of a server. Writing transactions wait for each other by an advisory lock.

    READ COMMITTED alone would let two processes read the same newest number and both write the
    next: of changes, of editions, of the audit chain. A counter row under ``FOR UPDATE`` would
    cure one table at a time and be forgotten in the next. So every writing transaction takes one
    lock first and reads after that, on any table and from any process, as SQLite has it; the
    server frees it with the transaction, however that ends. It holds a fleet: 1,400 commits a
    second were measured over one connection, 23 are needed at the peak of a thousand ships.

    Readers take no lock: each sees the store as it is at one moment (REPEATABLE READ, read only).

    Parameters
    ----------
    url : sqlalchemy.URL
        ``postgresql://user@host/database``; what is not in it, libpq takes from its own places.

    Raises
    ------
    StoreRefused
        Where the driver is not installed.
    """

    far = True

    def __init__(self, url: URL) -> None:
        self._name = _name_of(url)
        try:
            self.writer = create_engine(
                url.set(drivername="postgresql+psycopg"),
                connect_args=_connect_arguments(url),
                isolation_level="READ COMMITTED",
                pool_size=_POOL_COUNT,
                max_overflow=0,
                pool_timeout=_POOL_WAIT_S,
                pool_pre_ping=True,
            )
        except ImportError as error:
            raise StoreRefused(
                "A store in PostgreSQL needs the package psycopg; install it, or use sqlite:///."
            ) from error
        self.reader: Engine = self.writer.execution_options(
            isolation_level="REPEATABLE READ", postgresql_readonly=True
        )

    def take_turn(self, connection: Connection) -> None:
        """Wait until no other transaction writes, in this process or in another."""
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITERS_LOCK})")

    def prepare(self, connection: Connection) -> None:
        """Take the turn for as long as bringing the tables up to date needs.

        Raises
        ------
        StoreRefused
            For a standby, or a database that does not keep text as UTF-8.
        """
        found = connection.execute(text(_AS_IT_IS)).one()
        if found.standby:
            raise StoreRefused(
                f"The database {self._name} is a standby, which takes no changes; "
                "set WHEELOVER_DATABASE to its primary."
            )
        if found.encoding != "UTF8":
            raise StoreRefused(
                f"The database {self._name} keeps text as {found.encoding}; "
                "make it anew with ENCODING 'UTF8'."
            )
        connection.exec_driver_sql(f"SET LOCAL lock_timeout = {_START_WAIT_MS}")
        connection.exec_driver_sql("SET LOCAL statement_timeout = 0")
        self.take_turn(connection)

    def words(self, connection: Connection) -> str:
        """Return how the store writes, after it has answered."""
        connection.exec_driver_sql("SELECT count(*) FROM alembic_version").scalar_one()
        found = connection.execute(text(_AS_IT_IS)).one()
        version = f"PostgreSQL {found.version.split()[0]}"
        names = ("fsync", "full_page_writes", "synchronous_commit")
        off = [name for name in names if getattr(found, name) == "off"]
        if off:
            return f"{version} with {' and '.join(off)} off: a crash can lose changes"
        return f"{version}, synchronous_commit {found.synchronous_commit}, page checksums " + (
            f"{found.checksums}"
        )

    @contextmanager
    def snapshot(self, scratch: Path) -> Iterator[Connection]:  # noqa: ARG002  needs no copy
        """Give a transaction that sees one moment, for as long as reading it takes."""
        with self.reader.begin() as connection:
            for limit in ("statement_timeout", "idle_in_transaction_session_timeout"):
                connection.exec_driver_sql(f"SET LOCAL {limit} = 0")
            yield connection

    @contextmanager
    def replacing(self, *, force: bool) -> Iterator[Connection]:
        """Give a transaction on the database with its tables gone; others see the old till its end.

        Raises
        ------
        StoreRefused
            When the database is in use, holds something and is not forced, or holds tables of
            something else.
        """
        from wheelover.store.emptiness import holds_something  # noqa: PLC0415  slow to import

        with self.writer.begin() as connection:
            self.prepare(connection)
            connection.exec_driver_sql("SET LOCAL idle_in_transaction_session_timeout = 0")
            if connection.execute(text(_OTHERS), {"name": APPLICATION}).scalar():
                raise StoreRefused(
                    f"The database {self._name} is in use; stop every service that keeps plans in "
                    "it first."
                )
            tables = tables_in(connection)
            if tables and not inspect(connection).has_table("alembic_version"):
                raise StoreRefused(
                    f"The database {self._name} holds tables of something else; make another."
                )
            if not force and holds_something(connection):
                raise StoreRefused(f"The database {self._name} is not empty; --force empties it.")
            for table in ("alembic_version", *(one.name for one in tables)):
                connection.exec_driver_sql(f'DROP TABLE IF EXISTS "{table}" CASCADE')
            yield connection

    def refusal(self, error: DBAPIError) -> StoreRefused:
        """Return why the database cannot be opened, and what helps."""
        state = sqlstate_of(error) or ""
        reason = " ".join(str(error.orig).split())
        remedies = {
            "42501": "make the service's role the owner of the database",
            "25": "let the service's role write",
            "55": "another process holds its tables: end that first",
        }
        # A refused connection brings no code (libpq), only the server's words.
        remedy = (
            "see that the server runs, that it has this database and lets the service's role in, "
            "or set WHEELOVER_DATABASE to another"
        )
        remedy = next((text for code, text in remedies.items() if state.startswith(code)), remedy)
        return StoreRefused(f"The database {self._name} cannot be used ({reason}); {remedy}.")

    def close(self) -> None:
        """Close every connection."""
        self.writer.dispose()


def _name_of(url: URL) -> str:
    """Return what a database is called in messages: no user, no password."""
    place = url.host or str(url.query.get("host", "this machine"))
    return f"{url.database} at {place}" + (f":{url.port}" if url.port else "")


def _connect_arguments(url: URL) -> dict[str, Any]:
    """Return what a connection is opened with; what the URL says of the same counts."""
    limits = " ".join(f"-c {name}={value}" for name, value in _LIMITS_MS.items())
    ours = {
        "connect_timeout": _CONNECT_S,
        "tcp_user_timeout": _ANSWER_MS,
        "application_name": APPLICATION,
    }
    arguments: dict[str, Any] = {key: value for key, value in ours.items() if key not in url.query}
    given = url.query.get("options", ())
    arguments["options"] = " ".join([limits, *((given,) if isinstance(given, str) else given)])
    return arguments
