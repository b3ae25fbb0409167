"""What goes to a peer: of each plan what was made here and the peer is not known to have."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from wheelover.core.types.record import Event
from wheelover.core.types.thread import Note, Thread
from wheelover.formats.parcel import (
    CarriedEdition,
    CarriedEvent,
    CarriedNote,
    CarriedPlan,
    CarriedRevision,
    Index,
    event_bytes,
    note_bytes,
)
from wheelover.formats.strict_json import read_json
from wheelover.store import Unit
from wheelover.store.plans import PlanRow, RevisionRow

Document = dict[str, Any]
Item = tuple[str, str, str]
"""Kind, name and sha256 of a thing that is carried."""

REVISION, OTHER, EVENT, EDITION, BLOB = "revision", "other", "event", "edition", "blob"
_SINGLE = ("ship", "limit_set")
NOTE, THEIRS = "note", "theirs"
"""An event of the peer, by its number there."""


def revision_name(plan_id: str, number: int) -> str:
    """Return by what a revision is known between peers."""
    return f"{plan_id}/r{number}"


def event_name(plan_id: str, number: int) -> str:
    """Return by what an event of ours is known between peers."""
    return f"{plan_id}/e{number}"


def note_name(plan_id: str, note_id: str) -> str:
    """Return by what a note of a thread is known between peers."""
    return f"{plan_id}/n/{note_id}"


def edition_name(item_id: str, number: int) -> str:
    """Return by what an edition is known between peers."""
    return f"{item_id}/{number}"


@dataclass(slots=True)
class Load:
    """What is gathered for a parcel. ``known`` is what the peer has, by kind and name.

    ``bases`` says on which bytes that the peer has by then others may be built.
    """

    known: dict[tuple[str, str], str]
    plans: list[CarriedPlan] = field(default_factory=list)
    library: list[CarriedEdition] = field(default_factory=list)
    blobs: list[str] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)
    bases: dict[str, str] = field(default_factory=dict)

    @property
    def index(self) -> Index:
        """Return the index of the parcel."""
        return Index(plans=tuple(self.plans), library=tuple(self.library))

    def lacks(self, kind: str, name: str, digest: str) -> bool:
        """Return whether the peer is not known to have a thing; then it is noted as carried."""
        if self.known.get((kind, name)) == digest:
            return False
        self.known[kind, name] = digest
        self.items.append((kind, name, digest))
        return True

    def add_blob(self, digest: str, *, anyway: bool = False) -> None:
        """Carry the bytes of a digest, unless the peer has them."""
        if (self.lacks(BLOB, digest, digest) or anyway) and digest not in self.blobs:
            self.blobs.append(digest)

    def build_on(self, digest: str, base: str | None) -> None:
        """Let bytes be sent as the difference to others, where the peer has those by then."""
        if base is not None and base != digest and self.known.get((BLOB, base)) == base:
            self.bases[digest] = base


def load_for(unit: Unit, peer_id: str, known: dict[tuple[str, str], str]) -> Load:
    """Return what goes to a peer.

    Parameters
    ----------
    unit : Unit
        The store.
    peer_id : str
        The peer.
    known : dict
        The sha256 of what it has, by kind and name.
    """
    load = Load(known=dict(known))
    own = set(unit.peers.chosen(peer_id))
    for plan_id in sorted(own | set(unit.homes.plans_of(peer_id))):
        row = unit.plans.get(plan_id)
        at_home = unit.homes.of_plan(plan_id) is None
        plan = CarriedPlan(
            id=plan_id,
            revisions=_revisions(unit, load, row) if at_home else (),
            others=() if at_home else _others(unit, load, row),
            events=_events(unit, load, row),
            notes=_notes(unit, load, row),
        )
        if plan.revisions or plan.others or plan.events or plan.notes:
            load.plans.append(plan)
    return load


def _revisions(unit: Unit, load: Load, row: PlanRow) -> tuple[CarriedRevision, ...]:
    """Return the revisions of a plan of ours that the peer lacks; what they pin goes with them."""
    found, before = [], None
    for one in unit.carried.all_revisions(row.id):
        if load.lacks(REVISION, revision_name(row.id, one.number), one.sha256):
            load.build_on(one.sha256, before)
            load.add_blob(one.sha256)
            _pinned(unit, load, unit.plans.document(one))
            found.append(_carried(one))
        before = one.sha256
    return tuple(found)


def _pinned(unit: Unit, load: Load, document: bytes) -> None:
    """Carry the editions of ship, limit set and hazard sets that a revision pins."""
    for item_id, number in pinned_editions(read_json(document)):
        edition = unit.carried.edition_row(item_id, number)
        if edition is not None and load.lacks(
            EDITION, edition_name(item_id, number), edition.sha256
        ):
            before = unit.carried.edition_row(item_id, number - 1)
            load.build_on(edition.sha256, None if before is None else before.sha256)
            load.add_blob(edition.sha256)
            load.library.append(edition)


def pinned_editions(document: Document) -> list[tuple[str, int]]:
    """Return id and edition of the ship, the limit set and the hazard sets a revision pins."""
    inputs = document["inputs"]
    sets = inputs.get("hazard_set_editions") or {}
    single = [(inputs.get(f"{one}_id"), inputs.get(f"{one}_edition")) for one in _SINGLE]
    return [
        (item_id, number)
        for item_id, number in [*sorted(sets.items()), *single]
        if isinstance(item_id, str) and isinstance(number, int)
    ]


def _others(unit: Unit, load: Load, row: PlanRow) -> tuple[CarriedRevision, ...]:
    """Return our revisions of those numbers of a peer's plan under which another came too."""
    numbers = {one.number for one in unit.carried.others(row.id)}
    found = []
    for one in unit.carried.all_revisions(row.id):
        name = f"{revision_name(row.id, one.number)}/{one.sha256}"
        if one.number in numbers and load.lacks(OTHER, name, one.sha256):
            load.add_blob(one.sha256, anyway=True)
            found.append(_carried(one))
    return tuple(found)


