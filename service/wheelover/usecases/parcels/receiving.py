"""What comes in a parcel, put where it belongs. Everything here runs inside one transaction."""

from collections.abc import Callable
from dataclasses import asdict
from hashlib import sha256
from typing import Any, cast

from wheelover.core.errors import InvalidInput, NotFound, UnreadableFile
from wheelover.core.review import open_conflicts
from wheelover.core.types.people import Person
from wheelover.core.types.record import Event
from wheelover.core.types.thread import Anchor, AnchorKind, Note, NoteKind, Side
from wheelover.formats.parcel import (
    CarriedEdition,
    CarriedEvent,
    CarriedNote,
    CarriedPlan,
    CarriedRevision,
    Index,
    event_bytes,
    note_bytes,
    refused,
)
from wheelover.formats.strict_json import read_json
from wheelover.store import Unit
from wheelover.store.homes import MADE_ELSEWHERE_TOO
from wheelover.store.library import WORDS
from wheelover.store.peers import PeerRow
from wheelover.store.plans import PlanRow
from wheelover.usecases.drafts import draft_from
from wheelover.usecases.lapses import lapse_by_edition
from wheelover.usecases.parcels.bodies import named_digests, require_body, require_limit_set
from wheelover.usecases.parcels.carrying import (
    BLOB,
    EDITION,
    REVISION,
    THEIRS,
    Item,
    edition_name,
    event_name,
    note_name,
    pinned_editions,
    revision_name,
)
from wheelover.usecases.parcels.conflicts import note_conflict

Document = dict[str, Any]

DECIDING = frozenset({"offered", "approved", "returned", "taken_into_use", "closed"})


