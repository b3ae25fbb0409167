"""F2: the power goes. What was not synced is lost or half there; what was acknowledged is not.

A killed process shows nothing of this: what it wrote lives on in the system's memory.
"""

import random
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from tests.faults.figures import report
from tests.faults.recording import Disk, Event, Recorder, driver
from wheelover.core.errors import WheeloverError
from wheelover.store import open_store
from wheelover.store import sqlite as ours
from wheelover.store.library import Contents
from wheelover.store.sqlite import SqliteKind

_NOW = "2026-11-26T00:00:00.000Z"
_NAMES = (f"recorder-{number}" for number in count())
_PRAGMAS = ours._pragmas
FILE = "wheelover.sqlite3"


def written(
    folder: Path, commits: int, wal: bool, synchronous: str | None, patch: pytest.MonkeyPatch
) -> list[Event]:
    """Return what our store wrote and synced while it kept ships one after the other."""
    recorder = Recorder(next(_NAMES))
    kind = SqliteKind(module=driver(recorder.called), version="recorded", wal=wal)

    def pragmas(kind: SqliteKind) -> tuple[str, ...]:
        # Checkpoints come often, so that cuts fall into them too.
        more = () if synchronous is None else (f"synchronous={synchronous}",)
        return (*_PRAGMAS(kind), *more, "wal_autocheckpoint=24")

    with patch.context() as patched:
        patched.setattr(ours, "sqlite_kind", lambda: kind)
        patched.setattr(ours, "_pragmas", pragmas)
        store = open_store(f"sqlite:///{folder / FILE}")
        chance = random.Random(commits)  # noqa: S311
        for number in range(commits):
            with store.writing() as unit:
                body = b"{}" + chance.randbytes(chance.randint(1, 6000))
                unit.library.add("ship", Contents(name=f"s{number}", body=body), _NOW)
            recorder.events.append(Event("ack", f"s{number}"))
        events = list(recorder.events)
        store.close()
    return events


def cut(folder: Path, events: list[Event], cuts: int) -> dict[str, Any]:
    """Return what is lost and damaged over cuts at moments spread over all events."""
    chance = random.Random(cuts)  # noqa: S311
    first = next(place for place, one in enumerate(events) if one.kind == "ack")
    places = sorted(chance.choices(range(first, len(events)), k=cuts))
    disk, acked, done = Disk(), list[str](), 0
    cuts_with_loss, damaged = 0, 0
    for number, place in enumerate(places):
        for event in events[done:place]:
            if event.kind == "ack":
                acked.append(event.file)
            else:
                disk.take(event)
        done = place
        left = folder / f"cut-{number}"
        disk.left_by_cut(left, chance if number % 2 else None)
        found = names_in(left)
        damaged += found is None
        cuts_with_loss += found is not None and not set(acked) <= found
    return {"cuts": cuts, "lost": cuts_with_loss, "corrupt": damaged}


def names_in(folder: Path) -> set[str] | None:
    """Return the ships of a store that is opened after a cut; None when it is damaged."""
    try:
        store = open_store(f"sqlite:///{folder / FILE}")
    except WheeloverError:
        return None
    with store._reader.begin() as connection:
        whole = connection.exec_driver_sql("PRAGMA integrity_check").scalar()
        found = set(connection.exec_driver_sql("SELECT name FROM library_edition").scalars())
    store.close()
    return found if whole == "ok" else None


def holds(figures: dict[str, Any]) -> bool:
    return bool(figures["lost"] == 0 and figures["corrupt"] == 0)


@pytest.mark.parametrize("wal", [True, False], ids=["wal", "rollback"])
def test_a_power_cut_loses_nothing_acknowledged(
    wal: bool, tmp_path: Path, long_form: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    events = written(tmp_path / "disk", 80 if long_form else 30, wal, None, monkeypatch)
    figures = cut(tmp_path, events, 800 if long_form else 24)
    report("F2", engine="sqlite", journal="wal" if wal else "rollback", **figures)
    assert holds(figures)


@pytest.mark.parametrize(
    ("wal", "synchronous"), [(True, "NORMAL"), (False, "OFF")], ids=["wal", "rollback"]
)
def test_a_store_that_does_not_wait_for_the_disk_is_found_out(
    wal: bool, synchronous: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    events = written(tmp_path / "disk", 30, wal, synchronous, monkeypatch)
    figures = cut(tmp_path, events, 24)
    report("F2-twin", engine="sqlite", synchronous=synchronous, **figures)
    assert not holds(figures)


def flushed(url: str, commits: int) -> dict[str, Any]:
    """Return how many commits were on the disk of a PostgreSQL when they were acknowledged."""
    store, on_disk = open_store(url), 0
    for number in range(commits):
        with store.writing() as unit:
            unit.library.add("ship", Contents(name=f"s{number}", body=b"{}"), _NOW)
            ask = unit.blobs._connection.exec_driver_sql
            # The record of the commit comes after this place in the log.
            place = ask("SELECT pg_current_wal_insert_lsn()").scalar()
        with store._reader.begin() as connection:
            ask = connection.exec_driver_sql
            on_disk += bool(ask(f"SELECT pg_current_wal_flush_lsn() > '{place}'").scalar())
    store.close()
    return {"commits": commits, "flushed": on_disk, "ratio": on_disk / commits}


@pytest.mark.parametrize("engine", ["postgresql"])
def test_postgresql_acknowledges_what_is_on_its_disk(new_url: str, long_form: bool) -> None:
    figures = flushed(new_url, 500 if long_form else 40)
    report("F2", engine="postgresql", **figures)
    assert figures["ratio"] == 1.0


@pytest.mark.parametrize("engine", ["postgresql"])
def test_a_postgresql_that_answers_before_it_is_found_out(twin_url: str) -> None:
    figures = flushed(f"{twin_url}&options=-c%20synchronous_commit%3Doff", 40)
    report("F2-twin", engine="postgresql", synchronous_commit="off", **figures)
    assert figures["ratio"] < 1.0
