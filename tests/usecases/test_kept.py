"""Verifying finds what was altered beside the log: editions, steps of drafts, homes.

Each alteration is made behind the service's back, with bytes that are whole by their own digest, so
that nothing but what the log was told can show it.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, text

from tests.api.conftest import Client
from tests.api.keeping import SHIP, stored_plan
from tests.api.record_keeping import approve, edit, offer
from wheelover.api import create_app
from wheelover.store import Store, open_store
from wheelover.store.charts import ChartContents
from wheelover.store.open import database_at
from wheelover.usecases import audit
from wheelover.usecases.chart_imports import _note
from wheelover.usecases.people import LOCAL_ACTOR

NOW = "2026-11-26T09:00:00.000Z"


def _chart(store: Store, name: str) -> None:
    """Keep a cell as an import does."""
    with store.writing() as unit:
        contents = ChartContents(
            name=name,
            producer_edition=1,
            producer_update=0,
            sha256=unit.blobs.put(name.encode()),
            object_count=1,
            box_deg=(0.0, 0.0, 1.0, 1.0),
            said="{}",
        )
        edition = unit.charts.keep(contents, NOW, None)
        _note(unit, "chart_cell.kept", edition, LOCAL_ACTOR, NOW)


@pytest.fixture
def url(tmp_path: Path) -> str:
    """Give a store with a ship of two editions, cells, and a draft with steps taken back."""
    url = f"sqlite:///{tmp_path / 'kept.sqlite3'}"
    client = Client(create_app(url))
    ship = client.send("POST", "/api/v1/ships", json=SHIP)
    tag = {"If-Match": ship.headers["etag"]}
    renewed = {**SHIP, "name": "Renewed"}
    place = f"/api/v1/ships/{ship.json()['id']}"
    assert client.send("PUT", place, json=renewed, headers=tag).status_code == 200
    place, _ = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    for limit in (600.0, 700.0, 800.0):
        edit(client, place, limits={"min_clearance_m": limit})
    tag = {"If-Match": client.get(place).headers["etag"]}
    assert client.send("POST", f"{place}/undo", headers=tag).status_code == 200
    store = client.app.state.store
    _chart(store, "XX3AAAAA")
    _chart(store, "XX3BBBBB")
    store.close()
    return url


def _faults(url: str) -> list[str]:
    store = open_store(url)
    try:
        return audit.verify(store).faults
    finally:
        store.close()


def _behind(url: str, alter: Callable[[Connection], Any]) -> None:
    """Alter a store behind the service's back, with nothing that would hold its rows."""
    database = database_at(url)
    try:
        with database.writer.begin() as connection:
            wanted = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
            for (name,) in connection.execute(text(wanted)).all():
                connection.execute(text(f"DROP TRIGGER {name}"))
            connection.execute(text("PRAGMA defer_foreign_keys = ON"))
            alter(connection)
    finally:
        database.close()


def _run(*statements: str) -> Callable[[Connection], Any]:
    return lambda connection: [connection.execute(text(one)) for one in statements]


_PEER = (
    "INSERT INTO peer (id, name, side, vessel_id, state, our_key, paired_utc) "
    "VALUES ('wo-x', 'Shore', 'shore', 'own', 'paired', '', '2026-11-26T09:00:00.000Z')"
)
ALTERED = {
    "a ship's edition repointed": (
        "UPDATE library_edition SET sha256 = (SELECT sha256 FROM library_edition WHERE "
        "edition = 2) WHERE edition = 1",
        "edition 1 of ship",
    ),
    "an edition slipped in": (
        "INSERT INTO library_edition SELECT item_id, 3, name, source, item_count, sha256, "
        "created_utc FROM library_edition WHERE edition = 1",
        "edition 3 of",
    ),
    "an edition taken out": ("DELETE FROM library_edition WHERE edition = 1", "is gone"),
    "a cell repointed": (
        "UPDATE chart_edition SET sha256 = (SELECT max(sha256) FROM chart_edition) "
        "WHERE sha256 = (SELECT min(sha256) FROM chart_edition)",
        "is not the one that was kept",
    ),
    "inputs of a step": (
        "UPDATE plan_step SET inputs = replace(inputs, '600', '60') WHERE number = 2",
        "step 2 of plan",
    ),
    "inputs of a step taken back": (
        "UPDATE plan_step SET inputs = replace(inputs, '800', '8') WHERE number = 4",
        "step 4 of plan",
    ),
    "time and inputs of a step": (
        "UPDATE plan_step SET at_utc = '2020-01-01T00:00:00.000Z', "
        "inputs = replace(inputs, '600', '60') WHERE number = 2",
        "step 2 of plan",
    ),
    "a step taken out": ("DELETE FROM plan_step WHERE number = 4", "step 4 of plan"),
    "a draft on another step": ("UPDATE plan SET step = 2", "another step"),
    "the ship's own plan at home elsewhere": (
        "INSERT INTO plan_home SELECT id, 'wo-x' FROM plan",
        "was made here",
    ),
    "her own particulars at home elsewhere": (
        "INSERT INTO library_home SELECT id, 'wo-x' FROM library_item",
        "was made here",
    ),
}


@pytest.mark.parametrize("what", ALTERED)
def test_an_alteration_beside_the_log_is_found(url: str, what: str) -> None:
    assert _faults(url) == []
    statement, words = ALTERED[what]
    _behind(url, _run(*([_PEER] if "home" in what else []), statement))
    faults = _faults(url)
    assert any(words in one for one in faults), faults
