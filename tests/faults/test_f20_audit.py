"""F20: whatever is altered in the audit log or the record, verifying names it.

Alterations: a changed entry, one taken out, one put in, two swapped, the tail cut off (found
against a head noted elsewhere), a changed event, a changed digest of a revision.
"""

import random
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.api.conftest import Client
from tests.api.keeping import stored_plan
from tests.api.record_keeping import approve, edit, offer
from tests.faults.figures import report
from wheelover.api import create_app
from wheelover.store import open_store
from wheelover.store.audit import Head
from wheelover.usecases import audit

SHORT, LONG = 70, 500
TABLES = ("audit", "plan_event", "plan_revision")


@pytest.fixture(scope="module")
def original(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Head]:
    """Return a store with some twenty entries, and the end of its log as a printed plan has it."""
    path = tmp_path_factory.mktemp("f20") / "original.sqlite3"
    client = Client(create_app(f"sqlite:///{path}"))
    for limit in (600.0, 700.0, 800.0):
        place, _ = stored_plan(client)
        for number in (1, 2):
            edit(client, place, limits={"min_clearance_m": limit + number})
            offer(client, place)
            approve(client, place, number)
    store = client.app.state.store
    with store.reading() as unit:
        head = unit.audit.head("own")
    store.close()
    assert head.number >= 20
    return path, head


def _altered(path: Path, chance: random.Random) -> str:
    """Alter one thing in a store behind its back and return what was done."""
    connection = sqlite3.connect(path)
    for table in TABLES:
        for what in ("update", "delete"):
            connection.execute(f"DROP TRIGGER {table}_no_{what}")
    kind = chance.choice(list(_KINDS))
    said = _KINDS[kind](connection, chance)
    connection.commit()
    connection.close()
    return f"{kind} {said}"


def _rows(connection: sqlite3.Connection, table: str) -> list[int]:
    return [row[0] for row in connection.execute(f"SELECT rowid FROM {table} ORDER BY rowid")]


def _change_entry(connection: sqlite3.Connection, chance: random.Random) -> str:
    row = chance.choice(_rows(connection, "audit"))
    (text,) = connection.execute("SELECT entry FROM audit WHERE rowid = ?", (row,)).fetchone()
    places = [index for index, letter in enumerate(text) if letter.isdigit()]
    at = chance.choice(places)
    other = text[:at] + str((int(text[at]) + 1) % 10) + text[at + 1 :]
    connection.execute("UPDATE audit SET entry = ? WHERE rowid = ?", (other, row))
    return f"row {row}"


def _take_out(connection: sqlite3.Connection, chance: random.Random) -> str:
    row = chance.choice(_rows(connection, "audit"))
    connection.execute("DELETE FROM audit WHERE rowid = ?", (row,))
    return f"row {row}"


def _put_in(connection: sqlite3.Connection, chance: random.Random) -> str:
    row = chance.choice(_rows(connection, "audit")[:-1])
    (number,) = connection.execute("SELECT number FROM audit WHERE rowid = ?", (row,)).fetchone()
    connection.execute("UPDATE audit SET number = -number - 1 WHERE number > ?", (number,))
    connection.execute("UPDATE audit SET number = -number WHERE number < 0")
    connection.execute(
        "INSERT INTO audit (vessel_id, number, at_utc, entry, hash) "
        "SELECT vessel_id, number + 1, at_utc, entry, hash FROM audit WHERE rowid = ?",
        (row,),
    )
    return f"after {number}"


def _swap(connection: sqlite3.Connection, chance: random.Random) -> str:
    first, second = chance.sample(_rows(connection, "audit"), 2)
    for column in ("entry", "hash"):
        values = [
            connection.execute(f"SELECT {column} FROM audit WHERE rowid = ?", (row,)).fetchone()[0]
            for row in (first, second)
        ]
        for row, value in zip((second, first), values, strict=True):
            connection.execute(f"UPDATE audit SET {column} = ? WHERE rowid = ?", (value, row))
    return f"rows {first} and {second}"


