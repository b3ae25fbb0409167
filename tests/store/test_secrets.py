"""Secrets at rest: sealed in the database and in backups, and what is said when the key is gone."""

import gzip
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import insert, text

from tests.api.conftest import Client
from tests.api.sides import MATE, Side, keep_plan, offer
from tests.store.kept import NOW
from wheelover.api import create_app
from wheelover.cli import main
from wheelover.core.errors import InvalidInput, UnreadableFile
from wheelover.formats.parcel import public_of
from wheelover.store import Store, StoreRefused, open_store
from wheelover.store.backup import take_backup
from wheelover.store.migrate import make_tables
from wheelover.store.open import database_at
from wheelover.store.restore import restore_backup
from wheelover.store.rows import tables_in
from wheelover.usecases.parcels.delivery import deliveries, set_address
from wheelover.usecases.webhooks import Outcome, add_webhook, deliver_due, webhooks_listed

WORDS = "five words are long enough"
PUSH_KEY = "wo_abc_0123456789secret"
_COLUMNS = (("instance_key", "private_key"), ("webhook", "secret"), ("peer", "push_key"))


@pytest.fixture(autouse=True)
def key_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Let every store of a test use one key file of its own."""
    path = tmp_path / "keys" / "a.key"
    monkeypatch.setenv("WHEELOVER_KEY_FILE", str(path))
    return path


def kept_texts(url: str) -> dict[str, str]:
    """Return what the columns of secrets hold, as the database has it."""
    database = database_at(url)
    with database.reader.begin() as connection:
        found = {
            column: connection.execute(text(f"SELECT {column} FROM {table}")).scalar_one()  # noqa: S608
            for table, column in _COLUMNS
        }
    database.close()
    return found


def paired(store_url: str, tmp_path: Path) -> tuple[Side, Side, str]:
    """Return a ship with a webhook, a peer with an address, and the webhook's secret."""
    ship = Side(store_url, "MV Zoo", "ship")
    shore = Side(f"sqlite:///{tmp_path / 'shore.sqlite3'}", "Office", "shore")
    assert ship.pair(shore).status_code == 201
    assert shore.pair(ship).status_code == 201
    hook = add_webhook(ship.store, "http://127.0.0.1:9/", "own", (), NOW)
    set_address(ship.store, shore.id, "http://127.0.0.1:9", PUSH_KEY, NOW)
    assert hook.secret is not None
    return ship, shore, hook.secret


def private_of(store: Store) -> str:
    with store.reading() as unit:
        key = unit.peers.own_keys()[0]
    assert key.private_key is not None
    assert public_of(key.private_key) == key.public_key
    return key.private_key.hex()


def test_no_secret_stands_in_the_database_or_a_backup(
    store_url: str, tmp_path: Path, key_file: Path
) -> None:
    ship, _, secret = paired(store_url, tmp_path)
    secrets = [private_of(ship.store), secret, PUSH_KEY, key_file.read_text()]
    take_backup(store_url, tmp_path / "a.backup", NOW, force=False)
    ship.store.close()
    held = "".join(kept_texts(store_url).values())
    held += gzip.decompress((tmp_path / "a.backup").read_bytes()).decode()
    folder = tmp_path / "folder"
    held += "".join(one.read_bytes().decode("latin-1") for one in folder.glob("*"))
    assert "sealed:" in held
    for one in secrets:
        assert one not in held


