"""What tests of the record share: offering, approving with reasons, and reading where it stands."""

from typing import Any

import httpx

from tests.api.conftest import Client
from tests.api.keeping import post, put
from tests.reasons import reasons_for

NAVIGATOR = {"name": "A. Berg", "rank": "second officer"}
MASTER = {"name": "R. Holm", "rank": "master"}
WATCH = {"name": "L. Vik", "rank": "third officer"}


def offer(client: Client, place: str, by: dict[str, str] | None = NAVIGATOR) -> int:
    """Freeze the draft and return the number of the revision."""
    body = {"by": by, "words": "for the noon tide"} if by else {}
    answer = post(client, f"{place}/revisions", body)
    assert answer.status_code == 201, answer.text
    return int(answer.json()["number"])


def record(client: Client, place: str, number: int) -> dict[str, Any]:
    """Return the record of a revision."""
    answer = client.get(f"{place}/revisions/{number}/record")
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def decide(
    client: Client, place: str, number: int, kind: str, tag: str | None = None, **members: Any
) -> httpx.Response:
    """Send a decision of the master."""
    tag = tag or client.get(f"{place}/revisions/{number}").headers["etag"]
    body = {"kind": kind, "by": MASTER, **members}
    return post(client, f"{place}/revisions/{number}/decisions", body, **{"If-Match": tag})


def approve(client: Client, place: str, number: int) -> dict[str, Any]:
    """Approve a revision with a reason for every cause that is open, and return its record."""
    reasons = reasons_for(record(client, place, number)["open_items"])
    answer = decide(client, place, number, "approve", reasons=reasons)
    assert answer.status_code == 201, answer.text
    return dict(answer.json())


def edit(client: Client, place: str, **members: Any) -> httpx.Response:
    """Change members of a draft."""
    draft = client.get(place)
    return put(client, place, {**draft.json()["inputs"], **members}, draft.headers["etag"])
