"""F20: whatever is altered in the audit log or the record, verifying names it.

Alterations: a changed entry, one taken out, one put in, two swapped, the tail cut off (found
against a head noted elsewhere), a changed event, a changed digest of a revision.
"""

import random
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, text

from tests.api.conftest import Client
from tests.api.keeping import stored_plan
from tests.api.record_keeping import approve, edit, offer
from tests.cluster import Cluster
from tests.faults.figures import report
from tests.stores import ENGINES
from wheelover.api import create_app
from wheelover.store import open_store
from wheelover.store.audit import Head
from wheelover.store.open import database_at
from wheelover.usecases import audit

# A copy of a database of a server takes longer than one of a file.
SHORT, LONG = {"sqlite": 70, "postgresql": 27}, 500
TWIN = {"sqlite": 30, "postgresql": 18}
TABLES = ("audit", "plan_event", "plan_revision")


@dataclass(frozen=True)
class Original:
    """A store with some twenty entries, closed, and the end of its log as a printed plan has it."""

    engine: str
    folder: Path
    server: Cluster | None
    head: Head

    @contextmanager
    def copied(self, name: str) -> Iterator[str]:
        """Give the URL of a copy of it."""
        if self.server is None:
            copy = self.folder / f"{name}.sqlite3"
            shutil.copy(self.folder / "original.sqlite3", copy)
            yield f"sqlite:///{copy}"
            copy.unlink()
            return
        self.server.run(f"CREATE DATABASE f20_{name} TEMPLATE f20_original")
        yield self.server.url(f"f20_{name}")
        self.server.run(f"DROP DATABASE f20_{name} WITH (FORCE)")


@pytest.fixture(scope="module", params=ENGINES)
def original(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Original]:
    folder, server = tmp_path_factory.mktemp("f20"), None
    url = f"sqlite:///{folder / 'original.sqlite3'}"
    if request.param == "postgresql":
        server = request.getfixturevalue("postgres")
        server.run("CREATE DATABASE f20_original TEMPLATE model")
        url = server.url("f20_original")
    client = Client(create_app(url))
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
    yield Original(request.param, folder, server, head)
    if server is not None:
        server.run("DROP DATABASE f20_original WITH (FORCE)")


class Behind:
    """A store reached behind the service's back, with nothing that would hold its rows."""

    def __init__(self, connection: Connection, chance: random.Random) -> None:
        self._connection, self.chance = connection, chance
        self._server = connection.dialect.name == "postgresql"
        # Each row by where it lies: what stands in it is what is altered.
        self.key = "CAST(ctid AS text)" if self._server else "rowid"
        if self._server:
            self.run("SET session_replication_role = replica")
        for table in TABLES:
            if self._server:
                self.run(f"DROP TRIGGER {table}_frozen ON {table}")
                continue
            for what in ("update", "delete"):
                self.run(f"DROP TRIGGER {table}_no_{what}")

    def run(self, statement: str, **values: Any) -> Any:
        """Run a statement; ``KEY`` in it stands for where a row lies."""
        return self._connection.execute(text(statement.replace("KEY", self.key)), values)

    def rows(self, table: str) -> list[Any]:
        """Return where the rows of a table lie, in their order."""
        order = "ctid" if self._server else "rowid"
        return list(self.run(f"SELECT KEY FROM {table} ORDER BY {order}").scalars())

    def one(self, table: str) -> Any:
        """Return where some row lies."""
        return self.chance.choice(self.rows(table))


def _altered(url: str, kind: str, chance: random.Random) -> str:
    """Alter one thing in a store behind its back and return what was done."""
    database = database_at(url)
    try:
        with database.writer.begin() as connection:
            said = _KINDS[kind](Behind(connection, chance))
    finally:
        database.close()
    return f"{kind} {said}"


def _change_entry(store: Behind) -> str:
    row = store.one("audit")
    entry = store.run("SELECT entry FROM audit WHERE KEY = :row", row=row).scalar_one()
    places = [index for index, letter in enumerate(entry) if letter.isdigit()]
    at = store.chance.choice(places)
    other = entry[:at] + str((int(entry[at]) + 1) % 10) + entry[at + 1 :]
    store.run("UPDATE audit SET entry = :other WHERE KEY = :row", other=other, row=row)
    return f"row {row}"


def _change_time(store: Behind) -> str:
    row = store.one("audit")
    entry = store.run("SELECT entry FROM audit WHERE KEY = :row", row=row).scalar_one()
    other = entry.replace('"at_utc":"20', '"at_utc":"19')
    assert other != entry
    store.run("UPDATE audit SET entry = :other WHERE KEY = :row", other=other, row=row)
    return f"row {row}"


def _take_out(store: Behind) -> str:
    row = store.one("audit")
    store.run("DELETE FROM audit WHERE KEY = :row", row=row)
    return f"row {row}"


def _put_in(store: Behind) -> str:
    row = store.chance.choice(store.rows("audit")[:-1])
    before = store.run("SELECT * FROM audit WHERE KEY = :row", row=row).mappings().one()
    number = before["number"]
    store.run("UPDATE audit SET number = -number - 1 WHERE number > :number", number=number)
    store.run("UPDATE audit SET number = -number WHERE number < 0")
    store.run(
        "INSERT INTO audit (vessel_id, number, at_utc, entry, hash) "
        "VALUES (:vessel_id, :number, :at_utc, :entry, :hash)",
        **{**before, "number": number + 1},
    )
    return f"after {number}"


