"""``Idempotency-Key``: what was done is not done again, also when its answer was lost.

The header and its meaning: IETF draft "The Idempotency-Key HTTP Header Field".
"""

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import SHIP, post, stored_plan
from tests.api.record_keeping import NAVIGATOR
from wheelover.api import idempotency


@pytest.fixture
def client(stored_client: Client) -> Client:
    return stored_client


KEY = {"Idempotency-Key": "5f0c7a52-6c5e-4e0e-9d51-1f0d2a6e8b11"}


def _count(client: Client, place: str) -> int:
    return len(client.get(place).json()["items"])


def test_a_request_sent_twice_is_done_once(client: Client) -> None:
    first = post(client, "/api/v1/plans", zoo.request(), **KEY)
    again = post(client, "/api/v1/plans", zoo.request(), **KEY)
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.content == again.content
    for name in ("location", "etag"):
        assert first.headers[name] == again.headers[name]
    assert (first.headers.get("idempotency-replayed"), again.headers["idempotency-replayed"]) == (
        None,
        "true",
    )
    assert _count(client, "/api/v1/plans") == 1
    assert post(client, "/api/v1/plans", zoo.request()).status_code == 201
    assert _count(client, "/api/v1/plans") == 2


def test_a_key_is_not_for_another_request(client: Client) -> None:
    post(client, "/api/v1/ships", SHIP, **KEY)
    other = post(client, "/api/v1/ships", {**SHIP, "beam_m": 33.0}, **KEY)
    assert other.status_code == 422
    assert other.json()["type"] == "/problems/idempotency-key-reused"
    assert _count(client, "/api/v1/ships") == 1


def test_a_refused_request_may_be_mended_under_the_same_key(client: Client) -> None:
    assert post(client, "/api/v1/ships", {**SHIP, "beam_m": -1.0}, **KEY).status_code == 422
    assert post(client, "/api/v1/ships", SHIP, **KEY).status_code == 201


def test_an_offer_sent_twice_freezes_one_revision(client: Client) -> None:
    place, _ = stored_plan(client)
    body = {"by": NAVIGATOR}
    numbers = [post(client, f"{place}/revisions", body, **KEY).json()["number"] for _ in range(2)]
    assert numbers == [1, 1]
    assert _count(client, f"{place}/revisions") == 1


def test_a_lost_answer_leads_to_what_was_made(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if the service had died after the change and before its answer was kept."""
    place, _ = stored_plan(client)
    monkeypatch.setattr(idempotency.Idempotency, "_keep", lambda *_: None)
    post(client, f"{place}/revisions", {"by": NAVIGATOR}, **KEY)
    again = post(client, f"{place}/revisions", {"by": NAVIGATOR}, **KEY)
    assert (again.status_code, again.headers["location"]) == (
        303,
        f"{place}/revisions/1/record",
    )
    assert _count(client, f"{place}/revisions") == 1
    made = post(client, "/api/v1/ships", SHIP, **{"Idempotency-Key": "other"})
    lost = post(client, "/api/v1/ships", SHIP, **{"Idempotency-Key": "other"})
    assert lost.headers["location"] == made.headers["location"]


def test_what_changes_nothing_needs_no_key_and_takes_any(client: Client) -> None:
    for _ in range(2):
        assert post(client, "/api/v1/plan", zoo.request(), **KEY).status_code == 200


@pytest.mark.parametrize("key", ["", "x" * 256])
def test_a_key_that_is_none(client: Client, key: str) -> None:
    answer = post(client, "/api/v1/ships", SHIP, **{"Idempotency-Key": key})
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/invalid-idempotency-key"


def test_old_keys_are_forgotten(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    post(client, "/api/v1/ships", SHIP, **KEY)
    monkeypatch.setattr(idempotency, "KEPT_DAYS", -1)
    post(client, "/api/v1/ships", SHIP, **{"Idempotency-Key": "later"})
    assert "idempotency-replayed" not in post(client, "/api/v1/ships", SHIP, **KEY).headers
    assert _count(client, "/api/v1/ships") == 3
