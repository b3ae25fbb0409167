"""A reason that nobody can read is none, and a name that looks like another's is that one's."""

import pytest

from tests.api.conftest import Client
from tests.api.keeping import post, stored_plan
from tests.api.record_keeping import MASTER, NAVIGATOR, decide, offer, record
from tests.reasons import reasons_for


@pytest.fixture
def client(stored_client: Client) -> Client:
    return stored_client


@pytest.mark.parametrize("words", ["\u200b", "\u2060\u2060", "\u202e \u2063", "\ufeff"])
def test_a_reason_of_which_nothing_is_seen_is_none(client: Client, words: str) -> None:
    """Unicode 15, categories: format signs (Cf) show nothing, on the page as on paper."""
    place, _ = stored_plan(client)
    offer(client, place)
    reasons = reasons_for(record(client, place, 1)["open_items"], words)
    refused = decide(client, place, 1, "approve", reasons=reasons)
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/reasons/0/words"
    assert record(client, place, 1)["state"] == "offered"


@pytest.mark.parametrize(
    "name", ["\u200b", "J. \u202emloH", "J. Holm\u2066", "J.\x00H", "\x1b[2JH"]
)
def test_a_name_holds_no_sign_that_is_not_seen(client: Client, name: str) -> None:
    place, _ = stored_plan(client)
    refused = post(client, f"{place}/revisions", {"by": {**NAVIGATOR, "name": name}})
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/by/name"


def test_letters_that_are_joined_are_a_name(client: Client) -> None:
    place, _ = stored_plan(client)
    by = {**NAVIGATOR, "name": "\u0646\u0627\u0645\u200c\u0647"}
    assert post(client, f"{place}/revisions", {"by": by}).status_code == 201


@pytest.mark.parametrize("name", ["a.  berg", "A.\u00a0Berg", "\uff21. Berg", "A\u200d. Berg"])
def test_the_author_under_a_name_that_looks_the_same_is_no_second_person(
    client: Client, name: str
) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    tag = client.get(f"{place}/revisions/1").headers["etag"]
    by = {"by": {"name": name, "rank": MASTER["rank"]}}
    refused = post(client, f"{place}/revisions/1/checks", by, **{"If-Match": tag})
    assert refused.status_code == 403, refused.text