def _swap(store: Behind) -> str:
    rows = store.chance.sample(store.rows("audit"), 2)
    found = [
        store.run("SELECT entry, hash FROM audit WHERE KEY = :row", row=row).mappings().one()
        for row in rows
    ]
    for row, values in zip(reversed(rows), found, strict=True):
        store.run(
            "UPDATE audit SET entry = :entry, hash = :hash WHERE KEY = :row", row=row, **values
        )
    return f"rows {rows}"


def _cut_tail(store: Behind) -> str:
    keep = store.chance.randrange(1, len(store.rows("audit")))
    store.run("DELETE FROM audit WHERE number > :keep", keep=keep)
    return f"after {keep}"


def _change_event(store: Behind) -> str:
    row = store.one("plan_event")
    column, value = store.chance.choice(
        [("name", "M. Smith"), ("kind", "remark"), ("at_utc", "2020-01-01T00:00:00.000Z")]
    )
    store.run(f"UPDATE plan_event SET {column} = :value WHERE KEY = :row", value=value, row=row)
    return f"{column} of row {row}"


def _change_revision(store: Behind) -> str:
    one, other = store.chance.sample(store.rows("plan_revision"), 2)
    sha256 = store.run("SELECT sha256 FROM plan_revision WHERE KEY = :row", row=other).scalar_one()
    store.run("UPDATE plan_revision SET sha256 = :sha256 WHERE KEY = :row", sha256=sha256, row=one)
    return f"row {one}"


def _change_use(store: Behind) -> str:
    row = store.one("approval_use")
    store.run("UPDATE approval_use SET revision = revision + 7 WHERE KEY = :row", row=row)
    return f"row {row}"


def _slip_in(store: Behind) -> str:
    row = store.one("plan_revision")
    store.run(
        "INSERT INTO plan_revision (plan_id, number, sha256, inputs_sha256, engine_version, "
        "created_utc) SELECT plan_id, 99, sha256, inputs_sha256, engine_version, created_utc "
        "FROM plan_revision WHERE KEY = :row",
        row=row,
    )
    store.run(
        "INSERT INTO plan_event (plan_id, number, revision, kind, at_utc, claimed, body) "
        "SELECT plan_id, 99, 99, 'offered', created_utc, :claimed, '{}' FROM plan_revision "
        "WHERE KEY = :row",
        claimed=True,
        row=row,
    )
    return f"of row {row}"


_KINDS: dict[str, Callable[[Behind], str]] = {
    "changed entry": _change_entry,
    "another time": _change_time,
    "entry taken out": _take_out,
    "entry put in": _put_in,
    "entries swapped": _swap,
    "tail cut": _cut_tail,
    "changed event": _change_event,
    "changed revision": _change_revision,
    "approval hangs on another": _change_use,
    "revision slipped in": _slip_in,
}


def _found(original: Original, count: int) -> tuple[int, list[str]]:
    """Return how many of some alterations, kind by kind, verifying finds, and those it does not."""
    chance = random.Random(20)  # noqa: S311  the same alterations in every run
    missed, kinds = [], list(_KINDS)
    for number in range(count):
        with original.copied(str(number)) as url:
            said = _altered(url, kinds[number % len(kinds)], chance)
            store = open_store(url)
            if not audit.verify(store, (original.head,)).faults:
                missed.append(said)
            store.close()
    return count - len(missed), missed


def test_every_alteration_is_found(original: Original, long_form: bool) -> None:
    count = LONG if long_form else SHORT[original.engine]
    found, missed = _found(original, count)
    report("F20", engine=original.engine, edits=count, found=found, ratio=found / count)
    assert missed == []


def test_a_verifier_that_trusts_the_stored_hash_is_found_out(
    original: Original, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(audit, "_chain", lambda *_: None)
    count = TWIN[original.engine]
    found, missed = _found(original, count)
    report("F20-twin", engine=original.engine, edits=count, found=found, ratio=found / count)
    assert found < count
    assert missed


@pytest.mark.parametrize(
    "entry",
    [
        "",
        "{",
        "[]",
        "null",
        '{"event": 1}',
        '{"note_sha256": "x"}',
        '{"number": 1, "revisions": 7}',
        '{"plan_id": [], "event": {}}',
        '{"item_id": {}, "sha256": 1}',
        '{"what": 3, "plan_id": {}, "step": [], "edit": "x"}',
    ],
)
def test_an_entry_altered_into_anything_is_a_fault_and_no_stop(
    original: Original, entry: str
) -> None:
    """From a hostile hand: whatever it writes, verifying goes on and names the entry."""
    with original.copied("odd") as url:
        database = database_at(url)
        with database.writer.begin() as connection:
            behind = Behind(connection, random.Random(1))  # noqa: S311
            behind.run("UPDATE audit SET entry = :entry WHERE number = 5", entry=entry)
        database.close()
        store = open_store(url)
        found = audit.verify(store, (original.head,))
        store.close()
    assert "own: entry 5 is not what its hash says" in found.faults


def test_nothing_altered_is_nothing_found(original: Original) -> None:
    with original.copied("as_it_is") as url:
        store = open_store(url)
        found = audit.verify(store, (original.head,))
        store.close()
    assert found.faults == []
    assert found.heads == [original.head]
