"""A store in SQLite: which SQLite, its journal, whose file it is, and what is refused."""

import sqlite3
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.kept import NOW, draft, started
from wheelover.core.errors import Unavailable
from wheelover.store import Store, StoreRefused, open_store
from wheelover.store.migrate import newest
from wheelover.store.sqlite import sqlite_kind, wal_is_sound

ROOT = Path(__file__).parents[2]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "folder" / "wheelover.sqlite3"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    opened = open_store(f"sqlite:///{path}")
    yield opened
    opened.close()


@pytest.mark.parametrize(
    ("version", "sound"),
    [
        # sqlite.org, wal.html, "The WAL-reset bug": 3.7.0 to 3.51.2, mended in 3.51.3 and
        # back-ported to 3.44.6 and 3.50.7.
        ("3.6.23", True),
        ("3.7.0", False),
        ("3.40.1", False),
        ("3.44.5", False),
        ("3.44.6", True),
        ("3.45.0", False),
        ("3.50.6", False),
        ("3.50.7", True),
        ("3.51.0", False),
        ("3.51.2", False),
        ("3.51.3", True),
        ("3.53.4", True),
    ],
)
def test_the_wal_reset_fault_is_known_by_version(version: str, sound: bool) -> None:
    assert wal_is_sound(version) is sound


def test_the_journal_is_one_that_loses_nothing(store: Store) -> None:
    kind = sqlite_kind()
    with store._writer.connect() as connection:
        journal = connection.exec_driver_sql("PRAGMA journal_mode").scalar()
        synchronous = connection.exec_driver_sql("PRAGMA synchronous").scalar()
        foreign_keys = connection.exec_driver_sql("PRAGMA foreign_keys").scalar()
    # synchronous: 2 is FULL, 3 is EXTRA (sqlite.org, pragma.html).
    assert (journal, synchronous) == (("wal", 2) if kind.wal else ("delete", 3))
    assert foreign_keys == 1
    assert kind.version in store.ready()


def test_without_the_bundled_sqlite_an_affected_one_runs_in_rollback_mode(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pysqlite3", None)
    kind = sqlite_kind()
    assert kind.module is sqlite3
    opened = open_store(f"sqlite:///{path}")
    try:
        assert wal_is_sound(sqlite3.sqlite_version) is kind.wal
        assert ("EXTRA" in opened.ready()) is not kind.wal
        with opened.writing() as unit:
            unit.plans.add("plan-1", draft(), NOW)
        with opened.reading() as unit:
            assert unit.plans.get("plan-1").edit == 1
    finally:
        opened.close()


def test_the_file_is_for_its_owner_alone(store: Store, path: Path) -> None:
    started(store)
    for one in path.parent.iterdir():
        assert stat.S_IMODE(one.stat().st_mode) & 0o077 == 0, one
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize("body", [b"not a database, " * 400, b"\x00" * 5000])
def test_a_file_that_is_no_database_is_refused_and_left_alone(path: Path, body: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(body)
    with pytest.raises(StoreRefused):
        open_store(f"sqlite:///{path}")
    assert path.read_bytes() == body


def test_a_migration_that_fails_leaves_nothing_behind(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from alembic import op  # noqa: PLC0415

    plain = op.execute

    def failing(sql: str) -> None:
        if "plan_revision" in sql:
            raise sqlite3.OperationalError("disk I/O error")
        plain(sql)

    monkeypatch.setattr(op, "execute", failing)
    with pytest.raises(sqlite3.OperationalError):
        open_store(f"sqlite:///{path}")
    monkeypatch.undo()
    with sqlite3.connect(path) as connection:
        tables = connection.execute("SELECT name FROM sqlite_master").fetchall()
    connection.close()
    assert tables == []
    open_store(f"sqlite:///{path}").close()


def test_the_newest_migration_is_known_without_alembic(path: Path) -> None:
    from alembic.config import Config  # noqa: PLC0415
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", "wheelover.store:migrations")
    assert newest() == ScriptDirectory.from_config(config).get_current_head()
    open_store(f"sqlite:///{path}").close()
    code = (
        "import sys; from wheelover.store import open_store; "
        f"open_store('sqlite:///{path}').close(); print('alembic' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert done.stdout == "False\n"


def test_a_locked_database_is_unavailable_and_then_works_again(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wheelover.store.sqlite._BUSY_MS", 50)
    one, other = open_store(f"sqlite:///{path}"), open_store(f"sqlite:///{path}")
    with one.writing() as unit:
        unit.plans.add("plan-0", draft(), NOW)
        with pytest.raises(Unavailable):
            started(other)
    assert started(other).edit == 1
    one.close()
    other.close()
