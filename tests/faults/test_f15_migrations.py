"""F15: every released schema is brought up to this one, on both engines, also when killed."""

import random
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy import Column, MetaData, Table, inspect

from tests.cluster import Cluster
from tests.faults.figures import report
from tests.faults.running import CONTEXT
from tests.faults.sabotage import migrate_slowly
from tests.stores import ENGINES, fresh
from wheelover.store import open_store
from wheelover.store.backup import take_backup
from wheelover.store.migrate import schema_of
from wheelover.store.open import database_at
from wheelover.store.restore import restore_backup
from wheelover.store.rows import Total, tables_in, total_of
from wheelover.usecases.audit import verify

_RELEASED = Path(__file__).with_name("released")
SCHEMAS = sorted({one.name.split(".")[0] for one in _RELEASED.glob("*.sql")})
_NOW = "2026-11-26T00:00:00.000Z"
_PAUSE_S = 0.004

Columns = dict[str, list[Column[Any]]]


@contextmanager
def released(
    schema: str, engine: str, folder: Path, request: pytest.FixtureRequest
) -> Iterator[str]:
    """Give the URL of a database as a release left it."""
    script = (_RELEASED / f"{schema}.{engine}.sql").read_text()
    if engine == "sqlite":
        folder.mkdir(mode=0o700)
        path = folder / "released.sqlite3"
        with sqlite3.connect(path) as connection:
            connection.executescript(script)
        connection.close()
        yield f"sqlite:///{path}"
        return
    server: Cluster = request.getfixturevalue("postgres")
    for url in fresh(server, "template0"):
        name = url.split("@/")[1].split("?")[0]
        with psycopg.connect(f"{server.dsn} dbname={name}") as connection:
            connection.execute(script.encode())
        yield url


def as_it_is(url: str, only: Columns | None = None) -> tuple[str | None, dict[str, Total], Columns]:
    """Return schema, what each table holds and its columns, without migrating anything.

    ``only`` names the columns that are looked at; the tables beside them are not.
    """
    database = database_at(url)
    with database.reader.begin() as connection:
        tables = {str(one.name): one for one in tables_in(connection)}
        columns = {name: list(one.columns) for name, one in tables.items()}
        if only is not None:
            tables = {name: _with(name, those) for name, those in only.items()}
        found = {name: total_of(connection, one) for name, one in tables.items()}
        schema = schema_of(connection)
    database.close()
    return schema, found, columns


def _with(name: str, columns: list[Column[Any]]) -> Table:
    """Return a table of some columns."""
    copied = [Column(one.name, one.type, primary_key=one.primary_key) for one in columns]
    return Table(name, MetaData(), *copied)


def _state(url: str) -> tuple[str | None, tuple[str, ...]]:
    """Return schema, tables, columns and triggers: the whole shape of a database."""
    database = database_at(url)
    with database.reader.begin() as connection:
        found = inspect(connection)
        shape = [f"{t}.{c['name']}" for t in found.get_table_names() for c in found.get_columns(t)]
        catalogue = "sqlite_master WHERE type = 'trigger'"
        if connection.dialect.name == "postgresql":
            catalogue = "pg_trigger WHERE NOT tgisinternal"
        name = "name" if "sqlite" in catalogue else "tgname"
        shape += connection.exec_driver_sql(f"SELECT {name} FROM {catalogue}").scalars()
        schema = schema_of(connection)
    database.close()
    return schema, tuple(sorted(shape))


def passed(schema: str, engine: str, folder: Path, request: pytest.FixtureRequest) -> bool:
    """Return whether rows, digests and chains of a released database are what they were."""
    with released(schema, engine, folder, request) as url:
        was, before, columns = as_it_is(url)
        assert was == schema
        backup = folder.with_name(f"{folder.name}.backup")
        take_backup(url, backup, _NOW, force=False)
        store = open_store(url)
        sound = not verify(store).faults and store.came_from == schema
        store.close()
        now, after, _ = as_it_is(url, columns)
        restored = f"sqlite:///{folder.with_name(folder.name + '.sqlite3')}"
        restore_backup(backup, restored, force=False)
        again, from_backup, _ = as_it_is(restored, columns)
    return sound and after == before == from_backup and now == again == store.schema


def test_every_released_schema_is_brought_up_to_date(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    results = [
        passed(schema, engine, tmp_path / f"{schema}-{engine}", request)
        for schema in SCHEMAS
        for engine in ENGINES
    ]
    report("F15", versions=len(SCHEMAS), passed=sum(results), ratio=sum(results) / len(results))
    assert results == [True] * len(SCHEMAS) * len(ENGINES)
    assert SCHEMAS


def killed(
    engine: str, kills: int, folder: Path, request: pytest.FixtureRequest, sabotage: str | None
) -> dict[str, Any]:
    """Return in which states migrations were found that were killed at any moment."""
    states = {"old": 0, "new": 0, "between": 0}
    chance, took_s = random.Random(kills), 0.0  # noqa: S311
    new: Any = None
    for number in range(kills + 1):
        with released(SCHEMAS[0], engine, folder / str(number), request) as url:
            old, begun = _state(url), CONTEXT.Event()
            process = CONTEXT.Process(target=migrate_slowly, args=(url, _PAUSE_S, sabotage, begun))
            process.start()
            assert begun.wait(60)
            began_s = time.monotonic()
            process.join(None if number == 0 else chance.uniform(0.0, 1.0) * took_s)
            process.kill()
            process.join()
            process.close()
            if number == 0:
                took_s, new = time.monotonic() - began_s, _state(url)
                continue
            found = _state(url)
            kind = "old" if found == old else "new" if found == new else "between"
            states[kind] += 1
    return {"kills": kills, **states}


def test_a_migration_that_is_killed_leaves_the_old_or_the_new(
    engine: str, tmp_path: Path, long_form: bool, request: pytest.FixtureRequest
) -> None:
    figures = killed(engine, 20 if long_form else 5, tmp_path, request, None)
    report("F15", engine=engine, **figures)
    assert figures["between"] == 0


def test_tables_made_outside_a_transaction_are_found_out(
    engine: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    figures = killed(engine, 6, tmp_path, request, "ddl_outside_a_transaction")
    report("F15-twin", engine=engine, **figures)
    assert figures["between"] > 0
