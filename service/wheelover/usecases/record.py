"""What stands beside a frozen revision: its state, who decided and signed, what changed since."""

from dataclasses import asdict, dataclass
from typing import Any

from wheelover.core.review import standing_of
from wheelover.core.types.people import Person
from wheelover.core.types.record import Event, Standing
from wheelover.store import Store, Unit
from wheelover.store.plans import PlanRow, RevisionRow
from wheelover.usecases.canonical import sha256_of
from wheelover.usecases.change import Change, base_of
from wheelover.usecases.changes import changes_since
from wheelover.usecases.counting import counting_of, unanswered_of
from wheelover.usecases.draft_inputs import inputs_whole
from wheelover.usecases.explanations import explanations_in
from wheelover.usecases.frozen import frozen_document
from wheelover.usecases.warnings import warnings_of

Document = dict[str, Any]

OPEN_GRADES = ("must_resolve", "not_checked")
"""Findings that the master answers with a written reason before approving."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordView:
    """A revision with everything that is recorded beside it, at one moment."""

    plan: PlanRow
    row: RevisionRow
    document: Document
    events: tuple[Event, ...]
    changes: tuple[Change, ...]

    @property
    def number(self) -> int:
        """Return the number of the revision."""
        return self.row.number

    @property
    def standing(self) -> Standing:
        """Return where it stands."""
        return standing_of(self.events, self.number)

    @property
    def unanswered(self) -> tuple[Change, ...]:
        """Return what changed since that the approval on record gives no reason for."""
        return unanswered_of(self.standing, self.changes)

    @property
    def approved(self) -> bool:
        """Return whether the revision counts as approved."""
        return counting_of(self.standing, self.changes).approved

    @property
    def tag(self) -> str:
        """Return the entity tag of the record: of the revision, its events and what changed."""
        last = max((one.number for one in self.events), default=0)
        changed = sha256_of([[one.id, one.words] for one in self.changes])
        return f'"{self.row.sha256[:32]}-{last}-{self.plan.edit}-{changed[:16]}"'

    @property
    def own_events(self) -> tuple[Event, ...]:
        """Return the events of this revision."""
        return tuple(one for one in self.events if one.revision == self.number)

    @property
    def author(self) -> Person:
        """Return who offered it."""
        offers = [one.person for one in self.own_events if one.kind == "offered"]
        return offers[0] if offers else Person()

    @property
    def editors(self) -> tuple[Person, ...]:
        """Return who changed the draft between the revision before and this one."""
        offers = [one.body for one in self.own_events if one.kind == "offered"]
        found = offers[0].get("editors", []) if offers else []
        return tuple(Person(**one) for one in found)


def view_in(unit: Unit, plan_id: str, number: int) -> RecordView:
    """Return a revision with its record, inside a unit of work.

    Raises
    ------
    NotFound
        For a plan or a number that is not stored.
    """
    plan = unit.plans.get(plan_id)
    row = unit.plans.revision(plan, number)
    document = frozen_document(unit, row)
    events = unit.record.of(plan_id)
    inputs = inputs_whole(unit, unit.plans.inputs(plan))
    return RecordView(
        plan=plan,
        row=row,
        document=document,
        events=events,
        changes=changes_since(unit, inputs, document, events),
    )


def record_of(store: Store, plan_id: str, number: int) -> RecordView:
    """Return a revision with its record."""
    with store.reading() as unit:
        return view_in(unit, plan_id, number)


def open_findings(view: RecordView) -> list[Document]:
    """Return the findings of a revision that need the master's reason."""
    found: list[Document] = view.document["result"]["findings"]
    return [one for one in found if one["grade"] in OPEN_GRADES]


def open_items(view: RecordView) -> list[Document]:
    """Return everything the master gives a reason for: open findings, and what changed since.

    What changed is told once: as it stands now, else as it made an approval lapse. Its id names
    that very difference, so that no reason answers one that was not read. Items of one ``cause``
    may share a reason: findings of one code, or all that changed since.
    """
    items = [
        {
            "id": one["id"],
            "kind": one["grade"],
            "cause": one.get("code") or one["id"],
            "message": one["message"],
        }
        for one in open_findings(view)
    ]
    changed = _changed(view, engine=True)
    return items + [
        {"id": item, "kind": "changed", "cause": "changed", "message": words}
        for item, words in changed.items()
    ]


def _changed(view: RecordView, *, engine: bool) -> dict[str, str]:
    """Return what changed that counts, by id: as it stands now, else as it made approvals lapse."""
    now = [one for one in view.changes if one.counts and (engine or one.cause != "engine")]
    bases = {one.base for one in now}
    lapsed = [one.body for one in view.standing.lapses]
    left = {one["id"]: one.get("words", "") for one in lapsed if base_of(one["id"]) not in bases}
    return left | {one.id: one.words for one in now}


def marks_of(view: RecordView) -> list[Document]:
    """Return the marks beside the state: what changed since, and what is not yet computed again."""
    changed = _changed(view, engine=False)
    marks = [
        {"mark": "inputs_changed_since", "id": item, "words": words}
        for item, words in changed.items()
    ]
    return marks + [
        {"mark": "stale" if one.counts else "noted", "id": one.id, "words": one.words}
        for one in view.changes
        if one.cause == "engine" or not one.counts
    ]


def person_document(person: Person) -> Document:
    """Return a person as JSON values."""
    return asdict(person)


def event_document(event: Event) -> Document:
    """Return an event as JSON values."""
    return {
        "number": event.number,
        "kind": event.kind,
        "at_utc": event.at_utc,
        "by": person_document(event.person),
        **event.body,
    }


def approval_document(standing: Standing, *, stands: bool) -> Document | None:
    """Return the approval on record of a revision, whether or not it still counts."""
    if standing.approval is None:
        return None
    return {
        **event_document(standing.approval),
        "stands": stands,
        "lapsed_by": [event_document(one) for one in standing.lapses],
    }


def record_document(view: RecordView) -> Document:
    """Return the record of a revision as JSON values."""
    standing = view.standing
    events = view.own_events

    def of(*kinds: str) -> list[Document]:
        return [event_document(one) for one in events if one.kind in kinds]

    return {
        "plan_id": view.plan.id,
        "name": view.plan.name,
        "revision": view.number,
        "newest_revision": view.plan.revision,
        "sha256": view.row.sha256,
        "inputs_sha256": view.row.inputs_sha256,
        "engine_version": view.row.engine_version,
        "demonstration": view.plan.demonstration,
        "state": standing.state,
        "counts_as_approved": view.approved,
        "approval": approval_document(standing, stands=view.approved),
        "marks": marks_of(view),
        "warnings": warnings_of(view),
        "open_items": open_items(view),
        "author": person_document(view.author),
        "decisions": of("offered", "approved", "returned", "taken_into_use", "closed"),
        "lapses": of("lapsed"),
        "notes": of("noted"),
        "checks": of("checked"),
        "sign_offs": of("signed_off"),
        "verified_courses": of("course_verified"),
        "log": of("actual", "remark"),
        "explanations": explanations_in(view.events, view.document),
        "shore": of("shore_returned", "shore_agreed", "shore_read"),
    }
