"""What is recorded beside a frozen revision: requests and answers."""

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, Discriminator, Field, Tag

from wheelover.api.schemas import written
from wheelover.api.schemas.strict import Latitude, Longitude, Strict, Word
from wheelover.api.schemas.utc import utc_time
from wheelover.core.types.people import Person
from wheelover.usecases import people
from wheelover.usecases.amend import Amendment
from wheelover.usecases.decisions import Decision, LogLine, Reason

Words = Annotated[str, Field(max_length=4000)]
Utc = Annotated[str, AfterValidator(utc_time)]


class ByIn(Strict):
    """Who does it, as typed: name and rank are recorded and printed as claimed."""

    name: written.PersonName
    rank: written.Rank

    def to_core(self) -> people.By:
        """Return it as the use cases take it."""
        return people.By(name=self.name, rank=self.rank)


class ByAccountIn(Strict):
    """Who does it, where people sign in: the password again, or another account with its own.

    An account that signs in from ashore gives a one-time code too.
    """

    account: Annotated[str, Field(min_length=1, max_length=64)] | None = None
    password: Annotated[str, Field(max_length=1024)]
    code: Annotated[str, Field(max_length=20, description="One-time code")] | None = None

    def to_core(self) -> people.By:
        """Return it as the use cases take it."""
        return people.By(account=self.account, password=self.password, code=self.code)


def _kind_of_by(value: Any) -> str:
    """Return which way of saying who it was is meant."""
    by_account = isinstance(value, ByAccountIn) or (
        isinstance(value, dict) and bool({"account", "password", "code"} & value.keys())
    )
    return "account" if by_account else "typed"


SaidBy = Annotated[
    Annotated[ByIn, Tag("typed")] | Annotated[ByAccountIn, Tag("account")],
    Discriminator(_kind_of_by),
]


class Said(Strict):
    """Something that somebody does, and by whom."""

    by: SaidBy | None = None

    def person(self, actor: people.Actor) -> Person:
        """Return the person to record.

        Raises
        ------
        InvalidInput
            Where nobody is named.
        """
        return people.person_for(actor, None if self.by is None else self.by.to_core())


class OfferIn(Said):
    """An offer to the master: who made the plan, and what he or she says with it."""

    words: Words = ""


class ReasonIn(Strict):
    """The master's written reason for one open item, or for several of one cause."""

    items: Annotated[list[Annotated[str, Field(max_length=1000)]], Field(min_length=1)]
    words: written.Reason


class DecisionIn(Said):
    """What the master decides; ``reasons`` answer every open item of an approval."""

    kind: Literal["approve", "return", "take_into_use", "close"]
    words: Words = ""
    reasons: Annotated[list[ReasonIn], Field(max_length=5000, default_factory=list)]

    def to_core(self) -> Decision:
        """Return it as the use cases take it."""
        reasons = tuple(Reason(items=tuple(one.items), words=one.words) for one in self.reasons)
        return Decision(kind=self.kind, words=self.words, reasons=reasons)


class SignedIn(Said):
    """A second person's check, or a watch-keeper's signature."""

    words: Words = ""


class CourseIn(Said):
    """The course of the leg that leads to a waypoint was verified."""

    to_id: Word


class LogLineIn(Said):
    """An actual time at a waypoint, or a remark, or both."""

    words: Words = ""
    waypoint_id: Word | None = None
    actual_utc: Utc | None = None

    def to_core(self) -> LogLine:
        """Return it as the use cases take it."""
        return LogLine(words=self.words, waypoint_id=self.waypoint_id, actual_utc=self.actual_utc)


class AmendmentStartIn(Strict):
    """From where a plan is amended under way, to which waypoint she sails from there, and why.

    ``at_utc`` is when she is at the position, needed where the plan has a departure or an ETA; it
    becomes the departure of the amended route. What is amended is the revision in use, else the
    approved one. Where the draft holds edits that it does not, ``start_from`` says which of both.
    """

    kind: Literal["deviation", "pilot"] = "deviation"
    reason: written.ShortReason
    lat_deg: Latitude
    lon_deg: Longitude
    next_waypoint_id: Word
    at_utc: Utc | None = None
    start_from: Literal["revision", "draft"] | None = None

    def to_core(self) -> Amendment:
        """Return it as the use cases take it."""
        return Amendment(**self.model_dump())


class PersonOut(BaseModel):
    """Who did something; ``claimed``: typed, and checked by nobody."""

    name: str | None
    rank: str | None
    account_id: str | None
    claimed: bool


class EventOut(BaseModel):
    """One thing recorded. More members belong to its kind."""

    number: int
    kind: str
    at_utc: str
    by: PersonOut


class WrittenForOut(BaseModel):
    """The numbers of a finding that an explanation was written for."""

    grade: str
    measured: float | None
    limit: float | None
    unit: str | None


class ExplanationAnswerOut(BaseModel):
    """What the master said to an explanation."""

    number: int
    answer: Literal["accepted", "not_accepted"]
    words: str
    by: PersonOut
    at_utc: str


class ExplanationOut(BaseModel):
    """An explanation of a finding. ``for_other_numbers`` is true where grade, value or limit of
    the finding are others in the revision asked for; ``current`` is the last one of its finding.
    """

    id: str
    number: int
    finding_id: str
    message: str
    words: str
    by: PersonOut
    at_utc: str
    revision: int | None
    written_for: WrittenForOut
    for_other_numbers: bool | None
    current: bool
    answer: ExplanationAnswerOut | None


class MarkOut(BaseModel):
    """A mark beside the state."""

    mark: Literal["inputs_changed_since", "stale", "noted"]
    id: str
    words: str


class WarningOut(BaseModel):
    """What whoever reads the record must see of how the approval came about."""

    code: Literal[
        "approved_by_author",
        "author_not_named",
        "approval_claimed",
        "not_checked_by_second_person",
    ]
    words: str


class OpenItemOut(BaseModel):
    """Something that an approval needs a written reason for; one may serve all of a ``cause``."""

    id: str
    kind: Literal["must_resolve", "not_checked", "changed"]
    cause: str
    message: str


class ApprovalOut(EventOut):
    """The approval on record; ``stands`` is false once inputs have changed since."""

    stands: bool
    sha256: str
    inputs_sha256: str
    engine: str
    reasons: list[dict[str, Any]]
    words: str
    lapsed_by: list[EventOut]


class RevisionState(BaseModel):
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
    approval: ApprovalOut | None
    marks: list[MarkOut]
    warnings: list[WarningOut]
    open_items: list[OpenItemOut]
    author: PersonOut
    decisions: list[EventOut]
    lapses: list[EventOut]
    notes: list[EventOut]
    checks: list[EventOut]
    sign_offs: list[EventOut]
    verified_courses: list[EventOut]
    log: list[EventOut]
    explanations: list[ExplanationOut]
    shore: list[EventOut]


class RecomputedOut(BaseModel):
    """A frozen result beside what its inputs compute to now."""

    plan_id: str
    revision: int
    same: bool
    engine: str
    made_by: str
    difference_count: int
    differences: list[dict[str, Any]]


class AuditLine(BaseModel):
    """One entry of the audit log with the hash that chains it to the one before."""

    number: int
    hash: str
    entry: dict[str, Any]


class AuditList(BaseModel):
    """A page of a vessel's audit log, newest first."""

    vessel_id: str
    items: list[AuditLine]
    next_cursor: str | None
