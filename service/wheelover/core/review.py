"""The allowed moves of a revision: from offered to closed, and what lets an approval lapse.

Only the master approves, returns and takes into use; what the shore says is kept beside it and
moves nothing (SOLAS V/34-1: nobody may stop the master deciding what safety needs).
"""

from collections.abc import Iterable
from dataclasses import replace

from wheelover.core.errors import Conflict
from wheelover.core.types.record import Event, Standing, State

CONFLICT_FOUND, CONFLICT_SETTLED = "conflict_found", "conflict_settled"

_WORDS: dict[State, str] = {
    "offered": "offered",
    "returned": "returned",
    "approved": "approved",
    "in_use": "in use",
    "closed": "closed",
}
_MOVES: dict[str, State] = {
    "offered": "offered",
    "approved": "approved",
    "returned": "returned",
    "taken_into_use": "in_use",
    "closed": "closed",
}
_FROM: dict[str, tuple[State, ...]] = {
    "approved": ("offered", "returned", "approved", "in_use"),
    "returned": ("offered", "approved"),
    "taken_into_use": ("approved",),
    "closed": ("offered", "returned", "approved", "in_use"),
    "checked": ("offered", "returned", "approved", "in_use"),
    "signed_off": ("approved", "in_use"),
    "course_verified": ("approved", "in_use"),
    "actual": ("approved", "in_use", "closed"),
    "remark": ("offered", "returned", "approved", "in_use", "closed"),
}
_ACTS = {
    "approved": "approved",
    "returned": "returned",
    "taken_into_use": "taken into use",
    "closed": "closed",
    "checked": "checked by a second person",
    "signed_off": "signed by the watch",
    "course_verified": "verified course by course",
    "actual": "given actual times",
    "remark": "remarked on",
}


def standings(events: Iterable[Event]) -> dict[int, Standing]:
    """Return where each revision stands after its events.

    Parameters
    ----------
    events : iterable of Event
        Those of one plan, in order of their numbers.

    Returns
    -------
    dict
        By the number of the revision.
    """
    found: dict[int, Standing] = {}
    for event in events:
        if event.kind == "offered":
            found[event.revision] = Standing(revision=event.revision, state="offered")
        elif event.revision in found:
            found[event.revision] = _after(found[event.revision], event)
            _close_replaced(found, event)
    return found


def _after(before: Standing, event: Event) -> Standing:
    """Return where a revision stands after one more event of its own."""
    if event.kind == "approved":
        state = before.state if before.state == "in_use" else "approved"
        return replace(before, state=state, approval=event, lapses=())
    if event.kind in ("lapsed", CONFLICT_FOUND):
        return replace(before, lapses=(*before.lapses, event))
    if event.kind == CONFLICT_SETTLED:
        # Where the master picked what was approved here, the conflict is no reason any more; where
        # he picked the other, it is one, also if he had approved again meanwhile.
        settled = event.body.get("id")
        left = tuple(one for one in before.lapses if one.body.get("id") != settled)
        return replace(before, lapses=left if event.body.get("stands") else (*left, event))
    if event.kind == "returned":
        return replace(before, state="returned", approval=None, lapses=())
    move = _MOVES.get(event.kind)
    return before if move is None else replace(before, state=move)


def _close_replaced(found: dict[int, Standing], event: Event) -> None:
    """Close what a decision replaces: one revision is in use, one other may wait approved."""
    replaced: dict[str, State] = {"approved": "approved", "taken_into_use": "in_use"}
    state = replaced.get(event.kind)
    for number, standing in found.items():
        if number != event.revision and standing.state == state:
            found[number] = replace(standing, state="closed")


def standing_of(events: Iterable[Event], revision: int) -> Standing:
    """Return where one revision stands; one that was frozen without being offered is offered."""
    return standings(events).get(revision, Standing(revision=revision, state="offered"))


def require_move(standing: Standing, kind: str, *, changed: bool = False) -> None:
    """Refuse what cannot be done with a revision as it stands.

    Parameters
    ----------
    standing : Standing
        Where it stands.
    kind : str
        The kind of the event that would be recorded.
    changed : bool
        Whether something changed since that the approval on record says nothing of.

    Raises
    ------
    Conflict
        Naming the state it is in and those it would have to be in.
    """
    act = _ACTS[kind]
    if standing.state not in _FROM[kind]:
        states = " or ".join(_WORDS[state] for state in _FROM[kind])
        raise Conflict(
            f"Revision {standing.revision} is {_WORDS[standing.state]}; only one that is {states} "
            f"can be {act}."
        )
    approved = standing.approved and not changed
    if kind == "approved" and approved:
        raise Conflict(f"Revision {standing.revision} is approved, and nothing has changed since.")
    if kind in ("signed_off", "course_verified") and not approved:
        raise Conflict(
            f"Revision {standing.revision} was approved, but inputs changed since, and it is not "
            f"counted as approved. It can be {act} when the master has decided again."
        )
    if kind == "taken_into_use" and not approved:
        raise Conflict(
            f"Revision {standing.revision} was approved, but inputs changed since, or another "
            "engine has not yet computed it again. The master decides again before it is taken "
            "into use."
        )


def open_conflicts(events: Iterable[Event]) -> list[Event]:
    """Return the conflicts of a plan that nobody has settled, each once, in order."""
    events = tuple(events)
    settled = {event.body.get("id") for event in events if event.kind == CONFLICT_SETTLED}
    found: dict[str, Event] = {}
    for event in events:
        name = event.body.get("id")
        if event.kind == CONFLICT_FOUND and isinstance(name, str) and name not in settled:
            found.setdefault(name, event)
    return list(found.values())


def state_words(state: State) -> str:
    """Return a state as it is shown.

    Examples
    --------
    >>> state_words("in_use")
    'in use'
    """
    return _WORDS[state]
