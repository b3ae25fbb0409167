"""The typed client with a plan that is sailed, against a real server."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests import zoo
from tests.reasons import reasons_for
from tests.running import running
from wheelover.client import Client, ProblemError

BY = {"name": "A. Berg", "rank": "second officer"}
MASTER = {"name": "R. Holm", "rank": "master"}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[Client]:
    with running(f"sqlite:///{tmp_path / 'kept.sqlite3'}") as address, Client(address) as client:
        yield client


def test_a_plan_under_way(client: Client) -> None:
    kept = client.keep_plan(zoo.request(departure_utc="2026-11-25T08:00:00Z"))
    client.offer(kept.id, by=BY)
    record = client.record(kept.id, 1)
    reasons = reasons_for([dict(one) for one in record["open_items"]])
    client.decide(record, "approve", by=MASTER, reasons=reasons)
    client.decide(record, "take_into_use", by=MASTER)
    at_utc = "2026-11-25T09:01:00Z"
    noted = client.keep_log(kept.id, 1, "late by a minute", "B", at_utc, by=BY)
    assert noted["log"][0]["kind"] == "actual"
    plan = client.read_plan(kept.id)
    with pytest.raises(ProblemError) as undated:
        client.amend(plan, "fishing fleet", (47.2, -29.8), "C")
    assert undated.value.faults[0].pointer == "/at_utc"
    amended = client.amend(plan, "fishing fleet", (47.2, -29.8), "C", "2026-11-25T10:00:00Z")
    assert amended.document["amended"]["left_behind"] == ["waypoints A, B"]
    client.offer(kept.id, by=BY)
    told = client.differences(kept.id, 1, 2)["changes"]
    assert any("fishing fleet" in one["sentence"] for one in told)
    assert client.recomputed(kept.id, 2)["same"] is True
    assert client.conflicts(kept.id) == []
    assert list(client.charts()) == []
    logged = {one["entry"]["what"] for one in client.audit()}
    assert "plan.edited" in logged
