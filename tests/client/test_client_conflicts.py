"""The typed client with what two sides hold differently, against a real server."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.api.test_parcel_conflicts import gone_back
from tests.running import running
from wheelover.client import Client, ProblemError

MASTER = {"name": "R. Holm", "rank": "master"}


@pytest.fixture
def held(tmp_path: Path) -> tuple[Path, str]:
    """Make a ship of which two revisions have the number 2; return her folder and the plan."""
    sides, plan_id = gone_back(tmp_path)
    ship, shore = sides.ship, sides.shore
    assert shore.take(ship.parcel(shore)).status_code == 422
    ship.taken(shore.parcel(ship))
    shore.taken(ship.parcel(shore))
    ship.taken(shore.parcel(ship))
    for side in (ship, shore):
        side.app.state.imports.close()
        side.store.close()
    return tmp_path, plan_id


@contextmanager
def client_of(folder: Path, name: str) -> Iterator[Client]:
    with running(f"sqlite:///{folder / name}.sqlite3") as address, Client(address) as client:
        yield client


def test_the_master_picks_what_is_held_here(held: tuple[Path, str]) -> None:
    folder, plan_id = held
    with client_of(folder, "ship") as client:
        (conflict,) = client.conflicts(plan_id)
        assert (conflict["what"], conflict["revision"]) == ("revision", 2)
        assert client.record(plan_id, 2)["counts_as_approved"] is False
        (other,) = client.held_differently(plan_id)["other_revisions"]
        there = client.other_revision(plan_id, other["sha256"])
        assert there["inputs"]["limits"]["min_clearance_m"] == 111.0
        with pytest.raises(ProblemError) as unknown:
            client.pick(plan_id, f"{conflict['id']}-no", "here", by=MASTER)
        assert unknown.value.status == 404
        with pytest.raises(ProblemError) as unnamed:
            client.pick(plan_id, conflict["id"], "here")
        assert unnamed.value.faults[0].pointer == "/by"
        left = client.pick(plan_id, conflict["id"], "here", "As the bridge has it.", MASTER)
        assert left["conflicts"] == client.conflicts(plan_id) == []
        assert client.record(plan_id, 2)["counts_as_approved"] is True
        with pytest.raises(ProblemError) as again:
            client.pick(plan_id, conflict["id"], "other", by=MASTER)
        assert (again.value.status, again.value.type) == (409, "/problems/conflict")


def test_the_master_picks_the_other(held: tuple[Path, str]) -> None:
    folder, plan_id = held
    with client_of(folder, "ship") as client:
        (conflict,) = client.conflicts(plan_id)
        client.pick(plan_id, conflict["id"], "other", "Theirs was discussed.", MASTER)
        plan = client.read_plan(plan_id)
        assert plan.document["inputs"]["limits"]["min_clearance_m"] == 111.0
        assert client.record(plan_id, 2)["counts_as_approved"] is False
        assert client.conflicts(plan_id) == []


def test_nobody_picks_where_the_plan_is_not_at_home(held: tuple[Path, str]) -> None:
    folder, plan_id = held
    with client_of(folder, "shore") as client:
        (conflict,) = client.conflicts(plan_id)
        with pytest.raises(ProblemError) as refused:
            client.pick(plan_id, conflict["id"], "here", by=MASTER)
        assert (refused.value.status, refused.value.type) == (409, "/problems/conflict")
