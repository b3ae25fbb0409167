"""Lists of plans, and where each of them stands."""

from typing import Any

from wheelover.core.review import open_conflicts, standings
from wheelover.core.types.record import Event
from wheelover.store import Store
from wheelover.store.plans import PlanRow

Document = dict[str, Any]


def plans_listed(
    store: Store, limit: int, before_seq: int | None, vessels: frozenset[str] | None = None
) -> tuple[list[PlanRow], dict[str, Document], int | None]:
    """Return a page of plans, last changed first, where each stands, and where the next starts.

    With ``vessels``, of these alone.
    """
    with store.reading() as unit:
        rows = unit.plans.page(limit + 1, before_seq, vessels)
        events = unit.record.of_many([row.id for row in rows])
    more = len(rows) > limit
    states = {row.id: state_document(row, events.get(row.id, ())) for row in rows[:limit]}
    return rows[:limit], states, rows[limit - 1].changed_seq if more else None


def plans_in_use(
    store: Store, vessels: frozenset[str] | None = None
) -> tuple[list[PlanRow], dict[str, Document]]:
    """Return every plan of some vessels with a revision in use, and where each stands."""
    with store.reading() as unit:
        ids = unit.record.plans_with("taken_into_use")
        events = unit.record.of_many(ids)
        rows = unit.plans.of_ids(ids)
    states = {row.id: state_document(row, events[row.id]) for row in rows}
    in_use = [row for row in rows if states[row.id]["in_use_revision"] is not None]
    seen = [row for row in in_use if vessels is None or row.vessel_id in vessels]
    return seen, states


def state_document(row: PlanRow, events: tuple[Event, ...]) -> Document:
    """Return where a plan stands: state of its newest revision, the approval on record, in use.

    A plan in use is never left out, whatever its mark. ``edited_since_revision`` says that the
    draft has steps which no revision holds, ``conflict`` that two sides hold something of it
    differently and nobody has picked yet.
    """
    found = standings(events)
    newest = found.get(row.revision)
    open_ones = [one for one in found.values() if one.state != "closed"]
    with_approval = [one for one in open_ones if one.approval is not None]
    approval = with_approval[-1] if with_approval else None
    in_use = [one for one in found.values() if one.state == "in_use"]
    return {
        "state": "draft" if newest is None else newest.state,
        "approved_revision": None if approval is None else approval.revision,
        "approval_stands": approval is not None and approval.approved,
        "in_use_revision": in_use[-1].revision if in_use else None,
        "in_use_stands": bool(in_use) and in_use[-1].approved,
        "edited_since_revision": row.revision > 0 and row.step > row.first_step,
        "conflict": bool(open_conflicts(events)),
    }
