"""Plans: the draft with its steps, and the revisions frozen from it."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

import rfc8785
from sqlalchemy import Connection, Select, delete, insert, select, update

from wheelover.core.errors import Conflict, NotFound
from wheelover.core.types.people import Person
from wheelover.formats.strict_json import read_json
from wheelover.store.blobs import Blobs
from wheelover.store.homes import Homes
from wheelover.store.sequence import next_seq
from wheelover.store.tables import plan, plan_revision, plan_step

OWN_VESSEL = "own"
"""The one vessel where there are no accounts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """A plan: where its draft stands, and how many revisions were frozen."""

    id: str
    name: str
    demonstration: bool
    edit: int
    step: int
    first_step: int
    revision: int
    waypoint_count: int
    created_utc: str
    changed_utc: str
    changed_seq: int
    vessel_id: str
    pen_account: str | None
    pen_name: str | None
    pen_since_utc: str | None
    pen_asked: str | None
    editors: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """One step of a draft, without its inputs."""

    number: int
    label: str
    at_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionRow:
    """One frozen revision, without its document."""

    number: int
    sha256: str
    inputs_sha256: str
    engine_version: str
    created_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What a step of a draft is made of: its inputs as canonical JSON, and what stands outside."""

    name: str
    waypoint_count: int
    demonstration: bool
    label: str
    inputs: str


class Plans:
    """The plans of one unit of work."""

    def __init__(self, connection: Connection, blobs: Blobs, homes: Homes) -> None:
        self._connection = connection
        self._blobs = blobs
        self._homes = homes

    def add(self, plan_id: str, draft: Draft, now_utc: str, vessel_id: str = OWN_VESSEL) -> PlanRow:
        """Keep a new plan of a vessel and return it.

        Raises
        ------
        Conflict
            When there is a plan of that id.
        """
        if self._find(plan_id) is not None:
            raise Conflict(f"there is a plan {plan_id!r} already")
        row = {
            "id": plan_id,
            **_outside(draft, now_utc),
            "edit": 1,
            "step": 1,
            "first_step": 1,
            "revision": 0,
            "vessel_id": vessel_id,
            "created_utc": now_utc,
            "changed_seq": next_seq(self._connection, plan),
        }
        self._connection.execute(insert(plan).values(row))
        self._insert_step(plan_id, 1, draft, now_utc)
        return self.get(plan_id)

    def edit(self, before: PlanRow, draft: Draft, now_utc: str) -> PlanRow:
        """Add a step after the one a plan stands on; steps that could be redone are gone.

        Raises
        ------
        Conflict
            For a plan that is at home elsewhere, or was changed meanwhile.
        """
        self._homes.require_plan(before.id)
        return self.follow(before, draft, now_utc)

    def follow(self, before: PlanRow, draft: Draft, now_utc: str) -> PlanRow:
        """Add a step wherever a plan is at home: what is shown of it follows its home."""
        number = before.step + 1
        later = (plan_step.c.plan_id == before.id) & (plan_step.c.number >= number)
        self._connection.execute(delete(plan_step).where(later))
        self._insert_step(before.id, number, draft, now_utc)
        return self._move(before, number, _outside(draft, now_utc))

    def stand_on(self, before: PlanRow, number: int, draft: Draft, now_utc: str) -> PlanRow:
        """Let a plan stand on another of its steps, and return it.

        Raises
        ------
        Conflict
            For a plan that is at home elsewhere, or was changed meanwhile.
        """
        self._homes.require_plan(before.id)
        return self._move(before, number, _outside(draft, now_utc))

    def _move(self, before: PlanRow, number: int, outside: dict[str, object]) -> PlanRow:
        """Set the pointer of a draft, if nobody has changed it meanwhile.

        Raises
        ------
        Conflict
            When somebody has. The one writer at a time makes this a second wall.
        """
        values = {
            **outside,
            "step": number,
            "edit": before.edit + 1,
            "changed_seq": next_seq(self._connection, plan),
        }
        same = (plan.c.id == before.id) & (plan.c.edit == before.edit)
        if self._connection.execute(update(plan).where(same).values(values)).rowcount != 1:
            raise Conflict("the draft was changed meanwhile")
        return self.get(before.id)

    def note_editor(self, row: PlanRow, person: Person) -> None:
        """Note who changed a draft since its last revision; nobody where nobody is named."""
        before = self.editors(row)
        if person.key is None or person.key in {one.key for one in before}:
            return
        text = rfc8785.dumps([asdict(one) for one in (*before, person)]).decode()
        self._connection.execute(update(plan).where(plan.c.id == row.id).values(editors=text))

    def editors(self, row: PlanRow) -> tuple[Person, ...]:
        """Return who changed a draft since its last revision."""
        found = [] if row.editors is None else read_json(row.editors.encode())
        return tuple(Person(**one) for one in found)

    def _insert_step(self, plan_id: str, number: int, draft: Draft, now_utc: str) -> None:
        """Insert a step."""
        row = {
            "plan_id": plan_id,
            "number": number,
            "label": draft.label,
            "inputs": draft.inputs,
            "at_utc": now_utc,
        }
        self._connection.execute(insert(plan_step).values(row))

    def get(self, plan_id: str) -> PlanRow:
        """Return a plan.

        Raises
        ------
        NotFound
            For an id that stands for none.
        """
        found = self._find(plan_id)
        if found is None:
            raise NotFound(f"plan {plan_id[:80]!r} is not stored")
        return found

    def known(self, plan_id: str) -> bool:
        """Return whether there is a plan of that id."""
        return self._find(plan_id) is not None

    def _find(self, plan_id: str) -> PlanRow | None:
        """Return a plan, or None."""
        found = self._connection.execute(select(plan).where(plan.c.id == plan_id)).first()
        return None if found is None else PlanRow(**found._mapping)

    def page(
        self, limit: int, before_seq: int | None, vessels: frozenset[str] | None = None
    ) -> list[PlanRow]:
        """Return plans, of some vessels, last changed first, those before a place in that order."""
        wanted = select(plan).order_by(plan.c.changed_seq.desc()).limit(limit)
        if vessels is not None:
            wanted = wanted.where(plan.c.vessel_id.in_(sorted(vessels)))
        if before_seq is not None:
            wanted = wanted.where(plan.c.changed_seq < before_seq)
        return [PlanRow(**row._mapping) for row in self._connection.execute(wanted)]

    def of_ids(self, plan_ids: list[str]) -> list[PlanRow]:
        """Return some plans, last changed first."""
        wanted = select(plan).where(plan.c.id.in_(plan_ids)).order_by(plan.c.changed_seq.desc())
        return [PlanRow(**row._mapping) for row in self._connection.execute(wanted)]

    def inputs(self, row: PlanRow, number: int | None = None) -> str:
        """Return the inputs of a step as canonical JSON, of the one the plan stands on by default.

        Raises
        ------
        NotFound
            When there is no such step.
        """
        at = row.step if number is None else number
        wanted = select(plan_step.c.inputs).where(
            plan_step.c.plan_id == row.id, plan_step.c.number == at
        )
        found = self._connection.execute(wanted).scalar()
        if found is None:
            raise NotFound(f"plan {row.id!r} has no step {at}")
        return str(found)

    def steps(self, row: PlanRow, limit: int) -> list[StepRow]:
        """Return the steps of a draft, newest first."""
        columns = (plan_step.c.number, plan_step.c.label, plan_step.c.at_utc)
        wanted = select(*columns).where(
            plan_step.c.plan_id == row.id, plan_step.c.number >= row.first_step
        )
        wanted = wanted.order_by(plan_step.c.number.desc()).limit(limit)
        return [StepRow(**one._mapping) for one in self._connection.execute(wanted)]

    def steps_kept(self) -> Iterator[tuple[str, int, str, str]]:
        """Yield plan, number, time and inputs of every step of every draft."""
        columns = (plan_step.c.plan_id, plan_step.c.number, plan_step.c.at_utc, plan_step.c.inputs)
        for row in self._connection.execute(select(*columns).order_by(*columns[:2])):
            yield row.plan_id, row.number, row.at_utc, row.inputs

    def stands_on(self) -> dict[str, tuple[int, int]]:
        """Return of every plan the edit and the step that its draft stands on."""
        rows = self._connection.execute(select(plan.c.id, plan.c.edit, plan.c.step))
        return {row.id: (row.edit, row.step) for row in rows}

    def labels(self, row: PlanRow, numbers: tuple[int, ...]) -> dict[int, str]:
        """Return the labels of those of some steps that there are."""
        columns = (plan_step.c.number, plan_step.c.label)
        wanted = select(*columns).where(
            plan_step.c.plan_id == row.id, plan_step.c.number.in_(numbers)
        )
        return {one.number: one.label for one in self._connection.execute(wanted)}

    def freeze(
        self, row: PlanRow, document: bytes, inputs_sha256: str, engine_version: str, now_utc: str
    ) -> RevisionRow:
        """Keep a document as the next revision of a plan; undo reaches no further back than it.

        Raises
        ------
        Conflict
            For a plan that is at home elsewhere.
        """
        self._homes.require_plan(row.id)
        number = row.revision + 1
        values = {
            "plan_id": row.id,
            "number": number,
            "sha256": self._blobs.put(document),
            "inputs_sha256": inputs_sha256,
            "engine_version": engine_version,
            "created_utc": now_utc,
        }
        self._connection.execute(insert(plan_revision).values(values))
        self._connection.execute(
            update(plan)
            .where(plan.c.id == row.id)
            .values(
                revision=number,
                first_step=row.step,
                editors=None,
                changed_seq=next_seq(self._connection, plan),
            )
        )
        return self.revision(row, number)

    def revision(self, row: PlanRow, number: int) -> RevisionRow:
        """Return a revision of a plan.

        Raises
        ------
        NotFound
            For a number that was not frozen.
        """
        wanted = _revisions(row).where(plan_revision.c.number == number)
        found = self._connection.execute(wanted).first()
        if found is None:
            raise NotFound(f"plan {row.id!r} has no revision {number}")
        return RevisionRow(**found._mapping)

    def revisions(self, row: PlanRow, limit: int, before: int | None = None) -> list[RevisionRow]:
        """Return the revisions of a plan, newest first, those before a number."""
        wanted = _revisions(row).order_by(plan_revision.c.number.desc()).limit(limit)
        if before is not None:
            wanted = wanted.where(plan_revision.c.number < before)
        return [RevisionRow(**one._mapping) for one in self._connection.execute(wanted)]

    def digests(self) -> Iterator[tuple[str, int, str]]:
        """Yield plan, number and sha256 of every frozen revision."""
        columns = (plan_revision.c.plan_id, plan_revision.c.number, plan_revision.c.sha256)
        for row in self._connection.execute(select(*columns).order_by(*columns)):
            yield row.plan_id, row.number, row.sha256

    def document(self, revision: RevisionRow) -> bytes:
        """Return the frozen document of a revision, canonical JSON, held against its digest."""
        return self._blobs.get(revision.sha256)


def _outside(draft: Draft, now_utc: str) -> dict[str, object]:
    """Return what a plan's row repeats of its draft, for lists."""
    return {
        "name": draft.name,
        "waypoint_count": draft.waypoint_count,
        "demonstration": draft.demonstration,
        "changed_utc": now_utc,
    }


def _revisions(row: PlanRow) -> Select[Any]:
    """Return the query for the revisions of a plan."""
    columns = (
        plan_revision.c.number,
        plan_revision.c.sha256,
        plan_revision.c.inputs_sha256,
        plan_revision.c.engine_version,
        plan_revision.c.created_utc,
    )
    return select(*columns).where(plan_revision.c.plan_id == row.id)
