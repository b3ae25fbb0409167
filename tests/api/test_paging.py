"""Lists a page at a time, and reads that cost nothing where nothing has changed."""

from typing import Any

import pytest

from tests.api.conftest import Client, send
from tests.api.keeping import stored_plan
from tests.api.record_keeping import edit, offer
from tests.api.sides import MATE, Side
from tests.store.kept import NOW
from wheelover.api import create_app
from wheelover.usecases.webhooks import add_webhook, deliver_due

COUNT = 7


def pages(client: Client, place: str, limit: int = 3) -> list[dict[str, Any]]:
    """Return every item of a list, read a page at a time."""
    items, cursor = [], ""
    joint = "&" if "?" in place else "?"
    while True:
        answer = client.get(f"{place}{joint}limit={limit}&cursor={cursor}")
        assert answer.status_code == 200, answer.text
        page = answer.json()
        assert len(page["items"]) <= limit
        items += page["items"]
        cursor = page["next_cursor"]
        if cursor is None:
            return items
        assert len(page["items"]) == limit


@pytest.fixture(scope="module")
def filled() -> tuple[Client, str]:
    """Return a service with seven of everything, and the place of its plan."""
    client = Client(create_app())
    place, _ = stored_plan(client)
    offer(client, place)
    revision = client.get(f"{place}/revisions/1").json()
    finding = revision["result"]["findings"][0]
    for number in range(COUNT):
        anchor = {"kind": "finding", "id": finding["id"]}
        said = {"anchor": anchor, "words": f"Why {number}?", "by": MATE, "revision": 1}
        assert client.send("POST", f"{place}/threads", json=said).status_code == 201
        body = {"finding_id": finding["id"], "words": f"So {number}.", "by": MATE, "revision": 1}
        assert client.send("POST", f"{place}/explanations", json=body).status_code == 201
        add_webhook(client.app.state.store, f"http://127.0.0.1:9/{number}", "own", (), NOW)
        side = Side(None, f"Office {number}", "shore")
        card = {**side.card(), "by": MATE}
        assert client.send("POST", "/api/v1/peers", json=card).status_code == 201
        with client.app.state.store.writing() as unit:
            unit.vessels.add(f"Vessel {number}", "", NOW)
    return client, place


@pytest.mark.parametrize(
    "place", ["{plan}/threads", "/api/v1/peers", "/api/v1/vessels", "/api/v1/webhooks"]
)
def test_a_list_is_read_whole_or_a_page_at_a_time(filled: tuple[Client, str], place: str) -> None:
    client, plan = filled
    place = place.format(plan=plan)
    whole = client.get(place).json()
    assert whole["next_cursor"] is None
    assert len(whole["items"]) >= COUNT
    for limit in (1, 3, len(whole["items"]), 500):
        assert pages(client, place, limit) == whole["items"]
    assert client.get(f"{place}?limit=3&cursor=nothing").status_code == 422
    assert client.get(f"{place}?limit=0").status_code == 422


def test_explanations_are_paged_also_of_one_revision(filled: tuple[Client, str]) -> None:
    client, plan = filled
    for place in (f"{plan}/explanations", f"{plan}/explanations?revision=1"):
        whole = client.get(place).json()
        assert whole["items"]
        assert pages(client, place, 1) == whole["items"]


def test_the_count_of_waiting_threads_is_of_all(filled: tuple[Client, str]) -> None:
    client, plan = filled
    assert client.get(f"{plan}/threads?limit=2").json()["waiting_count"] == COUNT


def test_the_log_of_deliveries_is_paged(filled: tuple[Client, str]) -> None:
    client, _ = filled
    store = client.app.state.store
    hook = client.get("/api/v1/webhooks").json()["items"][0]["id"]
    with store.writing() as unit:
        for number in range(COUNT):
            unit.webhooks.log(hook, number, 1, "failed", None, "nobody", NOW)
    assert deliver_due(store, lambda *_: pytest.fail("off"), lambda: "1970") == 0
    log = pages(client, f"/api/v1/webhooks/{hook}/deliveries")
    assert [one["entry_number"] for one in log] == list(reversed(range(COUNT)))


@pytest.mark.parametrize(
    "place",
    [
        "{plan}/computed",
        "{plan}/threads",
        "{plan}/explanations",
        "{plan}/sync",
        "{plan}/conflicts",
        "{plan}/revisions",
        "{plan}/revisions/1/record",
        "/api/v1/plans",
        "/api/v1/ships",
        "/api/v1/hazard-sets",
        "/api/v1/vessels",
        "/api/v1/peers",
        "/api/v1/webhooks",
        "/api/v1/audit",
        "/api/v1/changes",
    ],
)
def test_what_has_not_changed_is_not_sent_again(filled: tuple[Client, str], place: str) -> None:
    client, plan = filled
    place = place.format(plan=plan)
    read = client.get(place)
    tag = read.headers["etag"]
    for held in (tag, f'"other", {tag}', f"W/{tag}", "*"):
        again = client.get(place, headers={"If-None-Match": held})
        assert (again.status_code, again.content) == (304, b""), held
        assert again.headers["etag"] == tag
    assert client.get(place, headers={"If-None-Match": '"other"'}).content == read.content
    packed = client.get(place, headers={"If-None-Match": tag, "Accept-Encoding": "gzip"})
    assert packed.status_code == 304
    described = client.get("/api/v1/openapi.json").json()["paths"]
    names = place.replace(plan, "/api/v1/plans/{plan_id}").replace(
        "revisions/1", "revisions/{number}"
    )
    assert "304" in described[names]["get"]["responses"] or place.endswith("record")


def test_a_change_is_sent() -> None:
    client = Client(create_app())
    place, _ = stored_plan(client)
    tags = {
        one: client.get(f"{place}{one}").headers["etag"]
        for one in ("/computed", "/threads", "/sync")
    }
    listed = client.get("/api/v1/plans").headers["etag"]
    edit(client, place, limits={"min_clearance_m": 900.0})
    offer(client, place)
    anchor = {
        "kind": "waypoint",
        "id": client.get(place).json()["inputs"]["route"]["waypoints"][0]["id"],
    }
    said = {"anchor": anchor, "words": "Why?", "by": MATE}
    assert client.send("POST", f"{place}/threads", json=said).status_code == 201
    for one, tag in tags.items():
        assert client.get(f"{place}{one}", headers={"If-None-Match": tag}).status_code == 200, one
    again = client.get("/api/v1/plans", headers={"If-None-Match": listed})
    assert again.status_code == 200


def test_who_is_signed_in_has_no_tag() -> None:
    app = create_app()
    assert "etag" not in send(app, "GET", "/api/v1/session").headers
