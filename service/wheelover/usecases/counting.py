"""Whether the approval of a revision counts: one answer for lists, plan, record and paper."""

import logging
from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

from wheelover.core.errors import Damaged, NotFound
from wheelover.core.review import standings
from wheelover.core.types.record import Event, Standing
from wheelover.store import Unit
from wheelover.store.plans import PlanRow
from wheelover.usecases.change import Change
from wheelover.usecases.changes import changes_since
from wheelover.usecases.draft_inputs import inputs_whole
from wheelover.usecases.frozen import frozen_document

MOST_KEPT = 2000

_log = logging.getLogger("wheelover.counting")

_Key = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Counting:
    """Whether a revision counts as approved, and whether the engine at work has looked at it.

    What changed since makes an approval lapse in the transaction of the change; that nothing
    unanswered stands beside it is a second wall, and the only one where the plan is at home
    elsewhere. ``stale`` is one that counts and that another engine than the one at work made and
    this one has not computed again yet.
    """

    approved: bool = False
    stale: bool = False


def unanswered_of(standing: Standing, changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """Return what changed since that the approval on record gives no reason for."""
    reasons = [] if standing.approval is None else standing.approval.body["reasons"]
    answered = {item["id"] for reason in reasons for item in reason["items"]}
    return tuple(one for one in changes if one.counts and one.id not in answered)


def counting_of(standing: Standing, changes: tuple[Change, ...]) -> Counting:
    """Return whether a revision counts as approved beside all that changed since.

    Parameters
    ----------
    standing : Standing
        Where it stands by what is recorded.
    changes : tuple of Change
        Everything that changed since it was frozen.
    """
    left = unanswered_of(standing, changes)
    approved = standing.approved and all(one.cause == "engine" for one in left)
    return Counting(approved=approved, stale=approved and bool(left))


class KnownChanges:
    """What changed since revisions were frozen, those asked last, for all who ask at one moment.

    Each stands under all that it was worked out of: the revision by its digest, the edit of its
    draft, the number of events, how far the library and the charts are, where the plan is at home.
    """

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._lock = Lock()
        self._kept: OrderedDict[_Key, tuple[Change, ...]] = OrderedDict()

    def get(self, key: _Key) -> tuple[Change, ...] | None:
        """Return what is kept under a key."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: _Key, changes: tuple[Change, ...]) -> None:
        """Keep what was worked out."""
        with self._lock:
            self._kept[key] = changes
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)


_KNOWN = KnownChanges()


def countings(unit: Unit, row: PlanRow, events: tuple[Event, ...]) -> dict[int, Counting]:
    """Return whether each revision of a plan with an approval on record counts as approved.

    Parameters
    ----------
    unit : Unit
        The store at one moment.
    row : PlanRow
        The plan.
    events : tuple of Event
        Its record.
    """
    return {
        number: _counting(unit, row, standing, events)
        for number, standing in standings(events).items()
        if standing.approval is not None
    }


def _counting(unit: Unit, row: PlanRow, standing: Standing, events: tuple[Event, ...]) -> Counting:
    """Return whether one revision counts; one that cannot be read never does, nor hides others."""
    if not standing.approved:
        return Counting()
    try:
        return counting_of(standing, _changes(unit, row, standing.revision, events))
    except (Damaged, NotFound):
        _log.exception("revision %d of %s does not count: unreadable", standing.revision, row.id)
        return Counting()


def _changes(
    unit: Unit, row: PlanRow, number: int, events: tuple[Event, ...]
) -> tuple[Change, ...]:
    """Return everything that changed since a revision was frozen, as it is known at one moment.

    What a transaction works out that may yet be taken back is not kept for others.
    """
    revision = unit.plans.revision(row, number)
    key = _key(unit, row, revision.sha256, len(events))
    known = None if key is None else _KNOWN.get(key)
    if known is None:
        document = frozen_document(unit, revision)
        inputs = inputs_whole(unit, unit.plans.inputs(row))
        known = changes_since(unit, inputs, document, events)
        if key is not None:
            _KNOWN.put(key, known)
    return known


def _key(unit: Unit, row: PlanRow, sha256: str, event_count: int) -> _Key | None:
    """Return all that what changed since a revision hangs on; None while a change is under way."""
    if unit.store_name is None:
        return None
    home = unit.homes.of_plan(row.id) or ""
    so_far = (unit.library.newest_seq(), unit.charts.newest_seq())
    return (unit.store_name, sha256, home, *map(str, (row.edit, event_count, *so_far)))
