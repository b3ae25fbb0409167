"""What people do with a frozen revision: decide, check, sign, verify courses, keep the log."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from wheelover.core.errors import Conflict, Fault, InvalidInput, NotAllowed
from wheelover.core.review import require_move, standings
from wheelover.core.types.people import Person
from wheelover.core.utc import seconds_from_utc
from wheelover.store import Store, Unit
from wheelover.usecases.canonical import require_tag
from wheelover.usecases.engine import engine_id
from wheelover.usecases.parcels.clocks import MOST_S
from wheelover.usecases.record import RecordView, open_items, view_in
from wheelover.usecases.written import is_legible

Document = dict[str, Any]


DecisionKind = Literal["approve", "return", "take_into_use", "close"]

_EVENTS: dict[DecisionKind, str] = {
    "approve": "approved",
    "return": "returned",
    "take_into_use": "taken_into_use",
    "close": "closed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """A written reason, for one open item or for several of one cause."""

    items: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What the master decides of a revision."""

    kind: DecisionKind
    words: str = ""
    reasons: tuple[Reason, ...] = ()


def decide(
    store: Store,
    plan_id: str,
    number: int,
    decision: Decision,
    person: Person,
    tags: tuple[str, ...],
    now_utc: str,
) -> RecordView:
    """Record the master's decision about a revision.

    Parameters
    ----------
    store : Store
        Where it is kept.
    plan_id, number : str, int
        The revision.
    decision : Decision
        What is decided, with a reason for every open item where it is approved.
    person : Person
        Who decides.
    tags : tuple of str
        The revision as the master read it: its entity tag, which is its sha256.
    now_utc : str
        The time, RFC 3339.

    Raises
    ------
    Stale
        When the tag is not that of the revision: only what was read is approved.
    Conflict
        When an open item has no reason, naming each; when the revision cannot be decided so as it
        stands; for the demonstration, which is never approved.
    InvalidInput
        For a reason for something that is no open item, or for items of several causes, and for a
        return without words.
    """
    kind = _EVENTS[decision.kind]
    with store.writing() as unit:
        view = view_in(unit, plan_id, number)
        require_tag(tags, f'"{view.row.sha256}"', "revision")
        require_move(view.standing, kind, changed=bool(view.unanswered))
        _require_words(decision)
        body: Document = {"words": decision.words}
        if decision.kind == "approve":
            body |= _approval(view, decision)
        unit.record.add(view.plan, number, kind, person, body, now_utc)
        if decision.kind == "approve":
            unit.record.hang(plan_id, number, uses_of(view.document))
        _let_go_of_ended(unit, plan_id)
        return view_in(unit, plan_id, number)


def _let_go_of_ended(unit: Unit, plan_id: str) -> None:
    """Forget what approvals hung on that stand no longer: returned, closed, or replaced."""
    for number, standing in standings(unit.record.of(plan_id)).items():
        if standing.approval is None or standing.state not in ("approved", "in_use"):
            unit.record.let_go(plan_id, number)


def _require_words(decision: Decision) -> None:
    """Refuse a return without words: nobody could act on it."""
    if decision.kind == "return" and not is_legible(decision.words):
        message = "a return needs words: what is to be changed"
        raise InvalidInput(message, (Fault(pointer="/words", message=message),))
    if decision.kind != "approve" and decision.reasons:
        message = "reasons belong to an approval"
        raise InvalidInput(message, (Fault(pointer="/reasons", message=message),))


def _approval(view: RecordView, decision: Decision) -> Document:
    """Return what an approval binds to, after every open item has its reason."""
    if view.plan.demonstration:
        raise Conflict("This is the demonstration: it cannot be approved. Bring your own route.")
    items = open_items(view)
    _require_reasons(items, decision.reasons)
    messages = {one["id"]: one["message"] for one in items}
    return {
        "sha256": view.row.sha256,
        "inputs_sha256": view.row.inputs_sha256,
        "engine": engine_id(view.document["engine_version"], view.document["made_with"]),
        "reasons": [
            {
                "items": [{"id": item, "message": messages[item]} for item in one.items],
                "words": one.words,
            }
            for one in decision.reasons
        ],
    }


