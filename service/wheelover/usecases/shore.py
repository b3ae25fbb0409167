"""What the shore says of a revision: beside the master's decision, never above it."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.errors import Conflict
from wheelover.core.types.people import Person
from wheelover.store import Store
from wheelover.usecases.record import RecordView, view_in
from wheelover.usecases.threads import waiting_in

ShoreKind = Literal["return", "agree", "read"]

_EVENTS: dict[ShoreKind, str] = {
    "return": "shore_returned",
    "agree": "shore_agreed",
    "read": "shore_read",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoreDecision:
    """What the shore says: it returns a revision, agrees, or has only read it."""

    kind: ShoreKind
    words: str
    person: Person


def shore_decide(
    store: Store, plan_id: str, number: int, decision: ShoreDecision, now_utc: str
) -> RecordView:
    """Record what the shore says of a revision, whatever state it is in; it moves nothing.

    Parameters
    ----------
    store : Store
        Where it is kept.
    plan_id, number : str, int
        The revision that was read.
    decision : ShoreDecision
        What is said, and by whom.
    now_utc : str
        The time, RFC 3339.

    Raises
    ------
    NotFound
        For a plan or a revision that is not stored.
    Conflict
        For a return while no thread waits for an answer: nobody on board could act on it.
    """
    with store.writing() as unit:
        view = view_in(unit, plan_id, number)
        waiting = waiting_in(unit, plan_id)
        if decision.kind == "return" and not waiting:
            raise Conflict(
                "A return needs at least one open thread: say in one, at the turn, leg or finding "
                "it is about, what is to be looked at."
            )
        body = {"words": decision.words, "sha256": view.row.sha256, "open_threads": waiting}
        kind = _EVENTS[decision.kind]
        unit.record.add(view.plan, number, kind, decision.person, body, now_utc)
        return view_in(unit, plan_id, number)
