"""F14: a backup is taken while the service writes, restored, and held against what was there."""

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection

from tests.faults.figures import report, slowness
from tests.faults.running import ROOT, running
from tests.faults.writers import writing
from wheelover.core.errors import WheeloverError
from wheelover.store import backup, open_store
from wheelover.store.open import database_at
from wheelover.store.restore import restore_backup

_CLIENTS = 4
Taking = Callable[[str, Path], None]


def backed_up(
    url: str, log: Path, times: int, taking: Taking, opened: Callable[[Path], set[str] | None]
) -> dict[str, Any]:
    """Return what backups taken under load lack of what was acknowledged before each began.

    They are restored when the writers have ended: this process measures how long those waited.
    """
    missing, unsound, taken = 0, 0, []
    with running(url, log) as service, writing(service, _CLIENTS, "b") as writers:
        for number in range(times):
            writers.wait_for(len(writers.acked) + 20)
            before, target = set(writers.acked), log.with_name(f"{number}.backup")
            taking(url, target)
            taken.append((before, target))
        writers.stop()
        took_s = sorted(writers.took_s)
    for before, target in taken:
        found = opened(target)
        unsound += found is None
        missing += len(before - (found or set()))
    return {
        "backups": times,
        "acked": len(writers.acked),
        "missing": missing,
        "unsound": unsound,
        "other_errors": writers.statuses.total() - writers.statuses[201],
        "writer_p99_s": took_s[int(0.99 * len(took_s))],
    }


def by_command(url: str, target: Path) -> None:
    """Take a backup as a user does."""
    command = [sys.executable, "-m", "wheelover", "backup", str(target)]
    environment = {**os.environ, "WHEELOVER_DATABASE": url}
    subprocess.run(command, check=True, env=environment, cwd=ROOT, stdout=subprocess.DEVNULL)


def names_restored(target: Path) -> set[str] | None:
    """Return the ships of a store that a backup was restored into; None when that fails."""
    url = f"sqlite:///{target.with_suffix('.sqlite3')}"
    try:
        restore_backup(target, url, force=False)
    except WheeloverError:
        return None
    return names_of(url)


def names_of(url: str) -> set[str]:
    """Return the ships of a store."""
    store = open_store(url)
    with store._reader.begin() as connection:
        found = connection.exec_driver_sql("SELECT name FROM library_edition").scalars()
        names = {str(one) for one in found}
    store.close()
    return names


def holds(figures: dict[str, Any]) -> bool:
    return all(figures[name] == 0 for name in ("missing", "unsound", "other_errors"))


def test_a_backup_under_load_lacks_nothing(
    engine: str, new_url: str, log: Path, long_form: bool
) -> None:
    figures = backed_up(new_url, log, 10 if long_form else 2, by_command, names_restored)
    report("F14", engine=engine, **figures)
    assert holds(figures)
    if long_form:
        assert figures["writer_p99_s"] <= 0.25 * slowness()


def copied(url: str, target: Path) -> None:
    """Copy the file of a database, as one should not."""
    shutil.copy(url.removeprefix("sqlite:///"), target)


def names_in_copy(target: Path) -> set[str] | None:
    """Return the ships in a copied file; None when it is damaged."""
    try:
        return names_of(f"sqlite:///{target}")
    except WheeloverError:
        return None


@pytest.mark.parametrize("engine", ["sqlite"])
def test_a_copied_file_is_found_out(twin_url: str, log: Path) -> None:
    figures = backed_up(twin_url, log, 3, copied, names_in_copy)
    report("F14-twin", engine="sqlite", by="copy", **figures)
    assert not holds(figures)


@pytest.mark.parametrize("engine", ["postgresql"])
def test_a_backup_of_many_moments_is_found_out(
    twin_url: str, log: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Read table by table, each as it is by then: an edition without its blob."""

    @contextmanager
    def many_moments(_scratch: Path) -> Any:
        with database.writer.begin() as connection:
            yield connection

    database = database_at(twin_url)
    lines = backup.lines_of

    def slowly(connection: Connection, table: Any) -> Any:
        yield from lines(connection, table)
        time.sleep(0.3)

    monkeypatch.setattr(database, "snapshot", many_moments)
    monkeypatch.setattr(backup, "database_at", lambda _url, **_options: database)
    monkeypatch.setattr(backup, "lines_of", slowly)

    def taking(url: str, target: Path) -> None:
        backup.take_backup(url, target, "2026-11-26T00:00:00.000Z", force=False)

    figures = backed_up(twin_url, log, 1, taking, names_restored)
    report("F14-twin", engine="postgresql", by="moments", **figures)
    assert not holds(figures)
