"""The part of a parcel that says what the others are: plans with their record, and the library.

Everything in it was made by its sender. Documents of revisions and contents of editions stand in
parts of their own, under their sha256; what the recipient has already is not sent again.
"""

from dataclasses import asdict, dataclass
from typing import Any, get_args

import rfc8785

from wheelover.core.errors import UnreadableFile
from wheelover.core.types.thread import AnchorKind, NoteKind
from wheelover.formats.parcel.limits import refused
from wheelover.formats.parcel.shapes import (
    HEX,
    ID,
    MOST_NUMBER,
    UTC,
    WORD,
    Document,
    listed,
    members,
    text,
    truth,
    whole,
    words,
    words_or_none,
)
from wheelover.formats.strict_json import read_json

_MOST_BODY_COUNT = 256 * 1024
_MOST_WORDS_COUNT = 20_000
_KINDS = ("ship", "hazard_set", "limit_set")
ANCHORS = get_args(AnchorKind)
NOTES = get_args(NoteKind)


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedRevision:
    """A frozen revision; its document is the part under ``sha256``."""

    number: int
    sha256: str
    inputs_sha256: str
    engine_version: str
    created_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedEvent:
    """An event of the record as its maker numbers it, without the maker's account."""

    number: int
    revision: int
    kind: str
    at_utc: str
    name: str | None
    rank: str | None
    claimed: bool
    body: Document


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedEdition:
    """An edition of a stored thing; its contents are the part under ``sha256``."""

    kind: str
    id: str
    edition: int
    name: str
    source: str | None
    item_count: int
    sha256: str
    created_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedNote:
    """A note of a thread, with what the thread is about; it was made on the sender's side."""

    id: str
    thread_id: str
    anchor_kind: str
    anchor_id: str
    kind: str
    revision: int
    newest_revision: int
    at_utc: str
    name: str | None
    rank: str | None
    claimed: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedPlan:
    """What is new of a plan. ``others`` are revisions of a number that another one has too."""

    id: str
    revisions: tuple[CarriedRevision, ...] = ()
    others: tuple[CarriedRevision, ...] = ()
    events: tuple[CarriedEvent, ...] = ()
    notes: tuple[CarriedNote, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Index:
    """What a parcel carries."""

    plans: tuple[CarriedPlan, ...] = ()
    library: tuple[CarriedEdition, ...] = ()


def index_bytes(index: Index) -> bytes:
    """Return an index as canonical JSON."""
    return rfc8785.dumps(_plain(asdict(index)))


def event_bytes(event: CarriedEvent) -> bytes:
    """Return an event as canonical JSON, of which its digest is taken."""
    return rfc8785.dumps(_plain(asdict(event)))


def note_bytes(note: CarriedNote) -> bytes:
    """Return a note as canonical JSON, of which its digest is taken."""
    return rfc8785.dumps(asdict(note))


def _plain(value: Any) -> Any:
    """Return values with lists in place of tuples."""
    if isinstance(value, dict):
        return {name: _plain(member) for name, member in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(member) for member in value]
    return value


def read_index(body: bytes) -> Index:
    """Return the index of bytes that came in a parcel.

    Raises
    ------
    ParcelRefused
        For anything but an index.
    """
    try:
        value = members(read_json(body), "plans library")
    except UnreadableFile as error:
        raise refused("schema", f"The parcel's index cannot be read: {error}") from error
    return Index(
        plans=_each_once(tuple(_plan(one) for one in listed(value["plans"]))),
        library=tuple(_edition(one) for one in listed(value["library"])),
    )


def _each_once(plans: tuple[CarriedPlan, ...]) -> tuple[CarriedPlan, ...]:
    """Refuse a plan that is named twice."""
    if len({plan.id for plan in plans}) != len(plans):
        raise refused("schema", "The parcel names a plan twice.")
    return plans


def _plan(value: Any) -> CarriedPlan:
    """Return a plan."""
    plan = members(value, "id revisions others events notes")
    return CarriedPlan(
        id=text(plan["id"], ID),
        revisions=tuple(_revision(one) for one in listed(plan["revisions"])),
        others=tuple(_revision(one) for one in listed(plan["others"])),
        events=tuple(_event(one) for one in listed(plan["events"])),
        notes=tuple(_note(one) for one in listed(plan["notes"])),
    )


def _revision(value: Any) -> CarriedRevision:
    """Return a revision."""
    one = members(value, "number sha256 inputs_sha256 engine_version created_utc")
    return CarriedRevision(
        number=whole(one["number"], 1, MOST_NUMBER),
        sha256=text(one["sha256"], HEX),
        inputs_sha256=text(one["inputs_sha256"], HEX),
        engine_version=words(one["engine_version"], 40),
        created_utc=text(one["created_utc"], UTC),
    )


def _event(value: Any) -> CarriedEvent:
    """Return an event."""
    one = members(value, "number revision kind at_utc name rank claimed body")
    if not isinstance(one["body"], dict) or len(rfc8785.dumps(one["body"])) > _MOST_BODY_COUNT:
        raise refused("schema", "An event in the parcel has no body, or one that is too long.")
    return CarriedEvent(
        number=whole(one["number"], 1, MOST_NUMBER),
        revision=whole(one["revision"], 0, MOST_NUMBER),
        kind=text(one["kind"], WORD),
        at_utc=text(one["at_utc"], UTC),
        name=words_or_none(one["name"]),
        rank=words_or_none(one["rank"], 100),
        claimed=truth(one["claimed"]),
        body=one["body"],
    )


def _note(value: Any) -> CarriedNote:
    """Return a note of a thread."""
    one = members(
        value,
        "id thread_id anchor_kind anchor_id kind revision newest_revision at_utc name rank claimed "
        "words",
    )
    if one["anchor_kind"] not in ANCHORS or one["kind"] not in NOTES:
        raise refused("schema", "The parcel has a note about something that is not known here.")
    return CarriedNote(
        id=text(one["id"], ID),
        thread_id=text(one["thread_id"], ID),
        anchor_kind=one["anchor_kind"],
        anchor_id=words(one["anchor_id"], 1000),
        kind=one["kind"],
        revision=whole(one["revision"], 0, MOST_NUMBER),
        newest_revision=whole(one["newest_revision"], 0, MOST_NUMBER),
        at_utc=text(one["at_utc"], UTC),
        name=words_or_none(one["name"]),
        rank=words_or_none(one["rank"], 100),
        claimed=truth(one["claimed"]),
        words=words(one["words"], _MOST_WORDS_COUNT),
    )


def _edition(value: Any) -> CarriedEdition:
    """Return an edition."""
    one = members(value, "kind id edition name source item_count sha256 created_utc")
    if one["kind"] not in _KINDS:
        raise refused("schema", "The parcel has something in its library that is not known here.")
    return CarriedEdition(
        kind=one["kind"],
        id=text(one["id"], ID),
        edition=whole(one["edition"], 1, MOST_NUMBER),
        name=words(one["name"]),
        source=words_or_none(one["source"]),
        item_count=whole(one["item_count"], 0, MOST_NUMBER),
        sha256=text(one["sha256"], HEX),
        created_utc=text(one["created_utc"], UTC),
    )
