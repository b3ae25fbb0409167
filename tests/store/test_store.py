"""The store: which SQLite, what it refuses, that frozen rows stay, and that one writer writes."""

import os
import sqlite3
import stat
import subprocess
import sys
import threading
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from wheelover.core.errors import Conflict, Damaged, NotFound, Unavailable
from wheelover.store import Store, StoreRefused, open_store
from wheelover.store.library import Contents
from wheelover.store.open import sqlite_kind, wal_is_sound
from wheelover.store.plans import Draft, PlanRow

NOW = "2026-11-25T14:02:11.000Z"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "folder" / "wheelover.sqlite3"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    opened = open_store(f"sqlite:///{path}")
    yield opened
    opened.close()


def draft(label: str = "Started") -> Draft:
    return Draft(name="x", waypoint_count=2, demonstration=False, label=label, inputs="{}")


def started(store: Store) -> PlanRow:
    with store.writing() as unit:
        return unit.plans.add("plan-1", draft(), NOW)


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


def test_opening_again_keeps_everything(store: Store, path: Path) -> None:
    started(store)
    store.close()
    again = open_store(f"sqlite:///{path}")
    with again.reading() as unit:
        assert unit.plans.get("plan-1").name == "x"
    again.close()


def test_a_database_of_a_newer_version_is_refused(store: Store, path: Path) -> None:
    store.close()
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE alembic_version SET version_num = 'm9999_from_tomorrow'")
    connection.close()
    with pytest.raises(StoreRefused, match="newer version"):
        open_store(f"sqlite:///{path}")


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


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE plan_revision SET number = 7",
        "DELETE FROM plan_revision",
        "UPDATE blob SET size_count = 0",
        "DELETE FROM blob",
        "UPDATE library_edition SET name = 'y'",
        "DELETE FROM library_edition",
    ],
)
def test_what_is_frozen_cannot_be_changed(store: Store, path: Path, sql: str) -> None:
    row = started(store)
    with store.writing() as unit:
        unit.library.add("ship", Contents(name="s", body=b"{}"), NOW)
        unit.plans.freeze(row, b"document", "0" * 64, "0", NOW)
    store.close()
    connection = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match="never changed"):
        connection.execute(sql)
    connection.close()


def test_a_damaged_blob_is_not_shown(store: Store, path: Path) -> None:
    with store.writing() as unit:
        sha256 = unit.blobs.put(b"what was frozen")
    with sqlite3.connect(path) as connection:
        connection.execute("DROP TRIGGER blob_no_update")
        connection.execute("UPDATE blob SET body = ?", (zlib.compress(b"what was forged"),))
    connection.close()
    with store.reading() as unit, pytest.raises(Damaged):
        unit.blobs.get(sha256)


def test_a_unit_that_fails_keeps_nothing(store: Store) -> None:
    def half_done() -> None:
        with store.writing() as unit:
            unit.plans.add("plan-1", draft(), NOW)
            raise NotFound("the second half")

    with pytest.raises(NotFound):
        half_done()
    with store.reading() as unit, pytest.raises(NotFound):
        unit.plans.get("plan-1")


def test_a_plan_that_was_changed_meanwhile_is_not_changed(store: Store) -> None:
    row = started(store)
    with store.writing() as unit:
        unit.plans.edit(row, draft("one"), NOW)
    with pytest.raises(Conflict), store.writing() as unit:
        unit.plans.edit(row, draft("two"), NOW)


def test_a_locked_database_is_unavailable_and_then_works_again(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wheelover.store.open._BUSY_MS", 50)
    one, other = open_store(f"sqlite:///{path}"), open_store(f"sqlite:///{path}")
    with one.writing() as unit:
        unit.plans.add("plan-0", draft(), NOW)
        with pytest.raises(Unavailable):
            started(other)
    assert started(other).edit == 1
    one.close()
    other.close()


def test_many_threads_lose_no_edit(store: Store) -> None:
    """Each adds its edits to the same plan; every one is a step afterwards (F4, short form)."""
    started(store)

    def work(name: str) -> None:
        for number in range(25):
            with store.writing() as unit:
                row = unit.plans.get("plan-1")
                unit.plans.edit(row, draft(f"{name}-{number}"), NOW)

    threads = [threading.Thread(target=work, args=(f"t{index}",)) for index in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.reading() as unit:
        row = unit.plans.get("plan-1")
        labels = {step.label for step in unit.plans.steps(row, 200)}
    assert row.edit == 101
    assert labels == {"Started"} | {f"t{t}-{n}" for t in range(4) for n in range(25)}


_WRITER = """
import sys
from wheelover.store import open_store
from wheelover.store.plans import Draft
store = open_store(sys.argv[1])
for number in range(100000):
    with store.writing() as unit:
        unit.plans.add(f"plan-{number}", Draft(name="x", waypoint_count=2, demonstration=False,
                                               label="Started", inputs="{}"), "2026")
    print(number, flush=True)
"""


@pytest.mark.parametrize("kills", [3])
def test_a_killed_writer_loses_nothing_it_acknowledged(path: Path, kills: int) -> None:
    """Kill -9 in the middle of writing (F1, short form): every number printed is there after."""
    for round_number in range(kills):
        place = path.with_name(f"{round_number}.sqlite3")
        command = [sys.executable, "-c", _WRITER, f"sqlite:///{place}"]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout is not None
            acknowledged = [int(process.stdout.readline()) for _ in range(20 + 15 * round_number)]
            os.kill(process.pid, 9)
            acknowledged += [int(line) for line in process.stdout if line.endswith("\n")]
        opened = open_store(f"sqlite:///{place}")
        with opened.reading() as unit:
            lost = [one for one in acknowledged if not unit.plans.known(f"plan-{one}")]
        opened.close()
        assert lost == []
