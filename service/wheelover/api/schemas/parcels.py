"""Parcels and peers: requests and answers."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from wheelover.api.schemas.record import Said, Words
from wheelover.api.schemas.strict import Strict, Word
from wheelover.formats.parcel import LIMITS
from wheelover.usecases.parcels.pairing import Card

Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9._-]{1,64}$")]
Side = Literal["ship", "shore"]


class SelfIn(Strict):
    """What this installation is called on the other side, and on which side it is."""

    name: Word
    side: Side


class NewKeyIn(Strict):
    """A new key; ``lost`` says that the old one may be in other hands and signs nothing more."""

    lost: bool = False


class PeerIn(Said):
    """The card of another installation, and its fingerprint as it was read by voice."""

    format: Literal["wheelover-peer"] = "wheelover-peer"
    id: Id
    name: Word
    side: Side
    public_key: Digest
    fingerprint: Annotated[str, Field(min_length=40, max_length=80, pattern=r"^[0-9 -]+$")]
    vessel_id: Id | None = None

    def card(self) -> Card:
        """Return the card."""
        return Card(id=self.id, name=self.name, side=self.side, public_key=self.public_key)


class ParcelStartIn(Said):
    """Which plans go to a peer from now on, and since when the peer lacks what is sent."""

    plans: Annotated[list[Id], Field(max_length=1000, default_factory=list)]
    since: Literal["last", "acknowledged", "nothing"] = "last"


class UploadIn(Strict):
    """A parcel that comes in chunks: its size in bytes and its sha256."""

    size_count: Annotated[int, Field(ge=1, le=LIMITS.parcel_count)]
    sha256: Digest


class SettlementIn(Said):
    """What the master picks of a conflict."""

    pick: Literal["here", "other"]
    words: Words = ""


class SelfOut(BaseModel):
    """The card of this installation; the fingerprint is read aloud to whoever pairs with it."""

    format: Literal["wheelover-peer"]
    id: str
    name: str
    side: Side
    public_key: str
    fingerprint: str


class ClockOut(BaseModel):
    """How far the clock of a peer is off ours, where that is over 120 s; positive: ahead."""

    skew_s: int
    noted_utc: str
    words: str


class PeerOut(BaseModel):
    """A peer. ``vessel_id`` is the vessel here to which its plans belong."""

    id: str
    name: str
    side: Side
    vessel_id: str
    state: Literal["paired", "revoked"]
    fingerprint: str | None
    paired_utc: str
    revoked_utc: str | None
    pushed: bool
    clock: ClockOut | None
    plans: list[str]


class ParcelOut(BaseModel):
    """A parcel made for a peer. Its bytes are found under ``href`` until they are received."""

    peer_id: str
    sequence: int
    state: Literal["sent", "received"]
    size_count: int
    sha256: str
    manifest_sha256: str
    previous_sha256: str | None
    made_utc: str
    pushed_utc: str | None
    acknowledged_utc: str | None
    carries: dict[str, Any]
    href: str


class ParcelCame(BaseModel):
    """A parcel that came from a peer."""

    peer_id: str
    sequence: int
    state: Literal["taken", "already_taken", "held"]
    size_count: int
    sha256: str
    manifest_sha256: str
    previous_sha256: str | None
    received_utc: str
    taken_utc: str | None
    clock_skew_s: int | None
    carries: dict[str, Any]


class ParcelTaken(ParcelCame):
    """What became of a parcel; ``released`` are those that waited for it and were taken after."""

    released: list[int]


class PeerRecord(PeerOut):
    """A peer with the parcels made for it and those that came from it."""

    sent: list[ParcelOut]
    came: list[ParcelCame]


class PeerList(BaseModel):
    """Every peer."""

    items: list[PeerOut]
    next_cursor: str | None


class UploadOut(BaseModel):
    """An upload: its chunks are counted from 0; ``missing`` are those that are not here yet."""

    id: str
    size_count: int
    chunk_size_count: int
    chunks_count: int
    missing: list[int]
    begun_utc: str
    state: Literal["pending", "already_taken"]


class ConflictOut(BaseModel):
    """Something that two sides hold differently. Both are kept; more members say what."""

    id: str
    what: Literal["revision", "decision", "record", "library"]
    revision: int
    words: str
    found_utc: str
    parts: list[Any]


class ConflictList(BaseModel):
    """The open conflicts of a plan, and the revisions whose numbers others have."""

    plan_id: str
    conflicts: list[ConflictOut]
    other_revisions: list[dict[str, Any]]


class SyncLine(BaseModel):
    """Where a revision or an event is, and since when."""

    number: int
    state: Literal["on_this_side_only", "sent", "received"]
    at_utc: str | None


class SyncNote(BaseModel):
    """Where a note of a thread is, and since when."""

    id: str
    thread_id: str
    state: Literal["on_this_side_only", "sent", "received"]
    at_utc: str | None


class SyncPeer(BaseModel):
    """Where everything of a plan is, as far as one peer goes."""

    id: str
    name: str
    side: Side
    state: Literal["paired", "revoked"]
    revisions: list[SyncLine]
    events: list[SyncLine]
    notes: list[SyncNote]


class SyncOut(BaseModel):
    """Where everything of a plan is; ``home`` is the peer it came from, null for our own."""

    plan_id: str
    home: dict[str, Any] | None
    conflicts: list[ConflictOut]
    here: dict[str, Any] | None
    peers: list[SyncPeer]
