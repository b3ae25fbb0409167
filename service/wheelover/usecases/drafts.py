"""The draft of a plan: start it, change it, undo and redo, read and list it."""

import re
from dataclasses import asdict, dataclass, field
from typing import Any

from wheelover.core.errors import Conflict
from wheelover.core.review import standings
from wheelover.core.types.people import Person
from wheelover.core.types.record import Event
from wheelover.store import Store, Unit
from wheelover.store.plans import Draft, PlanRow, RevisionRow, StepRow
from wheelover.store.sequence import new_id
from wheelover.usecases.canonical import canonical, require_tag, sha256_of, tag_of
from wheelover.usecases.counting import Counting, countings
from wheelover.usecases.draft_inputs import BLOB, inputs_whole
from wheelover.usecases.gather import gather_in
from wheelover.usecases.lapses import lapse_by_edit
from wheelover.usecases.pen import require_free, require_pen
from wheelover.usecases.people import LOCAL_ACTOR, Actor
from wheelover.usecases.plan_lists import state_document
from wheelover.usecases.step_names import step_name

Document = dict[str, Any]

MOST_SHOWN = 100
_REVISION_PART = re.compile(r'-r\d+(\.\d+(\.[as\d]+)?)?"$')
STARTED = "Started"


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftView:
    """A plan as its draft stands: the inputs, the steps, the frozen revisions."""

    row: PlanRow
    inputs: Document
    inputs_sha256: str
    steps: tuple[StepRow, ...]
    redo_label: str | None
    undo_label: str | None
    revisions: tuple[RevisionRow, ...]
    events: tuple[Event, ...] = ()
    countings: dict[int, Counting] = field(default_factory=dict)

    @property
    def tag(self) -> str:
        """Return the entity tag of the draft: of its edit, and of the revisions listed in it."""
        at = f"{self.row.revision}.{len(self.events)}"
        counts = "".join(
            f"{'s' if one.stale else 'a'}{number}"
            for number, one in sorted(self.countings.items())
            if one.approved
        )
        return f'{self.edit_tag[:-1]}-r{at}{counts and "."}{counts}"'

    @property
    def edit_tag(self) -> str:
        """Return the part of the tag that changes with every edit, undo and redo."""
        return tag_of(self.row.edit, self.inputs_sha256)


def start_plan(
    store: Store,
    inputs: Document,
    now_utc: str,
    plan_id: str | None = None,
    actor: Actor = LOCAL_ACTOR,
) -> DraftView:
    """Keep a new plan with these inputs as its draft.

    Parameters
    ----------
    store : Store
        Where it is kept.
    inputs : dict
        A plan request, read and found valid.
    now_utc : str
        The time, RFC 3339.
    plan_id : str or None
        An id of the caller's choice, else one that nobody can guess.
    actor : Actor
        Who starts it, and for which vessel.
    """
    with store.writing() as unit:
        draft = draft_from(unit, inputs, STARTED, actor.vessel_id)
        row = unit.plans.add(plan_id or new_id("plan"), draft, now_utc, actor.vessel_id)
        _note(unit, "plan.started", row, actor, now_utc)
        return _view(unit, row)


def edit_plan(
    store: Store,
    plan_id: str,
    inputs: Document,
    tags: tuple[str, ...],
    now_utc: str,
    actor: Actor = LOCAL_ACTOR,
    label: str | None = None,
) -> DraftView:
    """Change a draft. The same inputs again make no step; a change ends what could be redone.

    Approvals of this plan lapse in the same transaction. ``label`` names the step where what
    changed does not say it.

    Raises
    ------
    NotFound
        For a plan, a ship or a hazard set that is not stored.
    Stale
        When the draft was changed since the sender read it.
    PenHeld
        When somebody else holds the pen.
    """
    with store.writing() as unit:
        before = _matching(unit, plan_id, tags)
        require_free(before.row, actor.person)
        of = before.row.vessel_id
        pinned = _settled(unit, inputs, of)
        if sha256_of(pinned) == before.inputs_sha256:
            return before
        draft = draft_from(unit, inputs, label or step_name(before.inputs, pinned), of)
        require_pen(unit, before.row, actor, now_utc)
        row = unit.plans.edit(before.row, draft, now_utc)
        _note(unit, "plan.edited", row, actor, now_utc, draft.label)
        view = _view(unit, row)
        lapse_by_edit(unit, row, draft.label, view.inputs_sha256, actor.person, now_utc)
        return _view(unit, row)