def _cut_tail(connection: sqlite3.Connection, chance: random.Random) -> str:
    keep = chance.randrange(1, len(_rows(connection, "audit")))
    connection.execute("DELETE FROM audit WHERE number > ?", (keep,))
    return f"after {keep}"


def _change_event(connection: sqlite3.Connection, chance: random.Random) -> str:
    row = chance.choice(_rows(connection, "plan_event"))
    column, value = chance.choice(
        [("name", "M. Smith"), ("kind", "remark"), ("at_utc", "2020-01-01T00:00:00.000Z")]
    )
    connection.execute(f"UPDATE plan_event SET {column} = ? WHERE rowid = ?", (value, row))
    return f"{column} of row {row}"


def _change_revision(connection: sqlite3.Connection, chance: random.Random) -> str:
    one, other = chance.sample(_rows(connection, "plan_revision"), 2)
    connection.execute(
        "UPDATE plan_revision SET sha256 = (SELECT sha256 FROM plan_revision WHERE rowid = ?) "
        "WHERE rowid = ?",
        (other, one),
    )
    return f"row {one}"


def _change_use(connection: sqlite3.Connection, chance: random.Random) -> str:
    row = chance.choice(_rows(connection, "approval_use"))
    connection.execute("UPDATE approval_use SET revision = revision + 7 WHERE rowid = ?", (row,))
    return f"row {row}"


def _slip_in(connection: sqlite3.Connection, chance: random.Random) -> str:
    row = chance.choice(_rows(connection, "plan_revision"))
    connection.execute(
        "INSERT INTO plan_revision (plan_id, number, sha256, inputs_sha256, engine_version, "
        "created_utc) SELECT plan_id, 99, sha256, inputs_sha256, engine_version, created_utc "
        "FROM plan_revision WHERE rowid = ?",
        (row,),
    )
    connection.execute(
        "INSERT INTO plan_event (plan_id, number, revision, kind, at_utc, claimed, body) "
        "SELECT plan_id, 99, 99, 'offered', created_utc, 1, '{}' FROM plan_revision "
        "WHERE rowid = ?",
        (row,),
    )
    return f"of row {row}"


_KINDS: dict[str, Callable[[sqlite3.Connection, random.Random], str]] = {
    "changed entry": _change_entry,
    "entry taken out": _take_out,
    "entry put in": _put_in,
    "entries swapped": _swap,
    "tail cut": _cut_tail,
    "changed event": _change_event,
    "changed revision": _change_revision,
    "approval hangs on another": _change_use,
    "revision slipped in": _slip_in,
}


def _found(original: tuple[Path, Head], folder: Path, count: int) -> tuple[int, list[str]]:
    """Return how many of some random alterations verifying finds, and those it does not."""
    path, head = original
    chance = random.Random(20)  # noqa: S311  the same alterations in every run
    missed = []
    for number in range(count):
        copy = folder / f"{number}.sqlite3"
        shutil.copy(path, copy)
        said = _altered(copy, chance)
        store = open_store(f"sqlite:///{copy}")
        if not audit.verify(store, (head,)).faults:
            missed.append(said)
        store.close()
        copy.unlink()
    return count - len(missed), missed


def test_f20_every_alteration_is_found(
    original: tuple[Path, Head], tmp_path: Path, pytestconfig: pytest.Config
) -> None:
    count = LONG if pytestconfig.getoption("--long") else SHORT
    found, missed = _found(original, tmp_path, count)
    report("F20", edits=count, found=found, ratio=found / count)
    assert missed == []


def test_f20_a_verifier_that_trusts_the_stored_hash_fails_the_same_test(
    original: tuple[Path, Head], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(audit, "_chain", lambda *_: None)
    found, missed = _found(original, tmp_path, 30)
    report("F20-twin", edits=30, found=found, ratio=found / 30)
    assert found < 30
    assert missed


def test_f20_nothing_altered_is_nothing_found(original: tuple[Path, Head]) -> None:
    path, head = original
    store = open_store(f"sqlite:///{path}")
    found = audit.verify(store, (head,))
    store.close()
    assert found.faults == []
    assert found.heads == [head]
