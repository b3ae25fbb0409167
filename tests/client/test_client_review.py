"""The client's part in review, parcels and undo, against real servers; and its types."""

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests import zoo
from tests.api.keeping import moved
from tests.client import make_types
from tests.reasons import reasons_for
from tests.running import running
from wheelover.api import create_app
from wheelover.client import Client, ProblemError

NAVIGATOR = {"name": "A. Berg", "rank": "second officer"}
WATCH = {"name": "L. Vik", "rank": "third officer"}
MASTER = {"name": "R. Holm", "rank": "master"}
OFFICE = {"name": "S. Lund", "rank": "superintendent"}
PAGE = {"X-Wheelover": "1"}


@pytest.fixture(scope="module")
def addresses(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """Give a ship and a shore office that are paired."""
    folder: Path = tmp_path_factory.mktemp("client")
    with (
        running(f"sqlite:///{folder / 'ship.sqlite3'}") as ship,
        running(f"sqlite:///{folder / 'shore.sqlite3'}") as shore,
    ):
        for address, side in ((ship, "ship"), (shore, "shore")):
            named = {"name": f"Zoo {side}", "side": side}
            httpx.put(f"{address}/api/v1/peers/self", json=named, headers=PAGE).raise_for_status()
        for here, there in ((ship, shore), (shore, ship)):
            card = httpx.get(f"{there}/api/v1/peers/self").json()
            httpx.post(
                f"{here}/api/v1/peers", json={**card, "by": OFFICE}, headers=PAGE
            ).raise_for_status()
        yield ship, shore


@pytest.fixture
def ship(addresses: tuple[str, str]) -> Iterator[Client]:
    with Client(addresses[0]) as client:
        yield client


@pytest.fixture
def shore(addresses: tuple[str, str]) -> Iterator[Client]:
    with Client(addresses[1]) as client:
        yield client


def test_the_types_are_those_of_the_description() -> None:
    made = make_types.formatted(make_types.source(create_app().openapi()))
    assert make_types.PLACE.read_text() == made


def test_a_step_is_taken_back_and_made_again(ship: Client) -> None:
    kept = ship.keep_plan(zoo.request())
    changed = ship.edit_plan(kept, moved(kept.document["inputs"], 1, 0.01))
    undone = ship.undo(changed)
    assert undone.document["inputs"] == kept.document["inputs"]
    assert ship.redo(undone).document["inputs"] == changed.document["inputs"]
    with pytest.raises(ProblemError) as refused:
        ship.undo(changed)
    assert refused.value.type == "/problems/stale"


def test_a_review_from_offer_to_approval(ship: Client) -> None:
    plan = ship.keep_plan(zoo.request()).id
    revision = ship.offer(plan, by=NAVIGATOR)
    finding = revision["result"]["findings"][0]["id"]
    thread = ship.open_thread(
        plan, {"kind": "finding", "id": finding}, "Why?", by=OFFICE, revision=1
    )
    thread = ship.answer_thread(thread, "Old data.", by=NAVIGATOR, revision=1)
    assert thread["state"] == "answered"
    assert ship.settle_thread(thread, "resolve", by=OFFICE)["state"] == "resolved"
    assert ship.settle_thread(thread, "reopen", by=OFFICE)["state"] == "reopened"
    assert [one["id"] for one in ship.threads(plan)] == [thread["id"]]
    explained = ship.explain(plan, finding, "Seen.", by=NAVIGATOR, revision=1)
    answered = ship.answer_explanation(plan, explained["id"], "accepted", by=MASTER)
    assert answered["answer"] is not None
    assert [one["id"] for one in ship.explanations(plan, revision=1)] == [explained["id"]]
    assert ship.shore_decide(plan, 1, "agree", by=OFFICE)["shore"][0]["kind"] == "shore_agreed"
    record = ship.check(plan, 1, by=WATCH, words="Looked at.")
    with pytest.raises(ProblemError) as refused:
        ship.decide(record, "approve", by=MASTER)
    assert (refused.value.status, len(refused.value.faults)) == (409, len(record["open_items"]))
    reasons = reasons_for([dict(one) for one in record["open_items"]], "known")
    approved = ship.decide(record, "approve", by=MASTER, reasons=reasons)
    assert approved["counts_as_approved"]
    assert [one["code"] for one in approved["warnings"]] == ["approval_claimed"]
    to_id = revision["result"]["legs"][0]["to_id"]
    assert len(ship.verify_course(plan, 1, to_id, by=WATCH)["verified_courses"]) == 1
    assert len(ship.sign_off(plan, 1, by=WATCH)["sign_offs"]) == 1
    whats = [one["what"] for one in ship.changes() if one.get("plan_id") == plan]
    assert whats[0] == "plan.started"
    assert "plan.approved" in whats


def test_a_decision_binds_to_what_was_read(ship: Client) -> None:
    plan = ship.keep_plan(zoo.request()).id
    ship.offer(plan, by=NAVIGATOR)
    record = ship.record(plan, 1)
    read = {**record, "sha256": "0" * 64}
    with pytest.raises(ProblemError) as refused:
        ship.decide(read, "return", by=MASTER, words="no")  # type: ignore[arg-type]
    assert refused.value.status == 412


def test_the_frozen_bytes_are_held_against_their_digest(
    ship: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = ship.keep_plan(zoo.request()).id
    ship.offer(plan, by=NAVIGATOR)
    assert ship.document(plan, 1).startswith(b'{"created_utc"')
    whole = Client._send

    def changed(self: Client, method: str, place: str, **more: object) -> httpx.Response:
        answer = whole(self, method, place, **more)
        return httpx.Response(200, headers={"ETag": answer.headers["etag"]}, content=b"{}")

    monkeypatch.setattr(Client, "_send", changed)
    with pytest.raises(ValueError, match="not what their digest says"):
        ship.document(plan, 1)


def test_a_parcel_goes_ashore(ship: Client, shore: Client) -> None:
    plan = ship.keep_plan(zoo.request()).id
    ship.offer(plan, by=NAVIGATOR)
    (office,) = ship.peers()
    made = ship.make_parcel(office["id"], [plan], by=NAVIGATOR)
    body = ship.parcel(office["id"], made["sequence"])
    assert len(body) == made["size_count"]
    assert shore.take_parcel(body)["state"] == "taken"
    assert shore.take_parcel(body)["state"] == "already_taken"
    assert shore.document(plan, 1) == ship.document(plan, 1)
    sync = ship.sync(plan)
    assert [one["state"] for one in sync["peers"][0]["revisions"]] == ["sent"]
