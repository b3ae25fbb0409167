"""Revisions made and decided by asking the service directly, for tests of the page beside them."""

from typing import Any

from tests.browser.service import ask, draft, stored, zigzag
from tests.reasons import reasons_for

Document = dict[str, Any]

AUTHOR = {"name": "Ada Berg", "rank": "Second officer"}
MASTER = {"name": "Jon Holm", "rank": "Master"}


def offered(server: str, inputs: Document | None = None, plan_id: str | None = None) -> str:
    """Store a plan, offer it with its author's name, and return its id."""
    plan_id = plan_id or stored(server, inputs or zigzag())
    tag = {"If-Match": draft(server, plan_id)["_etag"]}
    ask(server, "POST", f"/plans/{plan_id}/revisions", {"by": AUTHOR, "words": "as asked"}, tag)
    return plan_id


def record(server: str, plan_id: str, number: int = 1) -> Document:
    """Return the record of a revision."""
    return ask(server, "GET", f"/plans/{plan_id}/revisions/{number}/record")


def decide(server: str, plan_id: str, kind: str, number: int = 1, words: str = "") -> Document:
    """Decide a revision as its master, with a reason for every open cause of an approval."""
    body: Document = {"kind": kind, "by": MASTER, "words": words}
    if kind == "approve":
        open_items = record(server, plan_id, number)["open_items"]
        body["reasons"] = reasons_for(open_items, "known, the watch keeps clear by eye")
    tag = {"If-Match": f'"{record(server, plan_id, number)["sha256"]}"'}
    return ask(server, "POST", f"/plans/{plan_id}/revisions/{number}/decisions", body, tag)


def renamed(server: str, plan_id: str, name: str) -> None:
    """Change the name of the second waypoint of a draft."""
    before = draft(server, plan_id)
    inputs = before["inputs"]
    inputs["route"]["waypoints"][1]["name"] = name
    ask(server, "PUT", f"/plans/{plan_id}", inputs, {"If-Match": before["_etag"]})
