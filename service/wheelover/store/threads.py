"""Threads and their notes: inserted once, each note with its entry in the audit log."""

import hashlib
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

import rfc8785
from sqlalchemy import Connection, Row, Select, func, insert, select

from wheelover.core.errors import Conflict, NotFound
from wheelover.core.types.people import Person
from wheelover.core.types.thread import Anchor, Note, Thread
from wheelover.store.audit import Audit
from wheelover.store.plans import PlanRow
from wheelover.store.tables import thread, thread_note


class Threads:
    """The threads of one unit of work."""

    def __init__(self, connection: Connection, audit: Audit) -> None:
        self._connection = connection
        self._audit = audit

    def open(self, plan: PlanRow, thread_id: str, anchor: Anchor, note: Note) -> Thread:
        """Keep a new thread with its first note, and return it."""
        row = {
            "id": thread_id,
            "plan_id": plan.id,
            "anchor_kind": anchor.kind,
            "anchor_id": anchor.id,
        }
        self._connection.execute(insert(thread).values(row))
        return self.add(plan, note)

    def add(self, plan: PlanRow, note: Note) -> Thread:
        """Keep a note of a thread, and return the thread with it.

        The number that the note comes with is not kept: it gets the next one here.

        Raises
        ------
        NotFound
            For a thread that is not one of this plan.
        """
        whole = self.get(plan.id, note.thread_id)
        newest = select(func.max(thread_note.c.number)).where(thread_note.c.plan_id == plan.id)
        number = int(self._connection.execute(newest).scalar() or 0) + 1
        members = {name: value for name, value in asdict(note).items() if name != "person"}
        row = {
            **members,
            **asdict(note.person),
            "plan_id": plan.id,
            "number": number,
            "seen": " ".join(note.seen),
        }
        self._connection.execute(insert(thread_note).values(row))
        entry = {
            "what": f"thread.{note.kind}",
            "plan_id": plan.id,
            "thread_id": note.thread_id,
            "note": note.id,
            "revision": note.revision,
            "by": asdict(note.person),
            "note_sha256": _digest({**row, **_anchored(whole.anchor)}),
        }
        self._audit.add(plan.vessel_id, entry, note.at_utc)
        return self.get(plan.id, note.thread_id)

    def get(self, plan_id: str, thread_id: str) -> Thread:
        """Return a thread of a plan with its notes.

        Raises
        ------
        NotFound
            For an id that is not that of a thread of the plan.
        """
        rows = self._connection.execute(_rows(plan_id).where(thread.c.id == thread_id)).all()
        found = _threads(rows)
        if found:
            return found[0]
        bare = select(thread).where(thread.c.id == thread_id, thread.c.plan_id == plan_id)
        row = self._connection.execute(bare).first()
        if row is None:
            raise NotFound(f"thread {thread_id[:80]!r} of plan {plan_id[:80]!r} is not stored")
        anchor = Anchor(kind=row.anchor_kind, id=row.anchor_id)
        return Thread(id=row.id, plan_id=row.plan_id, anchor=anchor, notes=())

    def exists(self, thread_id: str) -> bool:
        """Return whether there is a thread of that id, of whatever plan."""
        wanted = select(thread.c.id).where(thread.c.id == thread_id)
        return self._connection.execute(wanted).first() is not None

    def of(self, plan_id: str) -> tuple[Thread, ...]:
        """Return the threads of a plan, the one that was opened first in front."""
        return tuple(_threads(self._connection.execute(_rows(plan_id)).all()))

    def of_note(self, note_id: str) -> tuple[str, Note] | None:
        """Return the note of an id and the plan it belongs to, None where there is none."""
        found = self._connection.execute(
            select(thread_note).where(thread_note.c.id == note_id)
        ).first()
        return None if found is None else (found.plan_id, _note(found))

    def digests(self) -> Iterator[tuple[str, str]]:
        """Yield id and digest of every note, as the log tells of it."""
        columns = (*thread_note.c, thread.c.anchor_kind, thread.c.anchor_id)
        wanted = (
            select(*columns)
            .join(thread, thread.c.id == thread_note.c.thread_id)
            .order_by(thread_note.c.plan_id, thread_note.c.number)
        )
        for row in self._connection.execute(wanted):
            yield row.id, _digest(dict(row._mapping))


def require_same(plan_id: str, known: tuple[str, Note], note: Note) -> None:
    """Refuse a note under the id of another one: sent twice, it would be the same.

    Raises
    ------
    Conflict
        When what is kept under the id says something else.
    """
    kept_plan, kept = known
    same = (kept_plan, kept.thread_id, kept.kind, kept.words) == (
        plan_id,
        note.thread_id,
        note.kind,
        note.words,
    )
    if not same:
        raise Conflict(f"The id {note.id} is that of another note. Give each note its own.")


def _rows(plan_id: str) -> Select[Any]:
    """Return the query for the notes of a plan, each with its thread."""
    return (
        select(thread_note, thread.c.anchor_kind, thread.c.anchor_id)
        .join(thread, thread.c.id == thread_note.c.thread_id)
        .where(thread_note.c.plan_id == plan_id)
        .order_by(thread_note.c.number)
    )


def _threads(rows: Any) -> list[Thread]:
    """Return notes, each with its thread, as threads."""
    notes: dict[str, list[Note]] = {}
    firsts: dict[str, Row[Any]] = {}
    for row in rows:
        firsts.setdefault(row.thread_id, row)
        notes.setdefault(row.thread_id, []).append(_note(row))
    return [
        Thread(
            id=thread_id,
            plan_id=row.plan_id,
            anchor=Anchor(kind=row.anchor_kind, id=row.anchor_id),
            notes=tuple(notes[thread_id]),
        )
        for thread_id, row in firsts.items()
    ]


def _note(row: Row[Any]) -> Note:
    """Return a row as a note."""
    person = Person(
        name=row.name, rank=row.rank, account_id=row.account_id, claimed=bool(row.claimed)
    )
    return Note(
        id=row.id,
        thread_id=row.thread_id,
        number=row.number,
        kind=row.kind,
        revision=row.revision,
        newest_revision=row.newest_revision,
        at_utc=row.at_utc,
        person=person,
        side=row.side,
        words=row.words,
        seen=tuple(row.seen.split()),
    )


def _anchored(anchor: Anchor) -> dict[str, str]:
    """Return an anchor as the columns of its thread."""
    return {"anchor_kind": anchor.kind, "anchor_id": anchor.id}


def _digest(row: dict[str, Any]) -> str:
    """Return the digest of a note: every column of it, and what its thread is about."""
    plain = {**row, "claimed": bool(row["claimed"])}
    return hashlib.sha256(rfc8785.dumps(plain)).hexdigest()