class Receiver:
    """Takes what one parcel of one peer carries."""

    def __init__(
        self, unit: Unit, peer: PeerRow, check: Callable[[Any], None], now_utc: str
    ) -> None:
        self.unit = unit
        self.peer = peer
        self.check = check
        self.now_utc = now_utc
        self.blobs: set[str] = set()
        self.used: set[str] = set()
        self.items: list[Item] = []
        self.new_plans: list[str] = []
        self.new_editions: list[list[Any]] = []

    def receive(self, index: Index) -> Document:
        """Take everything, and return what it was.

        Raises
        ------
        ParcelRefused
            For what the peer may not send, or what does not fit together.
        """
        for edition in index.library:
            self._edition(edition)
        plans = [self._plan(plan) for plan in index.plans]
        unused = self.blobs - self.used
        if unused:
            raise refused("contents", f"The parcel carries {min(unused)} and says not what for.")
        self.items += [(BLOB, one, one) for one in sorted(self.blobs)]
        return {
            "plans": plans,
            "editions": [{"name": one.name, "edition": one.edition} for one in index.library],
        }

    def _require_blob(self, digest: str) -> None:
        """Refuse a parcel that speaks of bytes which neither it nor the store has."""
        self.used.add(digest)
        if digest not in self.blobs and not self.unit.carried.has_blob(digest):
            raise refused("contents", f"The parcel speaks of {digest} and does not carry it.")

    def _edition(self, one: CarriedEdition) -> None:
        """Take an edition of a ship or a hazard set; one that is here already stays as it is."""
        self._require_blob(one.sha256)
        if one.kind == "limit_set":
            require_limit_set(one.id, self.unit.blobs.get(one.sha256))
        self.items.append((EDITION, edition_name(one.id, one.edition), one.sha256))
        there = self.unit.carried.item_vessel(one.id)
        if there is None:
            self._keep(one)
            self.unit.homes.set_item(one.id, self.peer.id)
            return
        if there[0] != one.kind or self.unit.homes.of_item(one.id) != self.peer.id:
            raise refused("contents", f"The parcel renews {one.id}, which is not its sender's.")
        if self.unit.carried.edition_row(one.id, one.edition) is None:
            self._keep(one)
            self._lapse(one)

    def _keep(self, one: CarriedEdition) -> None:
        """Keep an edition that is new here."""
        self.unit.carried.add_edition(one, self.peer.vessel_id)
        self.new_editions.append([one.id, one.edition, one.sha256])

    def _lapse(self, one: CarriedEdition) -> None:
        """Let the approvals lapse that a newer edition touches, as if it had been made here."""
        kind = next(known for known in WORDS if known == one.kind)
        newest = self.unit.library.get(kind, one.id)
        if newest.edition == one.edition:
            person = Person(name=self.peer.name, rank="by parcel", claimed=False)
            lapse_by_edition(self.unit, kind, newest, person, self.now_utc)

    def _plan(self, plan: CarriedPlan) -> Document:
        """Take what is new of a plan."""
        row, at_sender = self._home(plan)
        for one in sorted(plan.revisions, key=lambda one: one.number):
            row = self._revision(row, one)
        for one in plan.others:
            self._other(row, one)
        events = sorted(plan.events, key=lambda one: one.number)
        new = [self._event(row, event, at_sender=at_sender) for event in events]
        notes = [self._note(row, one) for one in plan.notes]
        return {
            "id": plan.id,
            "name": row.name,
            "revisions": [one.number for one in plan.revisions],
            "events_count": sum(new),
            "notes_count": sum(notes),
        }

    def _home(self, plan: CarriedPlan) -> tuple[PlanRow, bool]:
        """Return the row of a plan, made if it is new, and whether its home is the sender."""
        if not self.unit.plans.known(plan.id):
            return self._new(plan), True
        row = self.unit.plans.get(plan.id)
        home = self.unit.homes.of_plan(plan.id)
        if home == self.peer.id:
            return row, True
        ours = home is None and plan.id in self.unit.peers.chosen(self.peer.id)
        if not ours or plan.revisions:
            raise refused("contents", f"The parcel changes the plan {plan.id}, which is not its.")
        return row, False

    def _new(self, plan: CarriedPlan) -> PlanRow:
        """Keep a plan that is new here, as its newest revision shows it."""
        if not plan.revisions:
            raise refused("contents", f"The parcel speaks of the plan {plan.id}, not known here.")
        first = min(plan.revisions, key=lambda one: one.number)
        draft = self._draft(self._document(plan.id, first), first.number)
        row = self.unit.plans.add(plan.id, draft, self.now_utc, self.peer.vessel_id)
        self.unit.homes.set_plan(plan.id, self.peer.id)
        self.new_plans.append(plan.id)
        return row

    def _draft(self, document: Document, number: int) -> Any:
        """Return the draft that shows a revision which came."""
        label = f"Revision {number} came from {self.peer.name}"[:300]
        try:
            return draft_from(self.unit, document["inputs"], label, None)
        except NotFound as error:
            raise refused(
                "contents", f"A revision in the parcel pins what is not here: {error}"
            ) from error

    def _document(self, plan_id: str, one: CarriedRevision) -> Document:
        """Return the document of a revision, held against what the index says of it."""
        self._require_blob(one.sha256)
        try:
            document = read_json(self.unit.blobs.get(one.sha256))
        except UnreadableFile as error:
            raise refused(
                "contents", f"A revision in the parcel cannot be read: {error}"
            ) from error
        said = {
            "plan_id": plan_id,
            "number": one.number,
            "inputs_sha256": one.inputs_sha256,
            "engine_version": one.engine_version,
            "created_utc": one.created_utc,
        }
        if not isinstance(document, dict) or any(
            document.get(name) != value for name, value in said.items()
        ):
            raise refused("contents", f"Revision {one.number} is not what the parcel says of it.")
        try:
            self.check(document)
        except InvalidInput as error:
            raise refused(
                "contents", f"Revision {one.number} is not one that is read here: {error}"
            ) from error
        return document

    def _revision(self, row: PlanRow, one: CarriedRevision) -> PlanRow:
        """Take a revision; another one of its number stays, and the plan is in conflict."""
        document = self._document(row.id, one)
        self.items.append((REVISION, revision_name(row.id, one.number), one.sha256))
        same = [
            other for other in self.unit.carried.all_revisions(row.id) if other.number == one.number
        ]
        if same:
            if same[0].sha256 != one.sha256:
                self._other(row, one)
            return row
        if one.number != row.revision + 1:
            raise refused("contents", f"Revision {one.number} came, {row.revision + 1} was due.")
        if row.revision > 0:
            row = self.unit.plans.follow(row, self._draft(document, one.number), self.now_utc)
        self.unit.carried.add_revision(row, one)
        self._library_conflicts(row, one, document)
        return self.unit.plans.get(row.id)

    def _other(self, row: PlanRow, one: CarriedRevision) -> None:
        """Keep a revision beside another of its number."""
        self._document(row.id, one)
        ours = [r for r in self.unit.carried.all_revisions(row.id) if r.number == one.number]
        known = [other.sha256 for other in self.unit.carried.others(row.id)]
        if one.sha256 in known or one.sha256 in [r.sha256 for r in ours]:
            return
        self.unit.carried.add_other(row.id, one, self.peer.id)
        pair = sorted([one.sha256, *[r.sha256 for r in ours]])
        body = {
            "id": f"revision-{one.number}-" + "-".join(digest[:16] for digest in pair),
            "what": "revision",
            "words": f"{self.peer.name} holds another revision {one.number}; both are kept",
            "here": ours[0].sha256 if ours else None,
            "other": one.sha256,
            "peer_id": self.peer.id,
            "peer": self.peer.name,
        }
        note_conflict(self.unit, row, one.number, body, self.now_utc)

    def _library_conflicts(self, row: PlanRow, one: CarriedRevision, document: Document) -> None:
        """Note where an edition that a revision pins is another here."""
        digests = named_digests(document)
        for item_id, number in pinned_editions(document):
            edition = self.unit.carried.edition_row(item_id, number)
            wanted = digests.get((item_id, number))
            if edition is None or wanted is None or edition.sha256 == wanted:
                continue
            body = {
                "id": f"library-{item_id}-{number}-{wanted[:16]}",
                "what": "library",
                "words": f"edition {number} of {item_id} is another at {self.peer.name}",
                "here": edition.sha256,
                "other": wanted,
                "item_id": item_id,
                "edition": number,
                "peer_id": self.peer.id,
                "peer": self.peer.name,
            }
            note_conflict(self.unit, row, one.number, body, self.now_utc)

    def _event(self, row: PlanRow, event: CarriedEvent, *, at_sender: bool) -> bool:
        """Take an event and return whether it is new."""
        digest = sha256(event_bytes(event)).hexdigest()
        self.items.append((THEIRS, event_name(row.id, event.number), digest))
        known = self.unit.carried.event_known(row.id, self.peer.id, event.number)
        if known == digest:
            return False
        if known is not None:
            return self._beside(row, event, digest, "record")
        require_body(event)
        if (not at_sender and event.kind in DECIDING) or self._approves_another(row, event):
            return self._beside(row, event, digest, "decision")
        if not at_sender and event.kind not in MADE_ELSEWHERE_TOO:
            raise refused("contents", f"The parcel brings {event.kind!r} for a plan of ours.")
        came = {"came_from": self.peer.id, "their_event": event.number}
        kept = self.unit.record.follow(row, _event_of(event), came, self.now_utc)
        self.unit.carried.note_origin(row.id, kept, self.peer.id, event.number, digest)
        return True

    def _note(self, row: PlanRow, one: CarriedNote) -> bool:
        """Take a note of a thread and return whether it is new."""
        digest = sha256(note_bytes(one)).hexdigest()
        self.items.append((THEIRS, note_name(row.id, one.id), digest))
        known = self.unit.carried.foreign_notes(row.id).get(one.id)
        if known == digest:
            return False
        if known is not None or self.unit.threads.of_note(one.id) is not None:
            raise refused("contents", f"The parcel has another note under the id {one.id}.")
        if one.revision > row.revision:
            raise refused(
                "contents", f"The parcel has a note on revision {one.revision}, not here."
            )
        note = Note(
            id=one.id,
            thread_id=one.thread_id,
            number=0,
            kind=cast("NoteKind", one.kind),
            revision=one.revision,
            newest_revision=one.newest_revision,
            at_utc=one.at_utc,
            person=Person(name=one.name, rank=one.rank, claimed=one.claimed),
            side=cast("Side", self.peer.side),
            words=one.words,
        )
        anchor = Anchor(kind=cast("AnchorKind", one.anchor_kind), id=one.anchor_id)
        self._keep_note(row, anchor, note)
        self.unit.carried.note_note(one.id, self.peer.id, digest)
        return True

    def _keep_note(self, row: PlanRow, anchor: Anchor, note: Note) -> None:
        """Keep a note in its thread, which is new here where its first note has not come."""
        try:
            thread = self.unit.threads.get(row.id, note.thread_id)
        except NotFound:
            if self.unit.threads.exists(note.thread_id):
                raise refused(
                    "contents", "The parcel has a note in a thread of another plan."
                ) from None
            self.unit.threads.open(row, note.thread_id, anchor, note)
            return
        if thread.anchor != anchor:
            raise refused("contents", "The parcel has a note about something else than its thread.")
        self.unit.threads.add(row, note)

    def _approves_another(self, row: PlanRow, event: CarriedEvent) -> bool:
        """Return whether an approval is of another revision than the one of its number here."""
        if event.kind != "approved":
            return False
        here = [
            one.sha256
            for one in self.unit.carried.all_revisions(row.id)
            if one.number == event.revision
        ]
        return bool(here) and here[0] != event.body["sha256"]

    def _beside(self, row: PlanRow, event: CarriedEvent, digest: str, what: str) -> bool:
        """Keep a decision of the other side, or another record of one number, as a conflict.

        Of a revision that is in conflict itself it is a part of that conflict.
        """
        about = [
            one.body["id"]
            for one in open_conflicts(self.unit.record.of(row.id))
            if one.body.get("what") == "revision" and one.revision == event.revision
        ]
        body = {
            "id": about[0] if about else f"{what}-{event.revision}-{digest[:32]}",
            "what": what,
            "words": f"{self.peer.name} recorded {event.kind!r} of revision {event.revision}; "
            "both are kept",
            "here": None,
            "other": asdict(event),
            "peer_id": self.peer.id,
            "peer": self.peer.name,
        }
        return note_conflict(self.unit, row, event.revision, body, self.now_utc) is not None


def _event_of(event: CarriedEvent) -> Event:
    """Return an event that came as one of ours."""
    return Event(
        number=event.number,
        revision=event.revision,
        kind=event.kind,
        at_utc=event.at_utc,
        person=Person(name=event.name, rank=event.rank, claimed=event.claimed),
        body=event.body,
    )
