"""F19: parcels damaged, lost, repeated, out of order, and a side killed while it takes one.

Figures: every damaged parcel refused with nothing changed; after any order of arrival everything
there once and in its maker's order; after any kill all of a parcel or nothing.
"""

import itertools
import os
import random
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.api.sides import Side, edit, keep_plan, offer, two_sides
from tests.cluster import Cluster
from tests.faults.figures import report
from tests.stores import ENGINES
from wheelover.core.errors import ParcelRefused
from wheelover.core.types.people import Person
from wheelover.formats.parcel import container
from wheelover.store import Store, open_store
from wheelover.store.backup import take_backup
from wheelover.store.open import database_at
from wheelover.store.parcels import Parcels
from wheelover.store.restore import restore_backup
from wheelover.store.rows import Total, tables_in, total_of
from wheelover.usecases.parcels.making import make_parcel, parcel_bytes
from wheelover.usecases.parcels.taking import take_parcel

NOW = "2026-11-26T05:00:00.000Z"
MATE = Person(name="A. Berg", rank="second officer")


def no_check(_inputs: Any) -> None:
    """Take the inputs of a revision as they are: what is tried here is not about them."""


@dataclass(frozen=True)
class Scene:
    """Stores of a ship and a shore office that are paired, a plan ashore, and the next parcel."""

    engine: str
    folder: Path
    server: Cluster | None
    plan_id: str
    shore_id: str
    ship_id: str
    parcel: bytes

    def original(self, side: str) -> str:
        """Return the URL of a side's store, which stays as it is."""
        if self.server is None:
            return f"sqlite:///{self.folder / side}.sqlite3"
        return self.server.url(f"f19_{side}")

    def copied(self, side: str, name: str) -> str:
        """Return the URL of a copy of a side's store."""
        if self.server is None:
            copy = self.folder / f"{side}-{name}.sqlite3"
            shutil.copy(self.folder / f"{side}.sqlite3", copy)
            return f"sqlite:///{copy}"
        copied = f"f19_{side}_{name.replace('-', '_')}"
        self.server.run(f"CREATE DATABASE {copied} TEMPLATE f19_{side}")
        return self.server.url(copied)


@pytest.fixture(scope="module", params=ENGINES)
def scene(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Scene]:
    """Return both sides, where the ship has three plans to send of which the shore has one."""
    folder = tmp_path_factory.mktemp("f19")
    with pytest.MonkeyPatch.context() as patch:
        # One key file for every copy: without it a store cannot sign.
        patch.setenv("WHEELOVER_KEY_FILE", str(folder / "wheelover.key"))
        yield _scene(request, folder)


def _scene(request: pytest.FixtureRequest, folder: Path) -> Scene:
    """Return two sides in a folder."""
    sides = two_sides(folder)
    ship, shore = sides.ship, sides.shore
    first = keep_plan(ship)
    offer(ship, first)
    shore.taken(ship.parcel(shore, first))
    ship.taken(shore.parcel(ship))
    edit(ship, first, limits={"min_clearance_m": 700.0})
    offer(ship, first)
    more = [keep_plan(ship, f"Zoo passage {number}") for number in (2, 3)]
    for plan_id in more:
        offer(ship, plan_id)
    ship.store.close()
    shore.store.close()
    shutil.copy(folder / "ship.sqlite3", folder / "before.sqlite3")
    again = Side(f"sqlite:///{folder / 'before.sqlite3'}", "MV Zoo", "ship")
    parcel = again.parcel(shore, *more)
    again.store.close()
    server = None
    if request.param == "postgresql":
        server = request.getfixturevalue("postgres")
        for side in ("ship", "shore"):
            _carry_over(folder / side, server, f"f19_{side}")
    return Scene(request.param, folder, server, first, shore.id, ship.id, parcel)


def _carry_over(file: Path, server: Cluster, name: str) -> None:
    """Let a database of a server hold what a file holds, by way of a backup."""
    backup = file.with_suffix(".backup")
    take_backup(f"sqlite:///{file}.sqlite3", backup, NOW, force=False)
    server.run(f"CREATE DATABASE {name} TEMPLATE template0")
    restore_backup(backup, server.url(name), force=False)


def rows_of(url: str, *aside: str) -> dict[str, Total]:
    """Return count and digest of every table of a store that is closed, but for some."""
    database = database_at(url)
    try:
        with database.reader.begin() as connection:
            if connection.dialect.name == "sqlite":
                assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
            tables = {str(one.name): one for one in tables_in(connection)}
            return {
                name: total_of(connection, table)
                for name, table in tables.items()
                if name not in aside
            }
    finally:
        database.close()


# Damage.