def _carried(one: RevisionRow) -> CarriedRevision:
    """Return a revision as it is carried."""
    return CarriedRevision(
        number=one.number,
        sha256=one.sha256,
        inputs_sha256=one.inputs_sha256,
        engine_version=one.engine_version,
        created_utc=one.created_utc,
    )


def _events(unit: Unit, load: Load, row: PlanRow) -> tuple[CarriedEvent, ...]:
    """Return the events recorded here that the peer lacks."""
    found = []
    for event in own_events(unit, row.id):
        carried = carried_event(event)
        digest = sha256(event_bytes(carried)).hexdigest()
        if load.lacks(EVENT, event_name(row.id, event.number), digest):
            found.append(carried)
    return tuple(found)


def own_events(unit: Unit, plan_id: str) -> Iterable[Event]:
    """Return the events of a plan that were recorded here."""
    foreign = unit.carried.foreign_numbers(plan_id)
    return [event for event in unit.record.of(plan_id) if event.number not in foreign]


def carried_event(event: Event) -> CarriedEvent:
    """Return an event as it is carried: without the account, which means nothing elsewhere."""
    return CarriedEvent(
        number=event.number,
        revision=event.revision,
        kind=event.kind,
        at_utc=event.at_utc,
        name=event.person.name,
        rank=event.person.rank,
        claimed=event.person.claimed,
        body=event.body,
    )


def _notes(unit: Unit, load: Load, row: PlanRow) -> tuple[CarriedNote, ...]:
    """Return the notes written here that the peer lacks, in order."""
    foreign = unit.carried.foreign_notes(row.id)
    found = []
    for thread, note in notes_in_order(unit, row.id):
        if note.id in foreign:
            continue
        carried = carried_note(thread, note)
        digest = sha256(note_bytes(carried)).hexdigest()
        if load.lacks(NOTE, note_name(row.id, note.id), digest):
            found.append(carried)
    return tuple(found)


def notes_in_order(unit: Unit, plan_id: str) -> list[tuple[Thread, Note]]:
    """Return the notes of a plan as they came in here, each with its thread."""
    every = [(thread, note) for thread in unit.threads.of(plan_id) for note in thread.notes]
    return sorted(every, key=lambda one: one[1].number)


def carried_note(thread: Thread, note: Note) -> CarriedNote:
    """Return a note as it is carried: without the account, which means nothing elsewhere."""
    return CarriedNote(
        id=note.id,
        thread_id=thread.id,
        anchor_kind=thread.anchor.kind,
        anchor_id=thread.anchor.id,
        kind=note.kind,
        revision=note.revision,
        newest_revision=note.newest_revision,
        at_utc=note.at_utc,
        name=note.person.name,
        rank=note.person.rank,
        claimed=note.person.claimed,
        words=note.words,
    )