def _require_reasons(items: list[Document], reasons: tuple[Reason, ...]) -> None:
    """Refuse an approval that leaves an open item without a reason, or gives one for nothing."""
    known = {one["id"] for one in items}
    given = [item for reason in reasons for item in reason.items]
    unknown = [
        Fault(
            pointer=f"/reasons/{index}/items",
            message=f"{item!r} is no open item of this revision",
        )
        for index, reason in enumerate(reasons)
        for item in reason.items
        if item not in known
    ]
    if unknown:
        raise InvalidInput(unknown[0].message, tuple(unknown))
    _require_one_cause(items, reasons)
    missing = [one for one in items if one["id"] not in given]
    if missing:
        faults = tuple(
            Fault(pointer="/reasons", message=f"{one['id']}: {one['message']}") for one in missing
        )
        raise Conflict(
            f"{len(missing)} open items have no written reason. Write one for each; items of one "
            "cause may share one. It is printed with the plan.",
            faults,
        )


def _require_one_cause(items: list[Document], reasons: tuple[Reason, ...]) -> None:
    """Refuse a reason that serves items of several causes, naming them: it answers none of them."""
    cause_of = {one["id"]: one["cause"] for one in items}
    faults = []
    for index, reason in enumerate(reasons):
        causes = list(dict.fromkeys(cause_of[item] for item in reason.items))
        if len(causes) > 1:
            message = (
                f"one reason serves open items of one cause; these are of {len(causes)}: "
                f"{', '.join(causes)}. Write one for each cause"
            )
            faults.append(Fault(pointer=f"/reasons/{index}/items", message=message))
    if faults:
        raise InvalidInput(faults[0].message, tuple(faults))


def uses_of(document: Document) -> list[tuple[str, str, int]]:
    """Return what an approval hangs on: engine, stored ship, limit set, hazard sets, charts.

    Every approval hangs on the cells to come within its reach too, whether or not charts are used;
    that they are is noted as ``all_charts``.
    """
    loaded, inputs = document["loaded"], document["inputs"]
    made_by = engine_id(document["engine_version"], document["made_with"])
    uses = [("engine", made_by, 1)]
    if loaded.get("ship"):
        uses.append(("ship", loaded["ship"]["id"], loaded["ship"]["edition"]))
    if loaded.get("limit_set"):
        uses.append(("limit_set", loaded["limit_set"]["id"], loaded["limit_set"]["edition"]))
    uses += [("hazard_set", one["id"], one["edition"]) for one in loaded["hazard_sets"]]
    uses += [("chart_cell", one["id"], one["edition"]) for one in loaded.get("charts", ())]
    uses_charts = inputs.get("all_charts") or inputs.get("chart_ids")
    return [*uses, ("all_charts", "all", 1)] if uses_charts else uses


def _beside(
    store: Store,
    plan_id: str,
    number: int,
    kind: str,
    person: Person,
    now_utc: str,
    body_of: Callable[[RecordView], Document],
) -> RecordView:
    """Record something beside a revision that changes neither it nor its state."""
    with store.writing() as unit:
        view = view_in(unit, plan_id, number)
        require_move(view.standing, kind, changed=not view.approved)
        unit.record.add(view.plan, number, kind, person, body_of(view), now_utc)
        return view_in(unit, plan_id, number)


def check(
    store: Store, plan_id: str, number: int, person: Person, words: str, now_utc: str
) -> RecordView:
    """Record that a second person checked a revision.

    Raises
    ------
    NotAllowed
        For the author, and for whoever changed the draft since the revision before: nobody
        checks what is his or her own.
    Conflict
        When the author is not known: nobody can say that this is a second person.
    """

    def body_of(view: RecordView) -> Document:
        if view.author.key is None:
            raise Conflict(
                f"Revision {number} was offered without a name, so nobody can tell whether this is "
                "a second person. Offer it again with name and rank."
            )
        if view.author.key == person.key:
            raise NotAllowed("The author of a plan cannot be its second person.")
        if person.key in {one.key for one in view.editors}:
            raise NotAllowed(
                f"{person.name} changed the draft of revision {number}, and so cannot be its "
                "second person."
            )
        return {"words": words, "sha256": view.row.sha256}

    return _beside(store, plan_id, number, "checked", person, now_utc, body_of)