def test_secrets_of_an_earlier_version_are_sealed_when_the_store_is_opened(
    engine: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    url = f"sqlite:///{tmp_path / 'old.sqlite3'}"
    if engine == "postgresql":
        url = str(request.getfixturevalue("empty_postgres_url"))
    private, secret = "11" * 32, "whsec_" + "QUJD" * 8
    public = public_of(bytes.fromhex(private)).hex()
    _as_it_was(url, private, public, secret)
    store = open_store(url)
    assert store.came_from == "m0006_other_systems"
    assert store.lost == ()
    assert private_of(store) == private
    assert webhooks_listed(store)[0].secret == secret
    with store.reading() as unit:
        assert unit.peers.get("wo-b").push_key == PUSH_KEY
    store.close()
    kept = kept_texts(url)
    assert all(one.startswith("sealed:") for one in kept.values())
    if engine == "sqlite":
        held = b"".join(one.read_bytes() for one in tmp_path.glob("old.sqlite3*"))
        assert private.encode() not in held
        assert secret.encode() not in held
    again = open_store(url)
    again.close()
    assert kept_texts(url) == kept


def _as_it_was(url: str, private: str, public: str, secret: str) -> None:
    """Make a store as the version before sealing left it."""
    database = database_at(url)
    with database.writer.begin() as connection:
        database.prepare(connection)
        make_tables(connection, "m0006_other_systems")
        for table, row in (
            ("instance", ("wo-a", "Zoo", "ship", NOW)),
            ("instance_key", (1, public, private, NOW)),
            ("webhook", ("hook-1", "http://x/", secret, "own", "[]", True, 0, 0, NOW, NOW)),
            (
                "peer",
                ("wo-b", "Zoo", "shore", "own", "paired", public, NOW, None, "http://x", PUSH_KEY),
            ),
        ):
            found = {str(one.name): one for one in tables_in(connection)}
            connection.execute(insert(found[table]).values(row))
    database.close()


def test_without_its_key_file_a_restored_store_says_what_to_make_anew(
    store_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    ship, shore, _ = paired(store_url, tmp_path)
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    take_backup(store_url, tmp_path / "a.backup", NOW, force=False)
    ship.store.close()
    elsewhere = f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}"
    monkeypatch.setenv("WHEELOVER_KEY_FILE", str(tmp_path / "keys" / "another.key"))
    assert main(["restore", str(tmp_path / "a.backup"), "--into", elsewhere]) == 0
    said = capsys.readouterr().out
    for words in ("signs parcels", "webhook rotate", "parcel push", "not the one that sealed"):
        assert words in said
    client = Client(create_app(elsewhere))
    store = client.app.state.store
    assert len(store.lost) == 3
    _cannot_sign(client, store, shore.id, plan_id)
    _made_anew(client, store, shore, plan_id)


def _cannot_sign(client: Client, store: Store, peer_id: str, plan_id: str) -> None:
    """See that nothing is signed with a key that is not here, and that it is said."""
    made = client.send("POST", f"/api/v1/peers/{peer_id}/parcels", json={"plans": [plan_id]})
    assert made.status_code == 409
    assert "sealed with a key file that is not here" in made.json()["detail"]
    renewed = client.send("POST", "/api/v1/peers/self/keys", json={"lost": False})
    assert renewed.status_code == 409
    assert client.get("/api/v1/webhooks").json()["items"][0]["secret_lost"] is True
    called: list[str] = []

    def send(url: str, _headers: dict[str, str], _body: bytes) -> Outcome:
        called.append(url)
        return Outcome(status=204, detail="")

    assert deliver_due(store, send, lambda: "2099-01-01T00:00:00.000Z") == 0
    assert called == []


def _made_anew(client: Client, store: Store, shore: Side, plan_id: str) -> None:
    """Make each secret anew and see that it works."""
    renewed = client.send("POST", "/api/v1/peers/self/keys", json={"lost": True})
    assert renewed.status_code == 201
    assert shore.send("DELETE", f"/api/v1/peers/{renewed.json()['id']}").status_code == 200
    card = client.get("/api/v1/peers/self").json()
    assert shore.send("POST", "/api/v1/peers", json={**card, "by": MATE}).status_code == 201
    place = f"/api/v1/peers/{shore.id}/parcels"
    made = client.send("POST", place, json={"plans": [plan_id], "since": "nothing"})
    assert made.status_code == 201, made.text
    assert deliveries(store)[0].key_lost
    set_address(store, shore.id, "http://127.0.0.1:9", PUSH_KEY, NOW)
    assert (deliveries(store)[0].key, deliveries(store)[0].key_lost) == (PUSH_KEY, False)
    hook = webhooks_listed(store)[0].id
    url = f"sqlite:///{store._database.writer.url.database}"  # type: ignore[attr-defined]
    store.close()
    assert main(["webhook", "--database", url, "rotate", hook]) == 0
    again = open_store(url)
    assert again.lost == ()
    assert str(webhooks_listed(again)[0].secret).startswith("whsec_")
    again.close()


def test_a_backup_may_bring_its_key_file_along_under_a_passphrase(
    store_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, key_file: Path
) -> None:
    ship, _, secret = paired(store_url, tmp_path)
    private = private_of(ship.store)
    ship.store.close()
    words, wrong, short = (tmp_path / name for name in ("words", "wrong", "short"))
    words.write_text(WORDS + "\n")
    wrong.write_text("another passphrase altogether\n")
    short.write_text("short\n")
    backup, target = str(tmp_path / "k.backup"), tmp_path / "new" / "place.key"
    monkeypatch.setenv("WHEELOVER_DATABASE", store_url)
    assert main(["backup", backup, "--passphrase-file", str(short)]) == 3
    assert main(["backup", backup, "--passphrase-file", str(words)]) == 0
    assert key_file.read_bytes() not in gzip.decompress(Path(backup).read_bytes())
    elsewhere = f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}"
    monkeypatch.setenv("WHEELOVER_KEY_FILE", str(target))
    command = ["restore", backup, "--into", elsewhere, "--passphrase-file"]
    assert main([*command, str(wrong)]) == 4
    assert not target.exists()
    assert main([*command, str(words)]) == 0
    assert target.read_bytes() == key_file.read_bytes()
    assert target.stat().st_mode & 0o777 == 0o600
    store = open_store(elsewhere)
    assert store.lost == ()
    assert (private_of(store), webhooks_listed(store)[0].secret) == (private, secret)
    store.close()


def test_a_key_file_that_is_there_is_not_written_over(
    store_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ship, _, _ = paired(store_url, tmp_path)
    ship.store.close()
    taken, plain = tmp_path / "k.backup", tmp_path / "p.backup"
    take_backup(store_url, taken, NOW, force=False, passphrase=WORDS)
    take_backup(store_url, plain, NOW, force=False)
    with pytest.raises(InvalidInput, match="at least"):
        take_backup(store_url, tmp_path / "s.backup", NOW, force=False, passphrase="short")  # noqa: S106
    other = tmp_path / "other.key"
    other.write_bytes(b"x" * 44)
    monkeypatch.setenv("WHEELOVER_KEY_FILE", str(other))
    into = f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}"
    with pytest.raises(StoreRefused, match="another one"):
        restore_backup(taken, into, force=False, passphrase=WORDS)
    with pytest.raises(UnreadableFile, match="brings no key"):
        restore_backup(plain, into, force=False, passphrase=WORDS)
    assert other.read_bytes() == b"x" * 44
    assert not (tmp_path / "elsewhere.sqlite3").exists()
