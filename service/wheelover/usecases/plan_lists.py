"""Lists of plans, and where each of them stands."""

from typing import Any

from wheelover.core.review import open_conflicts, standings
from wheelover.core.types.record import Event
from wheelover.store import Store, Unit
from wheelover.store.plans import PlanRow
from wheelover.usecases.counting import Counting, countings

Document = dict[str, Any]


def plans_listed(
    store: Store, limit: int, before_seq: int | None, vessels: frozenset[str] | None = None
) -> tuple[list[PlanRow], dict[str, Document], int | None]:
    """Return a page of plans, last changed first, where each stands, and where the next starts.

    With ``vessels``, of these alone.
    """
    with store.reading() as unit:
        rows = unit.plans.page(limit + 1, before_seq, vessels)
        more = len(rows) > limit
        states = _states(unit, rows[:limit])
    return rows[:limit], states, rows[limit - 1].changed_seq if more else None


def plans_in_use(
    store: Store, vessels: frozenset[str] | None = None
) -> tuple[list[PlanRow], dict[str, Document]]:
    """Return every plan of some vessels with a revision in use, and where each stands."""
    with store.reading() as unit:
        rows = unit.plans.of_ids(unit.record.plans_with("taken_into_use"))
        seen = [row for row in rows if vessels is None or row.vessel_id in vessels]
        states = _states(unit, seen)
    return [row for row in seen if states[row.id]["in_use_revision"] is not None], states


def _states(unit: Unit, rows: list[PlanRow]) -> dict[str, Document]:
    """Return where each of some plans stands."""
    events = unit.record.of_many([row.id for row in rows])
    found = {}
    for row in rows:
        own = events.get(row.id, ())
        found[row.id] = state_document(row, own, countings(unit, row, own))
    return found


def state_document(
    row: PlanRow, events: tuple[Event, ...], counted: dict[int, Counting]
) -> Document:
    """Return where a plan stands: state of its newest revision, the approval on record, in use.

    ``counted`` says of each revision with an approval on record whether it counts as approved.
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
    approved_revision = None if approval is None else approval.revision
    in_use_revision = in_use[-1].revision if in_use else None
    approved, used = (
        Counting() if one is None else counted.get(one, Counting())
        for one in (approved_revision, in_use_revision)
    )
    return {
        "state": "draft" if newest is None else newest.state,
        "approved_revision": approved_revision,
        "approval_stands": approved.approved,
        "approval_stale": approved.stale,
        "in_use_revision": in_use_revision,
        "in_use_stands": used.approved,
        "in_use_stale": used.stale,
        "edited_since_revision": row.revision > 0 and row.step > row.first_step,
        "conflict": bool(open_conflicts(events)),
    }