def sign_off(
    store: Store, plan_id: str, number: int, person: Person, words: str, now_utc: str
) -> RecordView:
    """Record that a watch-keeper read an approved revision and signs for it, once each.

    Raises
    ------
    Conflict
        When he or she has signed already, or the revision is not approved, or no longer: what is
        signed is what was approved.
    """

    def body_of(view: RecordView) -> Document:
        signed = [one.person.key for one in view.own_events if one.kind == "signed_off"]
        if person.key in signed:
            raise Conflict(f"{person.name} has signed revision {number} already.")
        return {"words": words, "sha256": view.row.sha256}

    return _beside(store, plan_id, number, "signed_off", person, now_utc, body_of)


def verify_course(
    store: Store, plan_id: str, number: int, person: Person, to_id: str, now_utc: str
) -> RecordView:
    """Record that a watch-keeper verified the course of the leg that leads to a waypoint.

    Raises
    ------
    InvalidInput
        When no leg leads there.
    Conflict
        When the revision is not approved, or no longer.
    """

    def body_of(view: RecordView) -> Document:
        for leg in view.document["result"]["legs"]:
            if leg["to_id"] == to_id:
                return {
                    "from_id": leg["from_id"],
                    "to_id": to_id,
                    "course_deg": leg["course_deg"],
                }
        message = f"no leg leads to a waypoint {to_id[:60]!r} in revision {number}"
        raise InvalidInput(message, (Fault(pointer="/to_id", message=message),))

    return _beside(store, plan_id, number, "course_verified", person, now_utc, body_of)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogLine:
    """An actual time at a waypoint, or a remark, or both."""

    words: str = ""
    waypoint_id: str | None = None
    actual_utc: str | None = None


def keep_log(
    store: Store, plan_id: str, number: int, person: Person, line: LogLine, now_utc: str
) -> RecordView:
    """Record an actual time or a remark beside a revision; the revision never changes by it.

    Raises
    ------
    InvalidInput
        For an empty line, a time without its waypoint or in the future, or a waypoint that is not
        in the revision.
    """
    kind = "remark" if line.actual_utc is None else "actual"

    def body_of(view: RecordView) -> Document:
        known = [one["id"] for one in view.document["inputs"]["route"]["waypoints"]]
        if line.waypoint_id is not None and line.waypoint_id not in known:
            message = f"revision {number} has no waypoint {line.waypoint_id[:60]!r}"
            raise InvalidInput(message, (Fault(pointer="/waypoint_id", message=message),))
        if line.actual_utc is not None and line.waypoint_id is None:
            message = "an actual time needs the waypoint it was taken at"
            raise InvalidInput(message, (Fault(pointer="/waypoint_id", message=message),))
        if line.actual_utc is not None:
            _require_past(line.actual_utc, now_utc)
        if line.actual_utc is None and not is_legible(line.words):
            message = "a line of the log needs a time or words"
            raise InvalidInput(message, (Fault(pointer="/words", message=message),))
        members = {
            "words": line.words,
            "waypoint_id": line.waypoint_id,
            "actual_utc": line.actual_utc,
        }
        return {name: value for name, value in members.items() if value is not None}

    return _beside(store, plan_id, number, kind, person, now_utc, body_of)


def _require_past(actual_utc: str, now_utc: str) -> None:
    """Refuse an actual time that is still to come, but for what clocks may differ by."""
    ahead_s = seconds_from_utc(actual_utc) - seconds_from_utc(now_utc)
    if ahead_s > MOST_S:
        message = (
            f"{actual_utc} is still to come by the clock of this service ({now_utc}): an actual "
            f"time is at most {MOST_S} s ahead of it; correct the time, or that clock"
        )
        raise InvalidInput(message, (Fault(pointer="/actual_utc", message=message),))
