"""What the service answers as types, made by ``tests.client.make_types``."""

from typing import Any, Literal, TypedDict


class AnchorOut(TypedDict):
    """What a thread is about, by its stable id."""

    kind: Literal["plan", "waypoint", "leg", "turn", "finding", "hazard", "input"]
    id: str


class ApprovalOut(TypedDict):
    """The approval on record; ``stands`` is false once inputs have changed since."""

    number: int
    kind: str
    at_utc: str
    by: "PersonOut"
    stands: bool
    sha256: str
    inputs_sha256: str
    engine: str
    reasons: list[dict[str, Any]]
    words: str
    lapsed_by: list["EventOut"]


class ClockOut(TypedDict):
    """How far the clock of a peer is off ours, where that is over 120 s; positive: ahead."""

    skew_s: int
    noted_utc: str
    words: str


class ConcernOut(TypedDict):
    """A change that concerns the subject of a thread, as the differences tell it."""

    id: str
    sentence: str
    follows: str | None


class ConflictList(TypedDict):
    """The open conflicts of a plan, and the revisions whose numbers others have."""

    plan_id: str
    conflicts: list["ConflictOut"]
    other_revisions: list[dict[str, Any]]


class ConflictOut(TypedDict):
    """Something that two sides hold differently. Both are kept; more members say what."""

    id: str
    what: Literal["revision", "decision", "record", "library"]
    revision: int
    words: str
    found_utc: str
    parts: list[Any]


class EventOut(TypedDict):
    """One thing recorded. More members belong to its kind."""

    number: int
    kind: str
    at_utc: str
    by: "PersonOut"


class ExplanationAnswerOut(TypedDict):
    """What the master said to an explanation."""

    number: int
    answer: Literal["accepted", "not_accepted"]
    words: str
    by: "PersonOut"
    at_utc: str


class ExplanationOut(TypedDict):
    """An explanation of a finding. ``for_other_numbers`` is true where grade, value or limit of
    the finding are others in the revision asked for; ``current`` is the last one of its
    finding.
    """

    id: str
    number: int
    finding_id: str
    message: str
    words: str
    by: "PersonOut"
    at_utc: str
    revision: int | None
    written_for: "WrittenForOut"
    for_other_numbers: bool | None
    current: bool
    answer: "ExplanationAnswerOut | None"


class MarkOut(TypedDict):
    """A mark beside the state."""

    mark: Literal["inputs_changed_since", "stale", "noted"]
    id: str
    words: str


class NoteOut(TypedDict):
    """One note. ``revision`` is what was read, null the draft; ``subject_since`` what became of
    the subject between that revision and the newest.
    """

    id: str
    number: int
    kind: Literal["note", "resolved", "reopened"]
    revision: int | None
    at_utc: str
    by: "PersonOut"
    side: Literal["ship", "shore"]
    words: str
    subject_since: Literal["same", "changed", "gone", "not_known"]


class OpenItemOut(TypedDict):
    """Something that an approval needs a written reason for; one may serve all of a ``cause``."""

    id: str
    kind: Literal["must_resolve", "not_checked", "changed"]
    cause: str
    message: str


class ParcelOut(TypedDict):
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


class ParcelTaken(TypedDict):
    """What became of a parcel; ``released`` are those that waited for it and were taken after."""

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
    released: list[int]


class PeerOut(TypedDict):
    """A peer. ``vessel_id`` is the vessel here to which its plans belong."""

    id: str
    name: str
    side: Literal["ship", "shore"]
    vessel_id: str
    state: Literal["paired", "revoked"]
    fingerprint: str | None
    paired_utc: str
    revoked_utc: str | None
    pushed: bool
    clock: "ClockOut | None"
    plans: list[str]


class PersonOut(TypedDict):
    """Who did something; ``claimed``: typed, and checked by nobody."""

    name: str | None
    rank: str | None
    account_id: str | None
    claimed: bool


class RevisionState(TypedDict):
    """A revision with everything recorded beside it."""

    plan_id: str
    name: str
    revision: int
    newest_revision: int
    sha256: str
    inputs_sha256: str
    engine_version: str
    demonstration: bool
    state: Literal["offered", "returned", "approved", "in_use", "closed"]
    counts_as_approved: bool
    approval: "ApprovalOut | None"
    marks: list["MarkOut"]
    warnings: list["WarningOut"]
    open_items: list["OpenItemOut"]
    author: "PersonOut"
    decisions: list["EventOut"]
    lapses: list["EventOut"]
    notes: list["EventOut"]
    checks: list["EventOut"]
    sign_offs: list["EventOut"]
    verified_courses: list["EventOut"]
    log: list["EventOut"]
    explanations: list["ExplanationOut"]
    shore: list["EventOut"]


class SubjectSinceOut(TypedDict):
    """What became of the subject between the revision in which the thread was opened and the
    newest; ``not_known`` while no revision was frozen since a thread on the draft was opened.
    Of many changes the first are given.
    """

    state: Literal["same", "changed", "gone", "not_known"]
    since_revision: int | None
    newest_revision: int | None
    change_count: int
    changes: list["ConcernOut"]


class SyncLine(TypedDict):
    """Where a revision or an event is, and since when."""

    number: int
    state: Literal["on_this_side_only", "sent", "received"]
    at_utc: str | None


class SyncNote(TypedDict):
    """Where a note of a thread is, and since when."""

    id: str
    thread_id: str
    state: Literal["on_this_side_only", "sent", "received"]
    at_utc: str | None


class SyncOut(TypedDict):
    """Where everything of a plan is; ``home`` is the peer it came from, null for our own."""

    plan_id: str
    home: dict[str, Any] | None
    conflicts: list["ConflictOut"]
    here: dict[str, Any] | None
    peers: list["SyncPeer"]


class SyncPeer(TypedDict):
    """Where everything of a plan is, as far as one peer goes."""

    id: str
    name: str
    side: Literal["ship", "shore"]
    state: Literal["paired", "revoked"]
    revisions: list["SyncLine"]
    events: list["SyncLine"]
    notes: list["SyncNote"]


class ThreadOut(TypedDict):
    """A thread. ``label`` is what its subject is called now; ``index`` its number, from 0."""

    id: str
    plan_id: str
    anchor: "AnchorOut"
    label: str
    index: int | None
    state: Literal["open", "answered", "resolved", "reopened"]
    revision: int | None
    opened_utc: str
    subject: "SubjectSinceOut"
    notes: list["NoteOut"]


class WarningOut(TypedDict):
    """What whoever reads the record must see of how the approval came about."""

    code: Literal[
        "approved_by_author", "author_not_named", "approval_claimed", "not_checked_by_second_person"
    ]
    words: str


class WrittenForOut(TypedDict):
    """The numbers of a finding that an explanation was written for."""

    grade: str
    measured: float | None
    limit: float | None
    unit: str | None
