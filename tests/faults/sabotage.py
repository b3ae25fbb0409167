"""Faults built into a running service, by name: what each check must find out."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Engine, create_engine, event

from wheelover.core.errors import NoRoom
from wheelover.store import Store, Unit, open_store

LATE_S = 0.2


def answer_before_commit() -> None:
    """Let a unit of work seem kept at once, and keep it a moment later."""

    @contextmanager
    def writing(self: Store) -> Iterator[Unit]:
        self._one_writer.acquire()
        connection = self._writer.connect()
        transaction = connection.begin()
        self._database.take_turn(connection)

        def commit_late() -> None:
            time.sleep(LATE_S)
            transaction.commit()
            connection.close()
            self._one_writer.release()

        try:
            yield Unit(connection, self.seal)
        finally:
            threading.Thread(target=commit_late).start()

    Store.writing = writing  # type: ignore[method-assign]


def check_then_write() -> None:
    """Look at the tag in one transaction and write in the next, over whatever is there by then."""
    from wheelover.usecases import drafts  # noqa: PLC0415

    whole = drafts.edit_plan

    def edit_plan(
        store: Store, plan_id: str, inputs: Any, tags: tuple[str, ...], *more: Any, **named: Any
    ) -> Any:
        with store.reading() as unit:
            drafts._matching(unit, plan_id, tags)
        time.sleep(0.01)
        return whole(store, plan_id, inputs, None, *more, **named)  # type: ignore[arg-type]

    drafts.edit_plan = edit_plan


def acknowledge_errors() -> None:
    """Answer 201 where there was no room."""
    from wheelover.api import problems  # noqa: PLC0415

    problems._TABLE = tuple(
        (error, kind, 201 if error is NoRoom else status) for error, kind, status in problems._TABLE
    )


def stock_protocol() -> None:
    """Wait for a request as long as its sender likes."""
    from wheelover.cli import serve  # noqa: PLC0415

    serve.protocol = lambda: "httptools"  # type: ignore[assignment, return-value]


def no_cap() -> None:
    """Take bodies of any size."""
    from wheelover.api import guard  # noqa: PLC0415

    guard.body_limit = lambda _path: 10**12


def drop_at_once() -> None:
    """End on SIGTERM without waiting for what is being answered."""
    import signal  # noqa: PLC0415

    import uvicorn  # noqa: PLC0415

    def handled(self: uvicorn.Server, *_: Any) -> None:
        import os  # noqa: PLC0415

        os._exit(0)

    uvicorn.Server.handle_exit = handled  # type: ignore[method-assign]
    signal.signal(signal.SIGTERM, signal.SIG_DFL)


def ignore_version() -> None:
    """Open tables of any version as if they were those of this one."""
    from wheelover.store import migrate  # noqa: PLC0415

    migrate.bring_up_to_date = lambda _connection: (None, "any")


def ignore_owner() -> None:
    """Open a file whoever it belongs to and whatever its mode."""
    from wheelover.store import sqlite  # noqa: PLC0415

    sqlite.make_private = lambda _path: None


def bare_refusals() -> None:
    """Let what the database's driver says end a start, whatever it is."""
    from wheelover.store import open as opening  # noqa: PLC0415

    class Never(Exception):
        """Raised by nobody, so that nothing is caught by its name."""

    opening.DBAPIError = Never  # type: ignore[assignment, misc]


def ddl_outside_a_transaction() -> None:
    """Let every statement of a migration stand for itself."""
    from wheelover.store import postgres, sqlite  # noqa: PLC0415

    plain = sqlite._engine

    def without_begin(path: Any, kind: Any, begin: str, **more: Any) -> Any:
        return plain(path, kind, "SELECT 1" if "IMMEDIATE" in begin else begin, **more)

    def at_once(*arguments: Any, **more: Any) -> Any:
        return create_engine(*arguments, **{**more, "isolation_level": "AUTOCOMMIT"})

    sqlite._engine = without_begin
    postgres.create_engine = at_once  # type: ignore[assignment]


def migrate_slowly(url: str, pause_s: float, sabotage: str | None, begun: Any) -> None:
    """Bring a database up to date, pausing before every statement: a process to be killed."""
    if sabotage is not None:
        globals()[sabotage]()

    @event.listens_for(Engine, "before_cursor_execute")
    def _pause(*_arguments: Any) -> None:
        begun.set()
        time.sleep(pause_s)

    open_store(url).close()