def damaged(scene: Scene, name: str, places: list[int]) -> dict[str, Any]:
    """Return how many parcels with one byte changed were refused, and whether anything changed."""
    url = scene.copied("shore", name)
    store = open_store(url)
    refused = 0
    for at in places:
        other = bytearray(scene.parcel)
        other[at] ^= 1 << at % 8
        try:
            take_parcel(store, bytes(other), no_check, NOW)
        except ParcelRefused:
            refused += 1
    with store.reading() as unit:
        noted = sum(
            '"what":"parcel.refused"' in row.entry
            for vessel in unit.audit.vessels()
            for row in unit.audit.chain(vessel)
        )
    store.close()
    changed = rows_of(url, "audit") != rows_of(scene.original("shore"), "audit")
    return {"tried": len(places), "refused": refused, "noted": noted, "changed": int(changed)}


def places_of(scene: Scene, count: int) -> list[int]:
    """Return bytes of a parcel to change: its head and manifest, and of its parts every so many."""
    length = 110 + int.from_bytes(scene.parcel[10:14])
    every = range(len(scene.parcel))
    step = max(1, len(scene.parcel) // count)
    return sorted({*range(0, length, max(1, length // count)), *every[::step], every[-1]})


def refuses_all(figures: dict[str, Any]) -> bool:
    return bool(
        figures["tried"] == figures["refused"] == figures["noted"] and not figures["changed"]
    )


def test_every_changed_byte_is_refused(scene: Scene, long_form: bool) -> None:
    count = len(scene.parcel) if long_form else 60
    figures = damaged(scene, "damaged", places_of(scene, count))
    ratio = figures["refused"] / figures["tried"]
    report(
        "F19", engine=scene.engine, bytes=figures["tried"], ratio=ratio, changed=figures["changed"]
    )
    assert refuses_all(figures)


def test_a_side_that_trusts_the_signature_is_found_out(
    scene: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(container, "holds", lambda *_: True)
    length = 110 + int.from_bytes(scene.parcel[10:14])
    assert not refuses_all(damaged(scene, "trusting", list(range(46, length, 7))))


# Order of arrival.


def carried(scene: Scene, name: str, count: int) -> dict[str, Any]:
    """Return what becomes of parcels that are lost, repeated and late, one event in each.

    What was lost is brought again later, as a link does that is up now and then; so is what the
    other side had no room to hold. It answers from time to time, and its answers are lost as often.
    """
    ship, shore = (open_store(scene.copied(side, name)) for side in ("ship", "shore"))
    chance = random.Random(count)  # noqa: S311
    waiting: list[int] = []
    figures = {"made": 0, "brought": 0, "no_room": 0, "disorder": 0}
    for number in range(count):
        with ship.writing() as unit:
            row = unit.plans.get(scene.plan_id)
            unit.record.add(row, 1, "remark", MATE, {"words": f"remark {number}"}, NOW)
        made = make_parcel(ship, scene.shore_id, (), "last", MATE, NOW)
        figures["made"] += 1
        waiting.append(made.row.sequence)
        chance.shuffle(waiting)
        for sequence in list(waiting[: chance.randrange(4)]):
            figures["brought"] += 1
            had_room = _brought(shore, _bytes(ship, scene, sequence))
            figures["no_room"] += not had_room
            if had_room and chance.random() < 0.6:
                waiting.remove(sequence)
        figures["disorder"] += _disorder(shore, scene)
        if chance.random() < 0.1:
            _answer(scene, ship, shore, lost=chance.random() < 0.5)
        waiting = [one for one in waiting if _bytes(ship, scene, one)]
    # At the end in their order, so that none waits for one before it, and once more backwards.
    for sequence in [*sorted(waiting), *sorted(waiting, reverse=True)]:
        figures["brought"] += 1
        if body := _bytes(ship, scene, sequence):
            take_parcel(shore, body, no_check, NOW)
    _answer(scene, ship, shore, lost=False)
    figures["disorder"] += _disorder(shore, scene)
    figures["missing"] = len(_words(ship, scene) - _words(shore, scene))
    figures["events"] = len(_words(shore, scene))
    figures["held"] = _held(shore, scene)
    ship.close()
    shore.close()
    return figures


def _brought(shore: Store, body: bytes) -> bool:
    """Bring a parcel, and return whether it was taken or held: nothing else may refuse it."""
    try:
        take_parcel(shore, body, no_check, NOW)
    except ParcelRefused as error:
        if "wait for one before them" not in str(error):
            raise
        return False
    return True


def _bytes(ship: Store, scene: Scene, sequence: int) -> bytes:
    """Return the bytes of a parcel, none once it was acknowledged."""
    with ship.reading() as unit:
        gone = unit.parcels.out(scene.shore_id, sequence).acknowledged_utc is not None
    return b"" if gone else parcel_bytes(ship, scene.shore_id, sequence).body


def _answer(scene: Scene, ship: Store, shore: Store, *, lost: bool) -> None:
    """Let the shore say what it has; a lost answer is made good by the next."""
    with shore.writing() as unit:
        row = unit.plans.get(scene.plan_id)
        unit.record.add(row, 1, "shore_read", MATE, {"words": ""}, NOW)
    made = make_parcel(shore, scene.ship_id, (), "acknowledged", MATE, NOW)
    if not lost:
        take_parcel(ship, made.body, no_check, NOW)


def _words(store: Store, scene: Scene) -> set[str]:
    with store.reading() as unit:
        events = unit.record.of(scene.plan_id)
    return {str(one.body["words"]) for one in events if one.kind == "remark"}


def _disorder(shore: Store, scene: Scene) -> int:
    """Return how many remarks stand before one that was made earlier, or stand twice."""
    with shore.reading() as unit:
        events = unit.record.of(scene.plan_id)
    numbers = [int(one.body["words"].split()[1]) for one in events if one.kind == "remark"]
    return sum(b <= a for a, b in itertools.pairwise(numbers))


def _held(shore: Store, scene: Scene) -> int:
    with shore.reading() as unit:
        return len(unit.parcels.held(scene.ship_id))


def whole(figures: dict[str, Any]) -> bool:
    return not (figures["disorder"] or figures["missing"] or figures["held"])


def test_any_order_of_arrival_ends_the_same(scene: Scene, long_form: bool) -> None:
    count = 1000 if long_form else 40
    figures = carried(scene, "carried", count)
    report("F19", engine=scene.engine, **figures)
    assert figures["events"] == count
    assert whole(figures)


def test_a_side_that_holds_nothing_is_found_out(
    scene: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Parcels, "took", lambda *_: True)
    assert not whole(carried(scene, "eager", 40))


# Kills.

_TAKER = """
import os, signal, sys
from pathlib import Path
from sqlalchemy import event
from wheelover.store import open_store
from wheelover.store.unit import Unit
from wheelover.usecases.parcels.taking import take_parcel
url, file, at, halves = sys.argv[1], sys.argv[2], int(sys.argv[3]), sys.argv[4] == "halves"
store = open_store(url)
done = 0
def counted(connection, cursor, statement, *_):
    global done
    done += 1
    if halves and statement.startswith("INSERT INTO plan_revision"):
        cursor.execute("COMMIT")
        cursor.execute("BEGIN IMMEDIATE" if url.startswith("sqlite") else "BEGIN")
    if done == at:
        os.kill(os.getpid(), signal.SIGKILL)
event.listen(store._writer, "before_cursor_execute", counted)
take_parcel(store, Path(file).read_bytes(), lambda inputs: None, "2026-11-26T05:00:00.000Z")
print(done)
"""


def taken_until(scene: Scene, name: str, at: int, halves: str) -> tuple[str, int, str]:
    """Take the parcel in a process of its own that kills itself before a statement."""
    url = scene.copied("shore", f"kill-{name}")
    file = scene.folder / "next.woparcel"
    file.write_bytes(scene.parcel)
    return url, *_taken_by(url, file, at, halves)


def _taken_by(url: str, file: Path, at: int, halves: str) -> tuple[int, str]:
    """Take a parcel in a process of its own; return its exit code and what it said."""
    done = subprocess.run(
        [sys.executable, "-c", _TAKER, url, str(file), str(at), halves],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        env={**os.environ, "PYTHONPATH": "service"},
        cwd=Path(__file__).parents[2],
    )
    return done.returncode, done.stdout.strip()


def killed(scene: Scene, kills: int, halves: str = "whole") -> dict[str, Any]:
    """Return what a side is left with that is killed at kills places spread over a parcel."""
    _, code, statements = taken_until(scene, f"{halves}-none", 0, "whole")
    assert code == 0
    before = rows_of(scene.original("shore"))
    figures = {"kills": 0, "nothing": 0, "all": 0, "between": 0, "retaken": 0}
    for number in range(kills):
        at = 1 + number * int(statements) // kills
        copy, code, _ = taken_until(scene, f"{halves}-{number}", at, halves)
        assert code == -9
        figures["kills"] += 1
        open_store(copy).close()
        left = "nothing" if rows_of(copy) == before else _left(copy)
        figures[left] += 1
        store = open_store(copy)
        try:
            again = take_parcel(store, scene.parcel, no_check, NOW)
            figures["retaken"] += again["state"] in ("taken", "already_taken")
        except Exception:
            figures["retaken"] += 0
        store.close()
    return figures


def _left(url: str) -> str:
    """Return whether a store that is not as it was has all of the parcel."""
    store = open_store(url)
    with store._reader.begin() as connection:
        count = connection.exec_driver_sql(
            "SELECT count(*) FROM parcel_in WHERE sequence = 2"
        ).scalar()
    store.close()
    return "all" if count else "between"


def all_or_nothing(figures: dict[str, Any]) -> bool:
    return bool(figures["between"] == 0 and figures["retaken"] == figures["kills"])


def test_a_kill_leaves_all_or_nothing(scene: Scene, long_form: bool) -> None:
    figures = killed(scene, 50 if long_form else 4)
    report("F19", engine=scene.engine, **figures)
    assert all_or_nothing(figures)


def test_a_side_that_keeps_it_in_two_transactions_is_found_out(scene: Scene) -> None:
    figures = killed(scene, 4, "halves")
    report("F19-twin", engine=scene.engine, **figures)
    assert not all_or_nothing(figures)
