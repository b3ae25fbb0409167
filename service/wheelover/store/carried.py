"""What a parcel carries, as rows: our own events, and what comes from a peer."""

from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection, and_, insert, select, update

from wheelover.core.types.record import Event
from wheelover.formats.parcel import CarriedEdition, CarriedRevision
from wheelover.store.parcel_tables import event_origin, note_origin, revision_other
from wheelover.store.plans import PlanRow, RevisionRow
from wheelover.store.sequence import next_seq
from wheelover.store.tables import (
    blob,
    library_edition,
    library_item,
    plan,
    plan_revision,
    thread_note,
)

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherRow:
    """A revision of a number that another one has here too, and the peer it came from."""

    number: int
    sha256: str
    inputs_sha256: str
    engine_version: str
    created_utc: str
    peer_id: str


class Carried:
    """Rows of one unit of work that come and go in parcels."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def foreign_numbers(self, plan_id: str) -> dict[int, tuple[str, int]]:
        """Return which events of a plan came from a peer: number, peer and number there."""
        wanted = select(event_origin).where(event_origin.c.plan_id == plan_id)
        return {
            row.number: (row.peer_id, row.their_number) for row in self._connection.execute(wanted)
        }

    def event_known(self, plan_id: str, peer_id: str, their_number: int) -> str | None:
        """Return the digest of an event of a peer that is here, None where it is not."""
        wanted = select(event_origin.c.sha256).where(
            event_origin.c.plan_id == plan_id,
            event_origin.c.peer_id == peer_id,
            event_origin.c.their_number == their_number,
        )
        found = self._connection.execute(wanted).scalar()
        return None if found is None else str(found)

    def note_origin(
        self, plan_id: str, event: Event, peer_id: str, their_number: int, sha256: str
    ) -> None:
        """Note that an event recorded here came from a peer."""
        row = {
            "plan_id": plan_id,
            "number": event.number,
            "peer_id": peer_id,
            "their_number": their_number,
            "sha256": sha256,
        }
        self._connection.execute(insert(event_origin).values(row))

    def foreign_notes(self, plan_id: str) -> dict[str, str]:
        """Return which notes of a plan came from a peer: id and digest."""
        wanted = (
            select(note_origin.c.note_id, note_origin.c.sha256)
            .join(thread_note, thread_note.c.id == note_origin.c.note_id)
            .where(thread_note.c.plan_id == plan_id)
        )
        return {row.note_id: row.sha256 for row in self._connection.execute(wanted)}

    def note_note(self, note_id: str, peer_id: str, sha256: str) -> None:
        """Note that a note came from a peer."""
        row = {"note_id": note_id, "peer_id": peer_id, "sha256": sha256}
        self._connection.execute(insert(note_origin).values(row))

    def add_revision(self, row: PlanRow, one: CarriedRevision) -> None:
        """Keep a revision that came as it was frozen; its document is kept already."""
        values = {"plan_id": row.id, **asdict(one)}
        self._connection.execute(insert(plan_revision).values(values))
        self._connection.execute(
            update(plan)
            .where(plan.c.id == row.id)
            .values(
                revision=max(row.revision, one.number),
                first_step=row.step,
                changed_seq=next_seq(self._connection, plan),
            )
        )

    def add_other(self, plan_id: str, one: CarriedRevision, peer_id: str) -> None:
        """Keep a revision whose number another one has here."""
        values = {"plan_id": plan_id, **asdict(one), "peer_id": peer_id}
        self._connection.execute(insert(revision_other).values(values))

    def others(self, plan_id: str) -> list[OtherRow]:
        """Return the revisions of a plan whose numbers others have."""
        columns = [revision_other.c[name] for name in OtherRow.__slots__]
        wanted = select(*columns).where(revision_other.c.plan_id == plan_id)
        wanted = wanted.order_by(revision_other.c.number, revision_other.c.sha256)
        return [OtherRow(**row._mapping) for row in self._connection.execute(wanted)]

    def all_revisions(self, plan_id: str) -> list[RevisionRow]:
        """Return every revision of a plan, in order."""
        columns = [plan_revision.c[name] for name in RevisionRow.__slots__]
        wanted = select(*columns).where(plan_revision.c.plan_id == plan_id)
        found = self._connection.execute(wanted.order_by(plan_revision.c.number))
        return [RevisionRow(**row._mapping) for row in found]

    def edition_row(self, item_id: str, number: int) -> CarriedEdition | None:
        """Return an edition of a ship or a hazard set, None where it is not kept."""
        wanted = (
            select(library_item.c.kind, library_edition)
            .join(library_item, library_item.c.id == library_edition.c.item_id)
            .where(library_edition.c.item_id == item_id, library_edition.c.edition == number)
        )
        row = self._connection.execute(wanted).first()
        if row is None:
            return None
        return CarriedEdition(
            kind=row.kind,
            id=row.item_id,
            edition=row.edition,
            name=row.name,
            source=row.source,
            item_count=row.item_count,
            sha256=row.sha256,
            created_utc=row.created_utc,
        )

    def item_vessel(self, item_id: str) -> tuple[str, str | None] | None:
        """Return kind and vessel of a ship or hazard set, None where there is none of that id."""
        columns = (library_item.c.kind, library_item.c.vessel_id)
        row = self._connection.execute(select(*columns).where(library_item.c.id == item_id)).first()
        return None if row is None else (row.kind, row.vessel_id)

    def add_edition(self, one: CarriedEdition, vessel_id: str) -> None:
        """Keep an edition that came; its contents are kept already."""
        if self.item_vessel(one.id) is None:
            values = {
                "id": one.id,
                "kind": one.kind,
                "edition": one.edition,
                "created_utc": one.created_utc,
                "changed_seq": next_seq(self._connection, library_item),
                "vessel_id": vessel_id,
            }
            self._connection.execute(insert(library_item).values(values))
        else:
            older = and_(library_item.c.id == one.id, library_item.c.edition < one.edition)
            seq = next_seq(self._connection, library_item)
            self._connection.execute(
                update(library_item).where(older).values(edition=one.edition, changed_seq=seq)
            )
        row = {name: value for name, value in asdict(one).items() if name not in ("kind", "id")}
        self._connection.execute(insert(library_edition).values({"item_id": one.id, **row}))

    def has_blob(self, sha256: str) -> bool:
        """Return whether bytes are kept under a digest."""
        wanted = select(blob.c.sha256).where(blob.c.sha256 == sha256)
        return self._connection.execute(wanted).first() is not None
