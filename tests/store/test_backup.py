"""Backups: of either engine into either, whole or not at all, and never over what must stay."""

import gzip
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.kept import NOW, filled, started
from wheelover.cli import main
from wheelover.core.errors import Damaged, UnreadableFile
from wheelover.store import Store, StoreRefused, open_store
from wheelover.store.backup import NotWritten, read_backup, take_backup
from wheelover.store.restore import restore_backup
from wheelover.store.rows import Total, tables_in, total_of


@pytest.fixture
def store(store_url: str) -> Iterator[Store]:
    opened = open_store(store_url)
    filled(opened)
    yield opened
    opened.close()


@pytest.fixture
def taken(store: Store, store_url: str, tmp_path: Path) -> Path:
    """Return a backup of the store, which is closed after it."""
    target = tmp_path / "a.backup"
    take_backup(store_url, target, NOW, force=False)
    store.close()
    return target


def totals(url: str) -> dict[str, Total]:
    store = open_store(url)
    with store._reader.begin() as connection:
        found = {str(one.name): total_of(connection, one) for one in tables_in(connection)}
    store.close()
    return found


def test_a_backup_says_what_it_holds(taken: Path, store_url: str) -> None:
    backup = read_backup(taken)
    assert backup.totals == totals(store_url)
    assert backup.totals["plan_step"].rows == 12
    assert backup.row_count == sum(one.rows for one in backup.totals.values())
    assert stat.S_IMODE(taken.stat().st_mode) == 0o600
    assert sorted(one.name for one in taken.parent.iterdir() if one.is_file()) == ["a.backup"]


