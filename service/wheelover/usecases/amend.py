"""Amending a plan under way: from where the ship is, to the waypoint she joins, with the reason."""

from dataclasses import dataclass
from typing import Any, Literal

from wheelover.core.errors import Conflict, Fault, InvalidInput
from wheelover.store import Store
from wheelover.usecases.drafts import DraftView, draft_of, edit_plan
from wheelover.usecases.people import LOCAL_ACTOR, Actor

Document = dict[str, Any]

_LONGEST_LABEL = 280
_KINDS = {"deviation": "Amended under way", "pilot": "Amended by the pilot's intentions"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Amendment:
    """From where a plan is amended, to which waypoint she sails from there, and why."""

    kind: Literal["deviation", "pilot"]
    reason: str
    lat_deg: float
    lon_deg: float
    next_waypoint_id: str
    at_utc: str | None = None


def amend(
    store: Store,
    plan_id: str,
    amendment: Amendment,
    tags: tuple[str, ...],
    now_utc: str,
    actor: Actor = LOCAL_ACTOR,
) -> DraftView:
    """Start a draft from a position under way; frozen, it is the amended revision.

    The waypoints before the next one are left behind; they stay in the revision that is amended.
    What is before the position has been sailed, so approvals lapse as by any edit.

    Raises
    ------
    Conflict
        When there is no revision to amend.
    InvalidInput
        When the plan has no such waypoint, or the reason is empty.
    Stale
        When the draft was changed since the sender read it.
    """
    view = draft_of(store, plan_id)
    if view.row.revision == 0:
        raise Conflict("There is no revision to amend: offer the plan first.")
    if not amendment.reason.strip():
        message = "an amendment needs its reason"
        raise InvalidInput(message, (Fault(pointer="/reason", message=message),))
    inputs = amended(view.inputs, amendment, view.row.revision)
    label = f"{_KINDS[amendment.kind]}: {amendment.reason.strip()}"[:_LONGEST_LABEL]
    return edit_plan(store, plan_id, inputs, tags, now_utc, actor, label)


def amended(inputs: Document, amendment: Amendment, of_revision: int) -> Document:
    """Return inputs that start at a position and join the route at a waypoint.

    Parameters
    ----------
    inputs : dict
        Of the draft.
    amendment : Amendment
        Where, to which waypoint and why.
    of_revision : int
        The revision that is amended.

    Raises
    ------
    InvalidInput
        When the route has no such waypoint.
    """
    route = inputs["route"]
    ids = [one["id"] for one in route["waypoints"]]
    if amendment.next_waypoint_id not in ids:
        message = f"the route has no waypoint {amendment.next_waypoint_id[:60]!r}"
        raise InvalidInput(message, (Fault(pointer="/next_waypoint_id", message=message),))
    at = ids.index(amendment.next_waypoint_id)
    ahead = [
        {k: v for k, v in one.items() if index > 0 or k != "gap_before"}
        for index, one in enumerate(route["waypoints"][at:])
    ]
    start = {
        "id": _new_id(ids),
        "name": "Amended from here",
        "lat_deg": amendment.lat_deg,
        "lon_deg": amendment.lon_deg,
    }
    members = {
        "of_revision": of_revision,
        "kind": amendment.kind,
        "reason": amendment.reason.strip(),
        "lat_deg": amendment.lat_deg,
        "lon_deg": amendment.lon_deg,
        "at_utc": amendment.at_utc,
    }
    left = {one["id"] for one in ahead}
    changed = {
        **inputs,
        "route": {**route, "waypoints": [start, *ahead]},
        "amendment": {name: value for name, value in members.items() if value is not None},
    }
    if inputs.get("cases"):
        changed["cases"] = [one for one in inputs["cases"] if one["waypoint_id"] in left]
    return changed


def _new_id(ids: list[str]) -> str:
    """Return an id for the position that no waypoint of the route has."""
    number = 1
    while f"AMEND-{number}" in ids:
        number += 1
    return f"AMEND-{number}"
