"""Threads: talk about one thing of a plan, answer, resolve; and what became of it since."""

import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from wheelover.core.errors import Conflict, Fault, InvalidInput
from wheelover.core.threads import WAITING, in_order, state_of
from wheelover.core.types.people import Person
from wheelover.core.types.thread import Anchor, Note, NoteKind, Side, Thread
from wheelover.render.difference import differences
from wheelover.store import Store, Unit
from wheelover.store.plans import PlanRow
from wheelover.store.threads import require_same
from wheelover.usecases.anchors import (
    NEEDS_RESULT,
    SubjectSince,
    index_of,
    label_of,
    require_anchor,
    since,
)
from wheelover.usecases.differences import dangers_held, frozen_side
from wheelover.usecases.draft_inputs import inputs_whole
from wheelover.usecases.people import Actor
from wheelover.usecases.record import person_document
from wheelover.usecases.written import is_legible

Document = dict[str, Any]

MOST_CHANGES = 50
"""So many changes of a subject are told in a thread; the differences tell all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """Something somebody says. ``revision`` is what was read, None the draft.

    ``note_id`` is the sender's own, so that a note sent twice is one note; None gives it one.
    """

    words: str
    person: Person
    side: Side = "ship"
    revision: int | None = None
    note_id: str | None = None


def side_of(actor: Actor, given: Side | None) -> Side:
    """Return from which side something is said: what the role of an account says.

    Without accounts, and of somebody with roles on both sides, it is what was said with it, and
    on board where nothing was.

    Raises
    ------
    InvalidInput
        When it was said to come from the other side than the account is on.
    """
    ashore = actor.may("shore_decide", actor.vessel_id)
    on_board = actor.may("sign", actor.vessel_id)
    if ashore == on_board:
        return given or "ship"
    side: Side = "shore" if ashore else "ship"
    if given not in (None, side):
        message = f"this account speaks from the {side}; leave side out"
        raise InvalidInput(message, (Fault(pointer="/side", message=message),))
    return side


@dataclass(slots=True)
class Since:
    """What became of subjects since the revisions they were read in, computed once for each."""

    unit: Unit
    plan: PlanRow
    newest: Document | None
    known: dict[int, list[Document]] = field(default_factory=dict)

    def of(self, anchor: Anchor, note: Note) -> tuple[SubjectSince, int | None]:
        """Return what became of a subject since a note, and from which revision that is told.

        A note on the draft is held against the first revision that was frozen after it.
        """
        start = note.revision or note.newest_revision + 1
        if self.newest is None or start > self.plan.revision:
            return SubjectSince(state="not_known"), None
        if start not in self.known:
            self.known[start] = self._changes(start)
        return since(self.newest, anchor, self.known[start]), start

    def _changes(self, start: int) -> list[Document]:
        """Return what differs between a revision and the newest."""
        if self.newest is None or start == self.plan.revision:
            return []
        before = frozen_side(self.unit, self.plan.id, start).document
        held = dangers_held(self.unit)
        found: list[Document] = differences(before, self.newest, held)["changes"]
        return found


def open_thread(
    store: Store,
    plan_id: str,
    anchor: Anchor,
    said: Said,
    now_utc: str,
    draft: Callable[[], Document],
) -> tuple[Document, bool]:
    """Open a thread about one thing, and return it and whether it is new.

    Parameters
    ----------
    store : Store
        Where it is kept.
    plan_id : str
        The plan.
    anchor : Anchor
        What it is about, by its stable id.
    said : Said
        The first note.
    now_utc : str
        The time, RFC 3339.
    draft : callable
        Gives the draft as it computes now; asked only where it must be known.

    Raises
    ------
    InvalidInput
        When what it is about is not there, or nothing is said.
    Conflict
        When the id of the note is that of another one.
    """
    _require_words(said.words)
    note_id = said.note_id or str(uuid.uuid4())
    thread_id = f"thread-{note_id}"
    computed = draft() if said.revision is None and anchor.kind in NEEDS_RESULT else None
    with store.reading() as unit:
        plan = unit.plans.get(plan_id)
        if unit.threads.of_note(note_id) is None:
            require_anchor(computed or _read(unit, plan, said.revision), anchor)
    with store.writing() as unit:
        plan = unit.plans.get(plan_id)
        note = _note(plan, thread_id, "note", said, note_id, now_utc)
        known = unit.threads.of_note(note_id)
        if known is None:
            unit.threads.open(plan, thread_id, anchor, note)
        else:
            require_same(plan_id, known, note)
            if unit.threads.get(plan_id, thread_id).anchor != anchor:
                raise Conflict(f"The id {note_id} is that of a note about something else.")
    return thread_of(store, plan_id, thread_id), known is None


def add_note(
    store: Store, plan_id: str, thread_id: str, kind: NoteKind, said: Said, now_utc: str
) -> tuple[Document, bool]:
    """Say something in a thread, resolve or reopen it; return it and whether the note is new.

    Raises
    ------
    NotFound
        For a thread that is not one of the plan.
    InvalidInput
        For a note without words.
    Conflict
        When a thread is resolved that is, or reopened that is not; when the id of the note is
        that of another one.
    """
    if kind == "note":
        _require_words(said.words)
    with store.writing() as unit:
        plan = unit.plans.get(plan_id)
        thread = unit.threads.get(plan_id, thread_id)
        note_id = said.note_id or str(uuid.uuid4())
        seen = tuple(one.id for one in thread.notes)
        note = _note(plan, thread_id, kind, said, note_id, now_utc, seen)
        known = unit.threads.of_note(note_id)
        if known is not None:
            require_same(plan_id, known, note)
        else:
            _require_move(thread, kind)
            if said.revision is not None:
                unit.plans.revision(plan, said.revision)
            unit.threads.add(plan, note)
    return thread_of(store, plan_id, thread_id), known is None


def _require_move(thread: Thread, kind: NoteKind) -> None:
    """Refuse to resolve what is resolved, and to reopen what is not."""
    resolved = state_of(thread.notes) == "resolved"
    if kind == "resolved" and resolved:
        raise Conflict("The thread is resolved already.")
    if kind == "reopened" and not resolved:
        raise Conflict("The thread is not resolved: say what is still open in a note.")


def _require_words(words: str) -> None:
    """Refuse a note that says nothing."""
    if not is_legible(words):
        message = "a note needs words"
        raise InvalidInput(message, (Fault(pointer="/words", message=message),))


def _note(
    plan: PlanRow,
    thread_id: str,
    kind: NoteKind,
    said: Said,
    note_id: str,
    now_utc: str,
    seen: tuple[str, ...] = (),
) -> Note:
    """Return a note as it is kept."""
    return Note(
        id=note_id,
        thread_id=thread_id,
        number=0,
        kind=kind,
        revision=said.revision or 0,
        newest_revision=plan.revision,
        at_utc=now_utc,
        person=said.person,
        side=said.side,
        words=said.words,
        seen=seen,
    )


def _read(unit: Unit, plan: PlanRow, revision: int | None) -> Document:
    """Return what was read: a revision, or the inputs of the draft."""
    if revision is not None:
        return frozen_side(unit, plan.id, revision).document
    return {"inputs": inputs_whole(unit, unit.plans.inputs(plan)), "loaded": {}}


def _since(unit: Unit, plan: PlanRow) -> Since:
    """Return what tells what became of subjects."""
    newest = frozen_side(unit, plan.id, plan.revision).document if plan.revision else None
    return Since(unit=unit, plan=plan, newest=newest)


def thread_of(store: Store, plan_id: str, thread_id: str) -> Document:
    """Return one thread of a plan as JSON values.

    Raises
    ------
    NotFound
        For a thread that is not one of the plan.
    """
    with store.reading() as unit:
        plan = unit.plans.get(plan_id)
        return thread_document(unit.threads.get(plan_id, thread_id), _since(unit, plan))


Parting = Callable[[Sequence[Thread]], tuple[Sequence[Thread], str | None]]


def threads_of(
    store: Store, plan_id: str, parting: Parting = lambda every: (every, None)
) -> Document:
    """Return the threads of a plan, and how many of all of them wait for an answer.

    Parameters
    ----------
    store, plan_id : Store, str
        Where they are kept, and of which plan.
    parting : callable
        Gives of all threads those that are asked for, and the cursor of what follows.

    Raises
    ------
    NotFound
        For a plan that is not stored.
    """
    with store.reading() as unit:
        plan = unit.plans.get(plan_id)
        threads = unit.threads.of(plan_id)
        told = _since(unit, plan) if threads else Since(unit=unit, plan=plan, newest=None)
        asked, following = parting(threads)
        items = [thread_document(one, told) for one in asked]
        waiting_count = sum(1 for one in threads if state_of(one.notes) in WAITING)
    return {
        "plan_id": plan_id,
        "newest_revision": plan.revision or None,
        "waiting_count": waiting_count,
        "items": items,
        "next_cursor": following,
    }


def waiting_in(unit: Unit, plan_id: str) -> list[str]:
    """Return the ids of the threads of a plan in which somebody waits for an answer."""
    return [one.id for one in unit.threads.of(plan_id) if state_of(one.notes) in WAITING]


def thread_document(thread: Thread, told: Since) -> Document:
    """Return a thread as JSON values, with what became of its subject since each note."""
    notes = in_order(thread.notes)
    first = notes[0]
    subject, start = told.of(thread.anchor, first)
    newest = told.newest
    return {
        "id": thread.id,
        "plan_id": thread.plan_id,
        "anchor": {"kind": thread.anchor.kind, "id": thread.anchor.id},
        "label": _label(thread.anchor, first, subject, told),
        "index": None if newest is None else index_of(newest, thread.anchor),
        "state": state_of(thread.notes),
        "revision": first.revision or None,
        "opened_utc": first.at_utc,
        "subject": {
            "state": subject.state,
            "since_revision": start,
            "newest_revision": told.plan.revision or None,
            "change_count": len(subject.changes),
            "changes": [
                {"id": one["id"], "sentence": one["sentence"], "follows": one["follows"]}
                for one in subject.changes[:MOST_CHANGES]
            ],
        },
        "notes": [_note_document(note, thread.anchor, told) for note in notes],
    }


def _label(anchor: Anchor, first: Note, subject: SubjectSince, told: Since) -> str:
    """Return what the subject is called now; where it is gone, what it was called."""
    if told.newest is not None and subject.state not in {"gone", "not_known"}:
        return label_of(told.newest, anchor)
    return label_of(_read(told.unit, told.plan, first.revision or None), anchor)


def _note_document(note: Note, anchor: Anchor, told: Since) -> Document:
    """Return a note as JSON values."""
    subject, _ = told.of(anchor, note)
    return {
        "id": note.id,
        "number": note.number,
        "kind": note.kind,
        "revision": note.revision or None,
        "at_utc": note.at_utc,
        "by": person_document(note.person),
        "side": note.side,
        "words": note.words,
        "subject_since": subject.state,
    }