def undo(
    store: Store,
    plan_id: str,
    tags: tuple[str, ...],
    now_utc: str,
    actor: Actor = LOCAL_ACTOR,
) -> DraftView:
    """Take the last step back.

    Raises
    ------
    Conflict
        When there is none, or the last one was frozen in a revision.
    """
    return _walk(store, plan_id, tags, -1, now_utc, actor)


def redo(
    store: Store,
    plan_id: str,
    tags: tuple[str, ...],
    now_utc: str,
    actor: Actor = LOCAL_ACTOR,
) -> DraftView:
    """Make the step again that was taken back last.

    Raises
    ------
    Conflict
        When there is none.
    """
    return _walk(store, plan_id, tags, 1, now_utc, actor)


def _walk(
    store: Store, plan_id: str, tags: tuple[str, ...], by: int, now_utc: str, actor: Actor
) -> DraftView:
    """Let a draft stand on the step before or after the one it stands on."""
    with store.writing() as unit:
        before = _matching(unit, plan_id, tags)
        if by < 0 and before.undo_label is None:
            frozen = before.row.revision > 0
            since = f" since revision {before.row.revision} was frozen" if frozen else ""
            raise Conflict(f"There is no step to undo{since}.")
        if by > 0 and before.redo_label is None:
            raise Conflict("There is no step to redo.")
        require_pen(unit, before.row, actor, now_utc)
        number = before.row.step + by
        inputs = inputs_whole(unit, unit.plans.inputs(before.row, number))
        draft = draft_from(unit, inputs, "", before.row.vessel_id)
        row = unit.plans.stand_on(before.row, number, draft, now_utc)
        label = f"Undone: {before.undo_label}" if by < 0 else f"Made again: {before.redo_label}"
        _note(unit, "plan.undone" if by < 0 else "plan.redone", row, actor, now_utc, label)
        view = _view(unit, row)
        lapse_by_edit(unit, row, label, view.inputs_sha256, actor.person, now_utc)
        return _view(unit, row)


def _note(
    unit: Unit, what: str, row: PlanRow, actor: Actor, now_utc: str, label: str | None = None
) -> None:
    """Write a change of a draft into the audit log, and who made it beside the draft."""
    unit.plans.note_editor(row, actor.person)
    note_step(unit, what, row, actor.person, now_utc, label)


def note_step(
    unit: Unit, what: str, row: PlanRow, person: Person, now_utc: str, label: str | None = None
) -> None:
    """Write into the audit log which step a draft stands on, and what its inputs are."""
    entry = {
        "what": what,
        "plan_id": row.id,
        "edit": row.edit,
        "step": row.step,
        "inputs_sha256": sha256_of(inputs_whole(unit, unit.plans.inputs(row))),
        "by": asdict(person),
    }
    unit.audit.add(row.vessel_id, {**entry, **({"label": label} if label else {})}, now_utc)


def draft_of(store: Store, plan_id: str) -> DraftView:
    """Return a plan as its draft stands.

    Raises
    ------
    NotFound
        For a plan that is not stored.
    """
    with store.reading() as unit:
        return _view(unit, unit.plans.get(plan_id))


def has_plan(store: Store, plan_id: str) -> bool:
    """Return whether there is a plan of that id."""
    with store.reading() as unit:
        return unit.plans.known(plan_id)


def _matching(unit: Unit, plan_id: str, tags: tuple[str, ...]) -> DraftView:
    """Return a draft that is what the sender last saw."""
    before = _view(unit, unit.plans.get(plan_id))
    require_draft(before, tags)
    return before


