"""F16: a start that must not be: exit code 3 and one sentence with its remedy."""

import os
from pathlib import Path
from typing import Any

import pytest

from tests.faults.figures import report
from tests.faults.running import Service
from wheelover.store import open_store

_STRANGER = 12345


def newer(url: str) -> str:
    """Let a database be of a version to come."""
    store = open_store(url)
    with store._writer.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'm9999_tomorrow'")
    store.close()
    return url


def read_only(url: str) -> str:
    """Let a file be read-only."""
    open_store(url).close()
    Path(url.removeprefix("sqlite:///")).chmod(0o400)
    return url


def of_a_stranger(url: str) -> str:
    """Let a file be another user's."""
    if os.geteuid() != 0:
        pytest.skip("only root gives a file away")
    open_store(url).close()
    os.chown(url.removeprefix("sqlite:///"), _STRANGER, _STRANGER)
    return url


def unreachable(_url: str) -> str:
    """Return the URL of a server that is not there."""
    return "postgresql://nobody@127.0.0.1:9/plans?connect_timeout=2"


def refused(url: str, log: Path, sabotage: str | None = None) -> dict[str, Any]:
    """Return how a start ended, and what it said."""
    code = Service(url, log, sabotage).ended()
    said = log.read_text().strip() if log.exists() else ""
    return {"exit": code, "lines": len(said.splitlines()), "said": said}


def holds(figures: dict[str, Any], remedy: str) -> bool:
    one_sentence = figures["lines"] == 1 and figures["said"].endswith(".")
    return bool(figures["exit"] == 3 and one_sentence and remedy in figures["said"])


CASES = [
    pytest.param("sqlite", newer, "start that version", "ignore_version", id="newer-sqlite"),
    pytest.param(
        "postgresql", newer, "start that version", "ignore_version", id="newer-postgresql"
    ),
    pytest.param("sqlite", read_only, "chmod u+w", "ignore_owner", id="read-only"),
    pytest.param("sqlite", of_a_stranger, "chown", "ignore_owner", id="owner"),
]


@pytest.mark.parametrize(("engine", "made", "remedy", "sabotage"), CASES)
def test_a_database_that_must_not_be_opened_is_refused(
    made: Any, remedy: str, sabotage: str, engine: str, new_url: str, log: Path
) -> None:
    url = made(new_url)
    figures = refused(url, log)
    twin = refused(url, log.with_name("twin.log"), sabotage)
    report("F16", engine=engine, case=made.__name__, exit=figures["exit"], twin_exit=twin["exit"])
    assert holds(figures, remedy), figures
    assert not holds(twin, remedy)


def test_a_server_that_does_not_answer_is_refused(log: Path) -> None:
    figures = refused(unreachable(""), log)
    twin = refused(unreachable(""), log.with_name("twin.log"), "bare_refusals")
    exits = {"exit": figures["exit"], "twin_exit": twin["exit"]}
    report("F16", engine="postgresql", case="unreachable", **exits)
    assert holds(figures, "see that the server runs"), figures
    assert not holds(twin, "see that the server runs")
