"""Conflicts: what two sides hold differently. Both are kept, and the master picks."""

from dataclasses import asdict
from typing import Any

from wheelover.core.errors import Conflict, NotFound
from wheelover.core.review import CONFLICT_FOUND as FOUND
from wheelover.core.review import CONFLICT_SETTLED as SETTLED
from wheelover.core.review import open_conflicts
from wheelover.core.types.people import Person
from wheelover.core.types.record import Event
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.plans import PlanRow
from wheelover.usecases.canonical import sha256_of
from wheelover.usecases.drafts import draft_from, note_step
from wheelover.usecases.lapses import lapse_by_edit

Document = dict[str, Any]


def note_conflict(
    unit: Unit, row: PlanRow, revision: int, body: Document, now_utc: str
) -> Event | None:
    """Record a conflict of a plan, unless it is recorded already; an approval lapses by it."""
    known = [event.body for event in unit.record.of(row.id) if event.kind == FOUND]
    if any(one.get("id") == body["id"] and one.get("other") == body["other"] for one in known):
        return None
    return unit.record.add(row, revision, FOUND, Person(), body, now_utc)


def settle(
    store: Store,
    plan_id: str,
    conflict_id: str,
    pick: str,
    person: Person,
    words: str,
    now_utc: str,
) -> Document:
    """Settle a conflict, at the plan's home.

    Parameters
    ----------
    store : Store
        Where plans are kept.
    plan_id : str
        The plan.
    conflict_id : str
        The conflict.
    pick : str
        ``here``: what this side holds stands, and with it an approval of it. ``other``: the
        inputs of the other revision become the draft, to be offered and decided anew; of a
        decision, the one made here stands no longer and the master decides anew.
    person : Person
        The master.
    words : str
        Why.
    now_utc : str
        The time, RFC 3339.

    Raises
    ------
    NotFound
        For a plan or a conflict that is not known.
    Conflict
        When it is settled already, or the plan is at home elsewhere.
    """
    with store.writing() as unit:
        row = unit.plans.get(plan_id)
        events = unit.record.of(plan_id)
        known = [one for one in events if one.kind == FOUND and one.body.get("id") == conflict_id]
        if not known:
            raise NotFound(f"plan {plan_id!r} has no conflict {conflict_id[:120]!r}")
        if known[0] not in open_conflicts(events):
            raise Conflict("That conflict is settled already.")
        body = {
            "id": conflict_id,
            "pick": pick,
            "stands": pick == "here",
            "sha256": _picked(unit, row, known[0], pick),
            "words": words,
        }
        unit.record.add(row, known[0].revision, SETTLED, person, body, now_utc)
        if pick == "other" and known[0].body.get("what") == "revision":
            _take_other(unit, row, known[0], person, now_utc)
        return conflicts_document(unit, plan_id)


def _picked(unit: Unit, row: PlanRow, found: Event, pick: str) -> str | None:
    """Return the digest of the revision that was picked, None where it is about no revision."""
    if found.body.get("what") != "revision":
        return None
    if pick == "here":
        return unit.plans.revision(row, found.revision).sha256
    others = unit.carried.others(row.id)
    return next((one.sha256 for one in others if one.number == found.revision), None)


def _take_other(unit: Unit, row: PlanRow, found: Event, person: Person, now_utc: str) -> None:
    """Let the draft be made of the inputs of the other revision of a conflict."""
    others = unit.carried.others(row.id)
    other = next((one for one in others if one.number == found.revision), None)
    if other is None:
        raise Conflict("The other revision has not come yet; the next parcel brings it.")
    document = read_json(unit.blobs.get(other.sha256))
    label = f"Took the other revision {other.number}"
    after = unit.plans.edit(row, draft_from(unit, document["inputs"], label, None), now_utc)
    note_step(unit, "plan.edited", after, person, now_utc, label)
    lapse_by_edit(unit, after, label, sha256_of(document["inputs"]), person, now_utc)


def conflicts_of(store: Store, plan_id: str) -> Document:
    """Return the open conflicts of a plan.

    Raises
    ------
    NotFound
        For a plan that is not stored.
    """
    with store.reading() as unit:
        unit.plans.get(plan_id)
        return conflicts_document(unit, plan_id)


def other_revision(store: Store, plan_id: str, digest: str) -> bytes:
    """Return the document of a revision whose number another one has.

    Raises
    ------
    NotFound
        For a digest that none of the plan has.
    """
    with store.reading() as unit:
        unit.plans.get(plan_id)
        if digest not in [one.sha256 for one in unit.carried.others(plan_id)]:
            raise NotFound(f"plan {plan_id!r} has no other revision {digest}")
        return unit.blobs.get(digest)


def conflicts_document(unit: Unit, plan_id: str) -> Document:
    """Return the open conflicts of a plan as JSON values, with what both sides hold.

    ``parts`` are what else belongs to one: records of the other revision. ``stands`` of a revision
    whose number another has says that the master picked it.
    """
    events = unit.record.of(plan_id)
    picked = {event.body.get("sha256") for event in events if event.kind == SETTLED}
    return {
        "plan_id": plan_id,
        "conflicts": [
            {
                **event.body,
                "revision": event.revision,
                "found_utc": event.at_utc,
                "parts": [
                    one.body["other"]
                    for one in events
                    if one.kind == FOUND
                    and one is not event
                    and one.body.get("id") == event.body["id"]
                ],
            }
            for event in open_conflicts(events)
        ],
        "other_revisions": [
            {**asdict(one), "stands": one.sha256 in picked} for one in unit.carried.others(plan_id)
        ],
    }
