"""Threads, explanations and what the shore says: requests and answers."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas import written
from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.record import ExplanationOut, PersonOut, Said, Words
from wheelover.api.schemas.strict import Strict
from wheelover.core.types import thread
from wheelover.usecases import explanations, shore, threads
from wheelover.usecases.people import Actor

NoteId = Annotated[
    str,
    Field(
        pattern=r"^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$",
        description="A UUID of the sender's own: the same note sent twice is one note",
    ),
]
Revision = Annotated[
    int, Field(ge=1, le=2**31, description="The revision that was read; left out, the draft")
]
FullWords = written.Reason
Side = Literal["ship", "shore"]


class AnchorIn(Strict):
    """What a thread is about. ``id`` is that of the waypoint (for a leg the one it leads to), of
    the finding or danger, a JSON pointer into the inputs, or the input's name in the basis.
    """

    kind: Literal["plan", "waypoint", "leg", "turn", "finding", "hazard", "input"]
    id: Annotated[str, Field(max_length=1000)] = ""

    @model_validator(mode="after")
    def _names_something(self) -> "AnchorIn":
        """Refuse an anchor that names nothing; the plan as a whole has no id."""
        if (self.kind == "plan") != (self.id == ""):
            raise ValueError("id is needed, but for the plan as a whole")
        return self

    def to_core(self) -> thread.Anchor:
        """Return it as the core takes it."""
        return thread.Anchor(kind=self.kind, id=self.id)


class Noted(Said):
    """Something said in a thread, and what was read before. ``side`` is ship where it is left out;
    with accounts it is that of the role.
    """

    id: NoteId | None = None
    revision: Revision | None = None
    side: Side | None = None

    def said(self, actor: Actor, words: str) -> threads.Said:
        """Return it as the use cases take it.

        Raises
        ------
        InvalidInput
            Where nobody is named, or the side is not that of the account.
        """
        return threads.Said(
            words=words,
            person=self.person(actor),
            side=threads.side_of(actor, self.side),
            revision=self.revision,
            note_id=self.id,
        )


class NoteIn(Noted):
    """A note in a thread."""

    words: FullWords


class ThreadIn(NoteIn):
    """A new thread with its first note."""

    anchor: AnchorIn


class ResolveIn(Noted):
    """That a thread is resolved, or open again; words may be left out."""

    words: Words = ""


class ExplanationIn(Said):
    """Why a finding stands as it is. The grade stays."""

    finding_id: Annotated[str, Field(min_length=1, max_length=1000)]
    words: FullWords
    revision: Revision | None = None

    def to_core(self, actor: Actor) -> explanations.Explanation:
        """Return it as the use cases take it."""
        return explanations.Explanation(
            finding_id=self.finding_id,
            words=self.words,
            person=self.person(actor),
            revision=self.revision,
        )


class ExplanationAnswerIn(Said):
    """What the master says to an explanation; not accepted needs its reason in ``words``."""

    answer: Literal["accepted", "not_accepted"]
    words: Words = ""

    def to_core(self, actor: Actor) -> explanations.Answer:
        """Return it as the use cases take it."""
        return explanations.Answer(answer=self.answer, words=self.words, person=self.person(actor))


class ShoreDecisionIn(Said):
    """What the shore says of a revision. A return needs an open thread."""

    kind: Literal["return", "agree", "read"]
    words: Words = ""

    def to_core(self, actor: Actor) -> shore.ShoreDecision:
        """Return it as the use cases take it."""
        return shore.ShoreDecision(kind=self.kind, words=self.words, person=self.person(actor))


class AnchorOut(Answer):
    """What a thread is about, by its stable id."""

    kind: Literal["plan", "waypoint", "leg", "turn", "finding", "hazard", "input"]
    id: str


class ConcernOut(Answer):
    """A change that concerns the subject of a thread, as the differences tell it."""

    id: str
    sentence: str
    follows: str | None


SubjectState = Literal["same", "changed", "gone", "not_known"]


class SubjectSinceOut(Answer):
    """What became of the subject between the revision in which the thread was opened and the
    newest; ``not_known`` while no revision was frozen since a thread on the draft was opened. Of
    many changes the first are given.
    """

    state: SubjectState
    since_revision: int | None
    newest_revision: int | None
    change_count: int
    changes: list[ConcernOut]


class NoteOut(Answer):
    """One note. ``revision`` is what was read, null the draft; ``subject_since`` what became of
    the subject between that revision and the newest.
    """

    id: str
    number: int
    kind: Literal["note", "resolved", "reopened"]
    revision: int | None
    at_utc: str
    by: PersonOut
    side: Side
    words: str
    subject_since: SubjectState


class ThreadOut(Answer):
    """A thread. ``label`` is what its subject is called now; ``index`` its number, from 0."""

    id: str
    plan_id: str
    anchor: AnchorOut
    label: str
    index: int | None
    state: Literal["open", "answered", "resolved", "reopened"]
    revision: int | None
    opened_utc: str
    subject: SubjectSinceOut
    notes: list[NoteOut]


class ThreadList(Answer):
    """The threads of a plan, the one opened first in front; ``waiting_count`` are open ones."""

    plan_id: str
    newest_revision: int | None
    waiting_count: int
    items: list[ThreadOut]
    next_cursor: str | None


class ExplanationList(Answer):
    """The explanations of a plan, or of the findings of one revision."""

    plan_id: str
    revision: int | None
    items: list[ExplanationOut]
    next_cursor: str | None
