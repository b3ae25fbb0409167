"""Findings explained, the master's answers, and what the shore says, beside a revision."""

from typing import Any

import pytest

from tests.api.conftest import Client
from tests.api.keeping import post, stored_plan
from tests.api.record_keeping import MASTER, NAVIGATOR, approve, edit, offer, record
from tests.api.test_threads import SUPERINTENDENT, ask, say
from wheelover.api import create_app
from wheelover.api.schemas.record import RevisionState
from wheelover.api.schemas.review import ExplanationList

FINDING = "clearance_not_met/leg/B/rock"


@pytest.fixture
def client() -> Client:
    return Client(create_app())


@pytest.fixture
def place(client: Client) -> str:
    """Return a plan with one revision in which a clearance of 780 m misses its limit of 900 m."""
    found, _ = stored_plan(client, limits={"min_clearance_m": 900.0})
    offer(client, found)
    return found


def finding(client: Client, place: str, number: int = 1) -> dict[str, Any]:
    rows = client.get(f"{place}/revisions/{number}").json()["result"]["findings"]
    return next(one for one in rows if one["id"].startswith("clearance_not_met"))


def explain(client: Client, place: str, **more: Any) -> Any:
    body = {
        "finding_id": more.pop("finding_id", None) or finding(client, place)["id"],
        "words": "Helmsman stood by at 0.40 NM, order on the VRM.",
        "revision": 1,
        "by": NAVIGATOR,
        **more,
    }
    return post(client, f"{place}/explanations", {k: v for k, v in body.items() if v is not None})


def respond(client: Client, place: str, one: str, answer: str, words: str = "") -> Any:
    body = {"answer": answer, "words": words, "by": MASTER}
    return post(client, f"{place}/explanations/{one}/answers", body)


def listed(client: Client, place: str, **params: int) -> list[dict[str, Any]]:
    answer = client.get(f"{place}/explanations", params=params)
    assert answer.status_code == 200, answer.text
    ExplanationList.model_validate(answer.json())
    return list(answer.json()["items"])


def test_an_explanation_stands_beside_the_finding_and_the_grade_stays(
    client: Client, place: str
) -> None:
    before = finding(client, place)
    made = explain(client, place)
    assert made.status_code == 201
    (shown,) = record(client, place, 1)["explanations"]
    assert shown["finding_id"] == before["id"]
    assert shown["by"]["name"] == NAVIGATOR["name"]
    assert shown["written_for"] == {
        name: before[name] for name in ("grade", "measured", "limit", "unit")
    }
    assert shown["for_other_numbers"] is False
    assert shown["answer"] is None
    assert finding(client, place) == before
    kinds = {one["id"]: one["kind"] for one in record(client, place, 1)["open_items"]}
    assert kinds[before["id"]] == "must_resolve"


def test_the_master_accepts_or_says_why_not(client: Client, place: str) -> None:
    first_id = explain(client, place).json()["id"]
    assert respond(client, place, first_id, "not_accepted").status_code == 422
    refused = respond(client, place, first_id, "not_accepted", "Which chart?")
    assert refused.status_code == 201
    assert refused.json()["answer"]["words"] == "Which chart?"
    later = explain(client, place, words="Paper chart, edition 12.").json()["id"]
    assert respond(client, place, first_id, "accepted").status_code == 409
    assert respond(client, place, later, "accepted").status_code == 201
    first, second = listed(client, place)
    assert (first["current"], first["answer"]["answer"]) == (False, "not_accepted")
    assert (second["current"], second["answer"]["answer"]) == (True, "accepted")
    assert first["answer"]["by"]["rank"] == "master"


def test_an_explanation_written_for_other_numbers_says_so(client: Client, place: str) -> None:
    explain(client, place)
    edit(client, place, limits={"min_clearance_m": 950.0})
    offer(client, place)
    assert finding(client, place, 2)["id"] == finding(client, place)["id"]
    assert listed(client, place, revision=1)[0]["for_other_numbers"] is False
    assert listed(client, place, revision=2)[0]["for_other_numbers"] is True
    assert record(client, place, 2)["explanations"][0]["for_other_numbers"] is True
    assert record(client, place, 2)["explanations"][0]["revision"] == 1
    assert listed(client, place)[0]["for_other_numbers"] is None
    edit(client, place, limits={"min_clearance_m": 100.0})
    offer(client, place)
    assert listed(client, place, revision=3) == []


def test_the_draft_is_explained_too(client: Client) -> None:
    place, _ = stored_plan(client)
    made = explain(client, place, finding_id="leg_land/plan", revision=None)
    assert made.status_code == 201
    assert made.json()["revision"] is None
    offer(client, place)
    (shown,) = record(client, place, 1)["explanations"]
    assert (shown["finding_id"], shown["for_other_numbers"]) == ("leg_land/plan", False)


def test_explanations_that_cannot_be(client: Client, place: str) -> None:
    assert explain(client, place, finding_id="no/such").status_code == 422
    assert explain(client, place, finding_id="no/such", revision=None).status_code == 422
    assert explain(client, place, words=" ").status_code == 422
    assert explain(client, place, by=None).status_code == 422
    assert explain(client, place, revision=9).status_code == 404
    assert explain(client, "/api/v1/plans/nowhere", finding_id="x").status_code == 404
    assert respond(client, place, "explanation-none", "accepted").status_code == 404
    assert client.get(f"{place}/explanations", params={"revision": 9}).status_code == 404


def shore(client: Client, place: str, kind: str, number: int = 1, **more: Any) -> Any:
    body = {"kind": kind, "words": "", "by": SUPERINTENDENT, **more}
    return post(client, f"{place}/revisions/{number}/shore-decisions", body)


def test_the_shore_returns_only_with_an_open_thread(client: Client, place: str) -> None:
    assert shore(client, place, "return").status_code == 409
    thread = ask(client, place).json()["id"]
    say(client, place, thread)
    assert shore(client, place, "return").status_code == 409
    say(client, place, thread, by=SUPERINTENDENT, side="shore", words="Still short.")
    returned = shore(client, place, "return", words="See the thread on turn 02.")
    assert returned.status_code == 201
    RevisionState.model_validate(returned.json())
    (kept,) = returned.json()["shore"]
    assert (kept["kind"], kept["open_threads"]) == ("shore_returned", [thread])


def test_what_the_shore_says_is_no_lock_on_the_master(client: Client, place: str) -> None:
    ask(client, place)
    assert shore(client, place, "return").json()["state"] == "offered"
    approved = approve(client, place, 1)
    assert (approved["state"], approved["counts_as_approved"]) == ("approved", True)
    after = shore(client, place, "read")
    assert after.status_code == 201
    assert after.json()["counts_as_approved"] is True
    agreed = shore(client, place, "agree").json()
    assert [one["kind"] for one in agreed["shore"]] == [
        "shore_returned", "shore_read", "shore_agreed"
    ]  # fmt: skip
    assert agreed["state"] == "approved"


def test_shore_decisions_that_cannot_be(client: Client, place: str) -> None:
    assert shore(client, place, "approve").status_code == 422
    assert shore(client, place, "agree", by=None).status_code == 422
    assert shore(client, place, "agree", number=5).status_code == 404
    assert record(client, place, 1)["shore"] == []
