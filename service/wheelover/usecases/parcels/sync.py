"""Where each thing of a plan is: on this side only, sent, or received by the other."""

from hashlib import sha256
from typing import Any

from wheelover.formats.parcel import event_bytes, note_bytes
from wheelover.store import Store, Unit
from wheelover.store.parcels import ItemRow
from wheelover.store.peers import PeerRow
from wheelover.usecases.parcels.carrying import (
    EVENT,
    NOTE,
    REVISION,
    THEIRS,
    carried_event,
    carried_note,
    event_name,
    note_name,
    notes_in_order,
    revision_name,
)
from wheelover.usecases.parcels.conflicts import conflicts_document

Document = dict[str, Any]
HERE, SENT, RECEIVED = "on_this_side_only", "sent", "received"


def sync_of(store: Store, plan_id: str) -> Document:
    """Return where each revision and each event of a plan is, for every peer it goes to.

    Parameters
    ----------
    store : Store
        Where plans are kept.
    plan_id : str
        The plan.

    Returns
    -------
    dict
        ``state`` of each is ``on_this_side_only``; ``sent`` with the time its parcel was made; or
        ``received`` with the time at which the peer's own later parcel said so. What came from
        the peer is ``received`` at the time it came. Nothing pretends to have arrived.

    Raises
    ------
    NotFound
        For a plan that is not stored.
    """
    with store.reading() as unit:
        unit.plans.get(plan_id)
        home = unit.homes.of_plan(plan_id)
        peers = [
            row
            for row in unit.peers.all()
            if home == row.id or plan_id in unit.peers.chosen(row.id)
        ]
        return {
            "plan_id": plan_id,
            "home": None if home is None else _named(unit.peers.get(home)),
            "conflicts": conflicts_document(unit, plan_id)["conflicts"],
            "here": _state_without_peer(unit, plan_id) if not peers else None,
            "peers": [_for_peer(unit, plan_id, row) for row in peers],
        }


def _named(row: PeerRow) -> Document:
    """Return which peer."""
    return {"id": row.id, "name": row.name, "side": row.side}


def _state_without_peer(unit: Unit, plan_id: str) -> Document:
    """Return everything of a plan that goes to nobody."""
    return {
        "revisions": [
            {"number": one.number, "state": HERE, "at_utc": None}
            for one in unit.carried.all_revisions(plan_id)
        ],
        "events": [
            {"number": one.number, "kind": one.kind, "state": HERE, "at_utc": None}
            for one in unit.record.of(plan_id)
        ],
        "notes": [
            {"id": note.id, "thread_id": thread.id, "state": HERE, "at_utc": None}
            for thread, note in notes_in_order(unit, plan_id)
        ],
    }


def _for_peer(unit: Unit, plan_id: str, peer: PeerRow) -> Document:
    """Return where everything of a plan is, as far as one peer goes."""
    items = unit.parcels.items(peer.id, f"{plan_id}/")
    foreign = unit.carried.foreign_numbers(plan_id)
    events = []
    for event in unit.record.of(plan_id):
        origin = foreign.get(event.number)
        line = {"number": event.number, "revision": event.revision, "kind": event.kind}
        if origin is not None:
            theirs = items.get((THEIRS, event_name(plan_id, origin[1])))
            at_utc = None if theirs is None else theirs.taken_utc
            state = {"state": RECEIVED, "at_utc": at_utc, "from": origin[0]}
        else:
            name = event_name(plan_id, event.number)
            digest = sha256(event_bytes(carried_event(event))).hexdigest()
            state = _state(items.get((EVENT, name)), digest)
        events.append({**line, **state})
    return {
        **_named(peer),
        "state": peer.state,
        "revisions": [
            {
                "number": one.number,
                **_state(items.get((REVISION, revision_name(plan_id, one.number))), one.sha256),
            }
            for one in unit.carried.all_revisions(plan_id)
        ],
        "events": events,
        "notes": _notes(unit, plan_id, items),
    }


def _notes(unit: Unit, plan_id: str, items: dict[tuple[str, str], ItemRow]) -> list[Document]:
    """Return where each note of a plan is, as far as one peer goes."""
    foreign = unit.carried.foreign_notes(plan_id)
    found = []
    for thread, note in notes_in_order(unit, plan_id):
        name = note_name(plan_id, note.id)
        digest = foreign.get(note.id)
        if digest is None:
            digest = sha256(note_bytes(carried_note(thread, note))).hexdigest()
            state = _state(items.get((NOTE, name)), digest)
        else:
            theirs = items.get((THEIRS, name))
            state = {"state": RECEIVED, "at_utc": None if theirs is None else theirs.taken_utc}
        found.append({"id": note.id, "thread_id": thread.id, **state})
    return found


def _state(item: ItemRow | None, digest: str) -> Document:
    """Return where a thing is, and since when."""
    if item is None or item.sha256 != digest:
        return {"state": HERE, "at_utc": None}
    if item.taken_utc is not None:
        return {"state": RECEIVED, "at_utc": item.taken_utc}
    if item.acknowledged_utc is not None:
        return {"state": RECEIVED, "at_utc": item.acknowledged_utc}
    if item.made_utc is not None:
        return {"state": SENT, "at_utc": item.made_utc}
    return {"state": HERE, "at_utc": None}
