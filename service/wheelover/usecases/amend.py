"""Amending a plan under way: from where the ship is, to the waypoint she joins, with the reason."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from wheelover.core.errors import Conflict, Fault, InvalidInput, OutOfDomain
from wheelover.core.review import standings
from wheelover.core.types.record import Event
from wheelover.store import Store
from wheelover.usecases.canonical import sha256_of
from wheelover.usecases.drafts import DraftView, draft_of, edit_plan, require_draft, settled_for
from wheelover.usecases.people import LOCAL_ACTOR, Actor
from wheelover.usecases.revisions import revision_of
from wheelover.usecases.under_way import UnderWay, under_way
from wheelover.usecases.written import is_legible

Document = dict[str, Any]
StartFrom = Literal["revision", "draft"]

_LONGEST_LABEL = 280
_LONGEST_REASON = 120
_MOST_STEPS = 3
_KINDS = {"deviation": "Amended under way", "pilot": "Amended by the pilot's intentions"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Amendment:
    """From where a plan is amended, to which waypoint she sails from there, and why.

    ``at_utc`` is when she is there. ``start_from`` says what is amended where the draft holds edits
    that the revision in use does not: that revision, or the draft.
    """

    kind: Literal["deviation", "pilot"]
    reason: str
    lat_deg: float
    lon_deg: float
    next_waypoint_id: str
    at_utc: str | None = None
    start_from: StartFrom | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Amended:
    """The draft after an amendment, and what became of what was stated at waypoints behind."""

    view: DraftView
    of_revision: int
    start_from: StartFrom
    made: UnderWay

    @property
    def document(self) -> Document:
        """Return what is said of the amendment beside the draft."""
        return {
            "of_revision": self.of_revision,
            "start_from": self.start_from,
            "departure_utc": self.made.inputs.get("departure_utc"),
            "carried": self.made.carried,
            "left_behind": self.made.left,
        }


def amend(
    store: Store,
    plan_id: str,
    amendment: Amendment,
    tags: tuple[str, ...],
    now_utc: str,
    planned: Callable[[Document], Document],
    actor: Actor = LOCAL_ACTOR,
) -> Amended:
    """Start a draft from a position under way; frozen, it is the amended revision.

    It starts from the revision in use, else the approved one. The waypoints before the next one are
    left behind; they stay in the revision that is amended. What is before the position has been
    sailed, so approvals lapse as by any edit, but only once the amended plan has been computed.

    Parameters
    ----------
    store : Store
        Where it is kept.
    plan_id : str
        The plan.
    amendment : Amendment
        Where, when, to which waypoint and why.
    tags : tuple of str
        The draft as the sender last saw it.
    now_utc : str
        The time, RFC 3339.
    planned : callable
        Makes the plan of some inputs, and raises where none can be made.
    actor : Actor
        Who amends it.

    Raises
    ------
    Conflict
        When no revision is in use or approved; when the draft holds edits that it does not and
        nobody says which of both is amended.
    InvalidInput
        When the plan has no such waypoint, the reason is empty, a plan that has times is amended
        without one, or no plan can be made of what is left. Nothing is kept then.
    Stale
        When the draft was changed since the sender read it.
    """
    view = draft_of(store, plan_id)
    require_draft(view, tags)
    number = _revision_sailed(view)
    start_from, inputs = _inputs_of(store, view, number, amendment.start_from)
    _require_reason_and_time(amendment, inputs)
    _require_waypoint(amendment, inputs)
    made = _planned(store, view, inputs, amendment, number, planned)
    label = _label(amendment, made)
    after = edit_plan(store, plan_id, made.inputs, tags, now_utc, actor, label)
    return Amended(view=after, of_revision=number, start_from=start_from, made=made)


def revision_sailed(events: tuple[Event, ...]) -> int | None:
    """Return the number of the revision in use, else of the newest approved one."""
    found = standings(events)
    for state in ("in_use", "approved"):
        numbers = [number for number, one in found.items() if one.state == state]
        if numbers:
            return max(numbers)
    return None


def _revision_sailed(view: DraftView) -> int:
    """Return the revision that is amended."""
    number = revision_sailed(view.events)
    if number is None:
        newest = view.row.revision
        so_far = f"r{newest} is not approved" if newest else "nothing has been offered yet"
        raise Conflict(
            "There is no revision in use or approved to amend under way: "
            f"{so_far}. The draft itself can be changed."
        )
    return number


def _inputs_of(
    store: Store, view: DraftView, number: int, wanted: StartFrom | None
) -> tuple[StartFrom, Document]:
    """Return what is amended: the revision, unless the sender says that it is the draft.

    Raises
    ------
    Conflict
        Where the draft is another plan and nobody says which of both is meant.
    """
    if wanted == "draft":
        return wanted, view.inputs
    frozen: Document = revision_of(store, view.row.id, number).document["inputs"]
    if wanted is None and sha256_of(frozen) != view.inputs_sha256:
        message = (
            f"the draft holds what r{number} does not{_steps_since(view, number)}: say start_from, "
            f"revision to amend r{number} as it is sailed, or draft to take its changes along"
        )
        raise Conflict(
            f"Nothing was kept: {message}.", (Fault(pointer="/start_from", message=message),)
        )
    return "revision", frozen


def _steps_since(view: DraftView, number: int) -> str:
    """Return the last steps of the draft that no revision holds, in brackets."""
    newest = view.row.revision
    frozen = [f"r{newest}, offered since"] if newest > number else []
    steps = [
        repr(one.label) for one in view.steps if view.row.first_step < one.number <= view.row.step
    ]
    shown = steps[:_MOST_STEPS]
    more = [f"{len(steps) - len(shown)} more"] if len(steps) > len(shown) else []
    named = ", ".join([*frozen, *shown, *more])
    return f" ({named})" if named else ""


def _require_reason_and_time(amendment: Amendment, inputs: Document) -> None:
    """Refuse an amendment without its reason, or without its time where the plan has times."""
    if not is_legible(amendment.reason):
        message = "an amendment needs its reason"
        raise InvalidInput(message, (Fault(pointer="/reason", message=message),))
    if amendment.at_utc is None and has_times(inputs):
        message = (
            "the plan has times: say when she is at the position, UTC. The times of the amended "
            "plan count from then"
        )
        raise InvalidInput(message, (Fault(pointer="/at_utc", message=message),))


def has_times(inputs: Document) -> bool:
    """Return whether a plan is laid in time: it has a departure or an ETA."""
    waypoints = inputs["route"]["waypoints"]
    return bool(inputs.get("departure_utc") or any(one.get("eta_utc") for one in waypoints))


def _require_waypoint(amendment: Amendment, inputs: Document) -> None:
    """Refuse a waypoint that the route does not have."""
    next_id = amendment.next_waypoint_id
    if next_id not in [one["id"] for one in inputs["route"]["waypoints"]]:
        message = f"the route has no waypoint {next_id[:60]!r}"
        raise InvalidInput(message, (Fault(pointer="/next_waypoint_id", message=message),))


def _members(amendment: Amendment, of_revision: int) -> Document:
    """Return the amendment as it stays with the inputs."""
    members = {
        "of_revision": of_revision,
        "kind": amendment.kind,
        "reason": amendment.reason.strip(),
        "lat_deg": amendment.lat_deg,
        "lon_deg": amendment.lon_deg,
        "at_utc": amendment.at_utc,
    }
    return {name: value for name, value in members.items() if value is not None}


def _planned(
    store: Store,
    view: DraftView,
    inputs: Document,
    amendment: Amendment,
    number: int,
    planned: Callable[[Document], Document],
) -> UnderWay:
    """Return the inputs from the position on, of which a plan was made; nothing is kept."""
    here = (amendment.lat_deg, amendment.lon_deg, amendment.at_utc)
    try:
        made = under_way(inputs, amendment.next_waypoint_id, *here)
        made.inputs["amendment"] = _members(amendment, number)
        made.inputs = settled_for(store, made.inputs, view.row.vessel_id)
        planned(made.inputs)
    except (InvalidInput, OutOfDomain) as error:
        said = [
            f"{one.pointer}: {one.message}" if one.pointer else one.message for one in error.faults
        ]
        raise InvalidInput(
            "No plan can be made from there, so nothing was kept and nothing lapses: "
            f"{said[0] if said else error}",
            tuple(Fault(message=f"amended plan, {one}") for one in said),
        ) from error
    return made


def _label(amendment: Amendment, made: UnderWay) -> str:
    """Return what the step is called: why, and what is left behind by it."""
    label = f"{_KINDS[amendment.kind]}: {amendment.reason.strip()[:_LONGEST_REASON]}"
    if made.left:
        label = f"{label}; left behind: {'; '.join(made.left)}"
    return label if len(label) <= _LONGEST_LABEL else f"{label[: _LONGEST_LABEL - 4]} ..."
