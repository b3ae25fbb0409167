"""``wheelover verify``: heads, faults by name, exit codes."""

import sqlite3
from pathlib import Path

import pytest

from tests.api.conftest import Client
from tests.api.keeping import stored_plan
from tests.api.record_keeping import offer
from wheelover.api import create_app
from wheelover.cli import main


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a database with a plan that was offered."""
    path = tmp_path / "kept.sqlite3"
    client = Client(create_app(f"sqlite:///{path}"))
    place, _ = stored_plan(client)
    offer(client, place)
    client.app.state.store.close()
    return path


def test_nothing_altered(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["verify", "--database", f"sqlite:///{path}"]) == 0
    head, told = capsys.readouterr().out.splitlines()
    assert told == "2 entries, 1 events, 0 notes, 1 revisions: nothing was altered"
    noted = head.removeprefix("head ")
    assert main(["verify", "--database", f"sqlite:///{path}", "--head", noted]) == 0


def test_an_altered_entry_and_a_cut_tail_are_named(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["verify", "--database", f"sqlite:///{path}"])
    noted = capsys.readouterr().out.splitlines()[0].removeprefix("head ")
    with sqlite3.connect(path) as connection:
        connection.execute("DROP TRIGGER audit_no_delete")
        connection.execute("DELETE FROM audit WHERE number = 2")
    connection.close()
    assert main(["verify", "--database", f"sqlite:///{path}", "--head", noted]) == 1
    out = capsys.readouterr().out
    assert "the log ends at entry 1, it once reached 2" in out
    assert "is not in the log" in out


def test_wrong_use_and_no_database(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    url = f"sqlite:///{path}"
    assert main(["verify", "--database", url, "--head", "own:2"]) == 2
    assert main(["verify", "--database", "mysql://x/y"]) == 3
    assert "wheelover verify" in capsys.readouterr().err
