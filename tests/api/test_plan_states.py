"""Where a plan stands, as lists and drafts say it; every plan in use is found, however old."""

from typing import Any

from tests.api.conftest import Client
from tests.api.keeping import act, moved, post, put, stored_plan
from tests.reasons import reasons_for

MASTER = {"name": "Jon Holm", "rank": "Master"}


def _draft(client: Client, place: str) -> tuple[dict[str, Any], str]:
    answer = client.send("GET", place)
    return answer.json(), answer.headers["etag"]


def _approve(client: Client, place: str, number: int) -> None:
    offer = act(client, f"{place}/revisions", _draft(client, place)[1])
    assert offer.status_code == 201
    revision = f"{place}/revisions/{number}"
    record = client.send("GET", f"{revision}/record").json()
    reasons = reasons_for(record["open_items"], "known")
    body = {"kind": "approve", "by": MASTER, "reasons": reasons}
    made = post(client, f"{revision}/decisions", body, **{"If-Match": offer.headers["etag"]})
    assert made.status_code == 201, made.text


def _decide(client: Client, place: str, number: int, kind: str) -> None:
    tag = client.send("GET", f"{place}/revisions/{number}").headers["etag"]
    body = {"kind": kind, "by": MASTER}
    made = post(client, f"{place}/revisions/{number}/decisions", body, **{"If-Match": tag})
    assert made.status_code == 201, made.text


def test_a_plan_in_use_is_listed_by_itself_with_its_mark(client: Client) -> None:
    place, _ = stored_plan(client)
    other, _ = stored_plan(client)
    assert client.send("GET", "/api/v1/plans?in_use=true").json()["items"] == []
    _approve(client, place, 1)
    _decide(client, place, 1, "take_into_use")
    (line,) = client.send("GET", "/api/v1/plans?in_use=true").json()["items"]
    assert place.endswith(line["id"])
    assert (line["in_use_revision"], line["in_use_stands"]) == (1, True)
    assert line["edited_since_revision"] is False
    draft, tag = _draft(client, place)
    put(client, place, moved(draft["inputs"], 0, 0.01), tag)
    (line,) = client.send("GET", "/api/v1/plans?in_use=true").json()["items"]
    assert (line["in_use_stands"], line["edited_since_revision"]) == (False, True)
    _decide(client, place, 1, "close")
    assert client.send("GET", "/api/v1/plans?in_use=true").json()["items"] == []
    assert other != place


def test_a_closed_revision_is_no_approval_on_record(client: Client) -> None:
    place, _ = stored_plan(client)
    _approve(client, place, 1)
    assert _draft(client, place)[0]["approved_revision"] == 1
    _decide(client, place, 1, "close")
    draft, _ = _draft(client, place)
    assert (draft["state"], draft["approved_revision"]) == ("closed", None)
    assert draft["approval_stands"] is False


def test_files_of_a_revision_say_who_approved_it(client: Client) -> None:
    place, _ = stored_plan(client)
    offer = act(client, f"{place}/revisions", _draft(client, place)[1])
    assert offer.status_code == 201
    for form in ("csv", "geojson", "gpx", "rtz"):
        text = client.send("GET", f"{place}/revisions/1/export/{form}").text
        assert "State: offered. Not approved." in text, form
    _approve(client, place, 2)
    for form in ("csv", "geojson", "gpx", "rtz"):
        text = client.send("GET", f"{place}/revisions/2/export/{form}").text
        assert "State: approved. Approved r2 by Jon Holm, Master, claimed, 20" in text, form
        assert "reason: known (for " in text, form
    draft, tag = _draft(client, place)
    put(client, place, moved(draft["inputs"], 0, 0.01), tag)
    text = client.send("GET", f"{place}/revisions/2/export/csv").text
    assert "Inputs changed since: Moved WPT 01" in text
    assert "Not counted as approved." in text
    assert "NOT COUNTED AS APPROVED: inputs changed since. State: approved. Approved r2" in text
