"""Every place of the service with the action it needs.

``RULES`` is the whole list; a test holds it against the OpenAPI document, another against a table
of who may do what that was written by hand.
"""

from dataclasses import dataclass
from typing import Literal

from wheelover.usecases.accounts.roles import Action

Subject = Literal["nothing", "any", "plan", "item", "chart", "peer", "new", "log"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What a place needs: an action, and on what. ``nothing`` concerns no vessel.

    ``any`` is whatever vessel: what comes says itself whose it is, and the place looks at that.
    ``plan``, ``item``, ``chart`` and ``peer`` are named in the path; ``new`` is a vessel that
    something will belong to, named by the query ``vessel_id`` or the only one there is; ``log`` is
    one whose audit log is read. ``password``: whoever does it types a password again, and stands
    for it by name; the role that counts is then that person's.
    """

    action: Action
    on: Subject = "nothing"
    password: bool = False


Rules = dict[tuple[str, str], Rule]


def _all(action: Action, on: Subject, *places: str, password: bool = False) -> Rules:
    """Return the same rule for places written as method and path under /api/v1."""
    rule = Rule(action=action, on=on, password=password)
    split = (place.partition(" ") for place in places)
    return {(method, f"/api/v1{path}"): rule for method, _, path in split}


RULES: Rules = {
    ("GET", "/"): Rule(action="open"),
    ("GET", "/plans/{_plan_id}"): Rule(action="open"),
    ("GET", "/plans/{_plan_id}/r/{_number}"): Rule(action="open"),
    ("GET", "/plans/{_plan_id}/review"): Rule(action="open"),
    ("GET", "/plans/{_plan_id}/r/{_number}/turns/{_waypoint_id:path}"): Rule(action="open"),
    ("GET", "/favicon.ico"): Rule(action="open"),
    ("GET", "/healthz"): Rule(action="open"),
    ("GET", "/readyz"): Rule(action="open"),
    **_all(
        "open",
        "nothing",
        "GET /session",
        "POST /session",
        "POST /session/enrolment",
        "GET /sign-in/outside",
        "GET /sign-in/outside/return",
    ),
    **_all(
        "self",
        "nothing",
        "DELETE /session",
        "GET /session/all",
        "POST /session/end",
        "POST /session/unlock",
        "POST /session/password",
    ),
    **_all(
        "compute",
        "nothing",
        "POST /plan",
        "POST /routes/read",
        "POST /positions/read",
        "POST /positions/offset",
        "POST /warnings/read",
        "POST /hazards/read",
        "POST /turns/about-mark",
        "POST /turns/about-mark-between",
        "POST /plan/departures",
        "POST /plan/moved",
        "POST /turns/card",
        "POST /turns/helm-orders",
        "POST /manoeuvre",
        "POST /ships/fit",
        "POST /ships/fit/read",
        # A word that only who waits for a file knows; it says nothing of the plan.
        "GET /exports/{watch}",
        "GET /coastline/index",
        "GET /coastline/{zoom}/{column}/{row}",
        "GET /demonstration",
        # Lists show what is visible and nothing else; to whom nothing is, they are empty.
        "GET /plans",
        "GET /ships",
        "GET /hazard-sets",
        "GET /charts",
        "GET /limit-sets",
        "GET /vessels",
        "GET /peers",
        "GET /peers/self",
    ),
    **_all(
        "manage_accounts",
        "nothing",
        "GET /accounts",
        "POST /accounts",
        "GET /accounts/{account_id}",
        "PUT /accounts/{account_id}",
        "POST /accounts/{account_id}/reset",
        "POST /vessels",
        "PUT /vessels/{vessel_id}",
        "GET /keys",
        "POST /keys",
        "DELETE /keys/{key_id}",
        "PUT /peers/self",
        "POST /peers/self/keys",
        "POST /peers",
        "DELETE /peers/{peer_id}",
        "GET /webhooks",
        "GET /webhooks/{webhook_id}/deliveries",
    ),
    **_all("edit", "new", "POST /plans"),
    **_all(
        "read",
        "plan",
        "GET /plans/{plan_id}",
        "GET /plans/{plan_id}/computed",
        "POST /plans/{plan_id}/departures",
        "GET /plans/{plan_id}/differences",
        "GET /plans/{plan_id}/threads",
        "GET /plans/{plan_id}/explanations",
        "GET /plans/{plan_id}/sync",
        "GET /plans/{plan_id}/conflicts",
        "GET /plans/{plan_id}/other-revisions/{sha256}",
        "GET /plans/{plan_id}/pen",
        "GET /plans/{plan_id}/export/{format_name}",
        "GET /plans/{plan_id}/revisions",
        "GET /plans/{plan_id}/revisions/{number}",
        "GET /plans/{plan_id}/revisions/{number}/export/{format_name}",
        "GET /plans/{plan_id}/revisions/{number}/document",
        "GET /plans/{plan_id}/revisions/{number}/record",
        "GET /plans/{plan_id}/revisions/{number}/recomputed",
    ),
    **_all("read", "log", "GET /audit", "GET /changes"),
    **_all(
        "edit",
        "plan",
        "PUT /plans/{plan_id}",
        "POST /plans/{plan_id}/undo",
        "POST /plans/{plan_id}/redo",
        "POST /plans/{plan_id}/pen",
        "DELETE /plans/{plan_id}/pen",
        "POST /plans/{plan_id}/amendments",
        "POST /plans/{plan_id}/revisions/{number}/log",
    ),
    **_all("sign", "plan", "POST /plans/{plan_id}/revisions/{number}/verified-courses"),
    **_all("sign", "plan", "POST /plans/{plan_id}/revisions/{number}/sign-offs", password=True),
    **_all("check", "plan", "POST /plans/{plan_id}/revisions/{number}/checks", password=True),
    **_all("decide", "plan", "POST /plans/{plan_id}/revisions/{number}/decisions", password=True),
    **_all("decide", "plan", "POST /plans/{plan_id}/conflicts/{conflict_id}", password=True),
    **_all("read", "peer", "GET /peers/{peer_id}"),
    **_all(
        "parcel",
        "peer",
        "POST /peers/{peer_id}/parcels",
        "GET /peers/{peer_id}/parcels/{sequence}",
    ),
    **_all(
        "parcel",
        "any",
        "POST /parcels",
        "POST /parcels/uploads",
        "GET /parcels/uploads/{upload_id}",
        "PUT /parcels/uploads/{upload_id}/chunks/{number}",
        "POST /parcels/uploads/{upload_id}/finish",
    ),
    **_all(
        "discuss",
        "plan",
        "POST /plans/{plan_id}/threads",
        "POST /plans/{plan_id}/threads/{thread_id}/notes",
        "POST /plans/{plan_id}/threads/{thread_id}/resolve",
        "POST /plans/{plan_id}/threads/{thread_id}/reopen",
    ),
    **_all("explain", "plan", "POST /plans/{plan_id}/explanations"),
    **_all(
        "decide",
        "plan",
        "POST /plans/{plan_id}/explanations/{explanation_id}/answers",
        password=True,
    ),
    **_all(
        "shore_decide",
        "plan",
        "POST /plans/{plan_id}/revisions/{number}/shore-decisions",
        password=True,
    ),
    **_all("offer", "plan", "POST /plans/{plan_id}/revisions"),
    **_all(
        "manage_library",
        "new",
        "POST /ships",
        "POST /hazard-sets",
        "POST /limit-sets",
        "POST /charts/imports",
    ),
    **_all(
        "manage_library",
        "any",
        "GET /charts/imports/{import_id}",
        "DELETE /charts/imports/{import_id}",
    ),
    **_all("manage_library", "chart", "DELETE /charts/{chart_id}"),
    **_all(
        "read",
        "chart",
        "GET /charts/{chart_id}",
        "GET /charts/{chart_id}/editions/{number}",
        "GET /charts/{chart_id}/features",
    ),
    **_all(
        "manage_library",
        "item",
        "PUT /ships/{item_id}",
        "PUT /hazard-sets/{item_id}",
        "PUT /limit-sets/{item_id}",
    ),
    **_all(
        "read",
        "item",
        "GET /ships/{item_id}",
        "GET /ships/{item_id}/editions/{number}",
        "GET /hazard-sets/{item_id}",
        "GET /hazard-sets/{item_id}/editions/{number}",
        "GET /limit-sets/{item_id}",
        "GET /limit-sets/{item_id}/editions/{number}",
    ),
}
"""Every place of the service and what it needs. A new place goes in here."""