def require_draft(view: DraftView, tags: tuple[str, ...] | None) -> None:
    """Refuse a change of a draft at another edit than the sender last saw.

    A revision frozen meanwhile changes what is shown of the draft and nothing in it, so that part
    of the tag is not held against the sender.

    Raises
    ------
    Stale
        When none of the tags is of the present edit.
    """
    edits = None if tags is None else tuple(_REVISION_PART.sub('"', tag) for tag in tags)
    require_tag(
        edits,
        view.edit_tag,
        "draft",
        subject=("draft", view.row.id),
        held_by=view.row.pen_name,
        etag=view.tag,
    )


def _settled(unit: Unit, inputs: Document, vessel_id: str | None) -> Document:
    """Return inputs with every edition named, charts of a vessel looked for anew."""
    if vessel_id is None:
        return gather_in(unit, inputs, charts="as_given").inputs
    return gather_in(unit, inputs, charts="settled", charts_of=frozenset({vessel_id})).inputs


def settled_for(store: Store, inputs: Document, vessel_id: str | None) -> Document:
    """Return inputs as a step of a plan of that vessel would keep them, without keeping them."""
    with store.reading() as unit:
        return _settled(unit, inputs, vessel_id)


def draft_from(unit: Unit, inputs: Document, label: str, vessel_id: str | None) -> Draft:
    """Return inputs as a step keeps them, every edition named and the dangers in a blob.

    ``vessel_id`` is whose charts are looked for; None takes those named as they came.
    """
    pinned = _settled(unit, inputs, vessel_id)
    kept = dict(pinned)
    if kept.get("hazards") is not None:
        kept["hazards"] = {BLOB: unit.blobs.put(canonical(kept["hazards"]))}
    return Draft(
        name=str(inputs["route"]["name"]),
        waypoint_count=len(inputs["route"]["waypoints"]),
        demonstration=bool(inputs.get("demonstration", False)),
        label=label,
        inputs=canonical(kept).decode(),
    )


def _view(unit: Unit, row: PlanRow) -> DraftView:
    """Return a plan with everything that is shown of its draft."""
    inputs = inputs_whole(unit, unit.plans.inputs(row))
    labels = unit.plans.labels(row, (row.step, row.step + 1))
    events = unit.record.of(row.id)
    return DraftView(
        row=row,
        inputs=inputs,
        inputs_sha256=sha256_of(inputs),
        steps=tuple(unit.plans.steps(row, MOST_SHOWN)),
        undo_label=labels.get(row.step) if row.step > row.first_step else None,
        redo_label=labels.get(row.step + 1),
        revisions=tuple(unit.plans.revisions(row, MOST_SHOWN)),
        events=events,
        countings=countings(unit, row, events),
    )


def draft_document(view: DraftView) -> Document:
    """Return a draft as JSON values."""
    row = view.row
    return {
        "id": row.id,
        "name": row.name,
        **state_document(row, view.events, view.countings),
        "vessel_id": row.vessel_id,
        "edit": row.edit,
        "demonstration": row.demonstration,
        "created_utc": row.created_utc,
        "changed_utc": row.changed_utc,
        "inputs": view.inputs,
        "undo": None if view.undo_label is None else {"label": view.undo_label},
        "redo": None if view.redo_label is None else {"label": view.redo_label},
        "steps": [
            {
                "number": step.number,
                "label": step.label,
                "at_utc": step.at_utc,
                "current": step.number == row.step,
            }
            for step in view.steps
        ],
        "revisions": _revision_lines(view),
    }


def _revision_lines(view: DraftView) -> list[Document]:
    """Return the revisions with where each stands."""
    found = standings(view.events)
    return [
        {
            **revision_line(one),
            "state": found[one.number].state if one.number in found else "offered",
            "counts_as_approved": view.countings.get(one.number, Counting()).approved,
            "stale": view.countings.get(one.number, Counting()).stale,
        }
        for one in view.revisions
    ]


def revision_line(one: RevisionRow) -> Document:
    """Return what a list says of a frozen revision."""
    return {
        "number": one.number,
        "created_utc": one.created_utc,
        "sha256": one.sha256,
        "inputs_sha256": one.inputs_sha256,
        "engine_version": one.engine_version,
    }