@pytest.mark.parametrize("into", ["sqlite", "postgresql"])
def test_a_backup_of_either_engine_is_restored_into_either(
    taken: Path, into: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    target = f"sqlite:///{tmp_path / 'other.sqlite3'}"
    if into == "postgresql":
        target = str(request.getfixturevalue("empty_postgres_url"))
    backup, _ = restore_backup(taken, target, force=False)
    assert totals(target) == backup.totals
    store = open_store(target)
    again = started(store, "plan-new")
    with store.reading() as unit:
        assert unit.plans.page(1, None) == [again]
        row = unit.plans.get("plan-1")
        assert unit.plans.steps(row, 1)[0].label == "Moved \u00c5 2 \u2192 \U0001f6a2"
        assert len(unit.plans.document(unit.plans.revision(row, 1))) == 3000
    store.close()


def test_a_store_in_use_is_not_replaced(taken: Path, store_url: str) -> None:
    store = open_store(store_url)
    started(store, "plan-late")
    with pytest.raises(StoreRefused, match="in use"):
        restore_backup(taken, store_url, force=True)
    with store.reading() as unit:
        assert unit.plans.known("plan-late")
    store.close()


def test_a_store_that_is_not_empty_is_replaced_by_force_alone(taken: Path, store_url: str) -> None:
    store = open_store(store_url)
    started(store, "plan-late")
    store.close()
    with pytest.raises(StoreRefused, match="not empty"):
        restore_backup(taken, store_url, force=False)
    assert totals(store_url)["plan"].rows == 4
    restore_backup(taken, store_url, force=True)
    assert totals(store_url) == read_backup(taken).totals
    if store_url.startswith("sqlite"):
        kept = totals(f"{store_url}.before-restore")
        assert kept["plan"].rows == 4


def test_a_backup_that_is_there_is_not_written_over(taken: Path, store_url: str) -> None:
    before = taken.read_bytes()
    with pytest.raises(NotWritten):
        take_backup(store_url, taken, NOW, force=False)
    assert taken.read_bytes() == before
    take_backup(store_url, taken, "2026-11-26T00:00:00.000Z", force=True)
    assert read_backup(taken).made_utc == "2026-11-26T00:00:00.000Z"


@pytest.mark.parametrize("place", [0.1, 0.5, 0.9, 0.999])
def test_a_backup_that_was_cut_or_changed_is_refused(
    taken: Path, place: float, tmp_path: Path
) -> None:
    body = bytearray(taken.read_bytes())
    at = int(len(body) * place)
    for damaged in (body[:at], body[:at] + bytes([body[at] ^ 1]) + body[at + 1 :]):
        taken.write_bytes(damaged)
        with pytest.raises(UnreadableFile):
            restore_backup(taken, f"sqlite:///{tmp_path / 'other.sqlite3'}", force=False)


@pytest.mark.parametrize(
    ("was", "now"),
    [
        (b'"Z"', b'"Y"'),
        (b'"rows":12', b'"rows":13'),
        (b'"wheelover-backup"', b'"another-backup"'),
        (b'"version":1', b'"version":2'),
    ],
)
def test_a_backup_whose_lines_were_changed_is_refused(taken: Path, was: bytes, now: bytes) -> None:
    text = gzip.decompress(taken.read_bytes())
    assert was in text
    taken.write_bytes(gzip.compress(text.replace(was, now, 1)))
    with pytest.raises(UnreadableFile):
        read_backup(taken)


def test_a_backup_of_a_newer_version_is_refused(
    store: Store, store_url: str, tmp_path: Path
) -> None:
    with store._writer.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'm9999_tomorrow'")
    take_backup(store_url, tmp_path / "newer.backup", NOW, force=False)
    with pytest.raises(StoreRefused, match="newer version"):
        restore_backup(tmp_path / "newer.backup", f"sqlite:///{tmp_path / 'x'}", force=False)


def test_damage_is_found_by_the_backup(store: Store, store_url: str, tmp_path: Path) -> None:
    names = {"sqlite": "blob_no_update", "postgresql": "blob_frozen ON blob"}
    with store._writer.begin() as connection:
        connection.exec_driver_sql(f"DROP TRIGGER {names[connection.dialect.name]}")
        connection.exec_driver_sql(
            "UPDATE blob SET body = (SELECT body FROM blob ORDER BY sha256 LIMIT 1)"
        )
    with pytest.raises(Damaged):
        take_backup(store_url, tmp_path / "b.backup", NOW, force=False)
    assert not (tmp_path / "b.backup").exists()


def test_the_commands_say_what_they_did(
    store_url: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("WHEELOVER_DATABASE", store_url)
    target, other = str(tmp_path / "c.backup"), f"sqlite:///{tmp_path / 'other.sqlite3'}"
    assert main(["migrate"]) == 0
    store = open_store(store_url)
    filled(store)
    assert main(["backup", target]) == 0
    assert main(["backup", target]) == 5
    assert main(["restore", target]) == 3
    store.close()
    assert main(["restore", target, "--into", other]) == 0
    assert main(["restore", target, "--into", other]) == 3
    assert main(["restore", target, "--into", other, "--force"]) == 0
    assert main(["restore", str(tmp_path / "nothing"), "--into", other]) == 4
    said = capsys.readouterr()
    assert "read back and found whole" in said.out
    assert "each compared" in said.out
    for words in ("--force replaces it", "in use", "not empty", "cannot be read"):
        assert words in said.err


def test_a_damaged_file_is_replaced_by_force_and_stays_beside(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'a.sqlite3'}"
    store = open_store(url)
    filled(store)
    take_backup(url, tmp_path / "a.backup", NOW, force=False)
    store.close()
    path = tmp_path / "a.sqlite3"
    damaged = path.read_bytes()[:5000] + b"\x55" * 9000
    path.write_bytes(damaged)
    path.with_name("a.sqlite3-wal").write_bytes(b"what a killed process left")
    with pytest.raises(StoreRefused):
        open_store(url)
    restore_backup(tmp_path / "a.backup", url, force=True)
    assert totals(url) == read_backup(tmp_path / "a.backup").totals
    assert path.with_name("a.sqlite3.before-restore").read_bytes() == damaged


def test_what_every_new_store_holds_is_nothing(taken: Path, store_url: str, tmp_path: Path) -> None:
    """Migrations put rows into new tables; a backup's own take their place without force."""
    target = f"sqlite:///{tmp_path / 'new.sqlite3'}"
    open_store(target).close()
    restore_backup(taken, target, force=False)
    assert totals(target) == read_backup(taken).totals
