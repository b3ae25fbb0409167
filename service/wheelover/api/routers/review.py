"""Review: threads about one thing of a plan, explanations of findings, what the shore says."""

from typing import Annotated, Any

from fastapi import Depends, Path, Query, Response

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import ONLY_WHAT_WAS_READ, Now, PartGiven, StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.replies import reply
from wheelover.api.routers.plans import computed
from wheelover.api.schemas.record import ExplanationOut, RevisionState
from wheelover.api.schemas.review import (
    ExplanationAnswerIn,
    ExplanationIn,
    ExplanationList,
    NoteIn,
    ResolveIn,
    ShoreDecisionIn,
    ThreadIn,
    ThreadList,
    ThreadOut,
)
from wheelover.core.types.thread import NoteKind
from wheelover.usecases import explanations, threads
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.drafts import draft_of
from wheelover.usecases.people import Actor
from wheelover.usecases.record import record_document
from wheelover.usecases.revisions import revision_document
from wheelover.usecases.shore import shore_decide

router = guarded(prefix="/api/v1/plans/{plan_id}", tags=["review"], dependencies=ONLY_WHAT_WAS_READ)

Document = dict[str, Any]
Raw = Annotated[bytes, Depends(raw_json)]
ThreadId = Annotated[str, Path(max_length=64)]
ExplanationId = Annotated[str, Path(max_length=64)]
RevisionNumber = Annotated[int, Path(ge=1, le=2**31)]
OfRevision = Annotated[
    int | None, Query(ge=1, le=2**31, description="Only findings of this revision, beside them")
]
Answers = dict[int | str, dict[str, Any]]

_THREAD: Answers = {
    200: {"model": ThreadOut, "description": "The note is on record already: nothing was added"},
    201: {"model": ThreadOut},
}


def _draft(store: StoreGiven, plan_id: str) -> Document:
    """Return the draft as it computes now, as a revision would hold it."""
    view = draft_of(store, plan_id)
    result, gathered = computed(store, view)
    return revision_document(plan_id, None, gathered, result, None)


def _made(document: Document, *, new: bool = True) -> Response:
    """Return something that was made, or that was on record already."""
    status = 201 if new else 200
    return Response(json_bytes(document), status, media_type="application/json")


@router.get(
    "/threads",
    summary="List the threads of a plan",
    response_model=ThreadList,
    responses=problem_answers(404, 422),
)
def listed(plan_id: str, store: StoreGiven, part: PartGiven) -> Document:
    """Return every thread with its notes, where it stands, and what became of its subject.

    A thread hangs on a stable id: inserting or renumbering waypoints never moves it. `subject`
    says whether the thing was changed, or is gone, between the revision in which the thread was
    opened and the newest one, with the sentences of the difference; every note says the same since
    the revision it was written on. `label` is what the thing is called now.
    """
    return threads.threads_of(store, plan_id, lambda every: part.of(every, lambda one: one.id))


@router.post(
    "/threads",
    status_code=201,
    summary="Open a thread about one thing of the plan",
    response_class=Response,
    responses={**_THREAD, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(ThreadIn),
)
def start(plan_id: str, raw: Raw, store: StoreGiven, who: Who, now: Now) -> Response:
    """Keep the first note of a thread, on a revision or, without `revision`, on the draft.

    Needs no If-Match: notes are only added. With an `id` of the sender's own a note that is sent
    again, after the link dropped, is answered 200 and kept once.
    """
    given, _ = read_model(raw, ThreadIn)
    said = given.said(who, given.words)
    anchor = given.anchor.to_core()
    document, new = threads.open_thread(
        store, plan_id, anchor, said, now, lambda: _draft(store, plan_id)
    )
    return _made(document, new=new)


@router.post(
    "/threads/{thread_id}/notes",
    status_code=201,
    summary="Say something in a thread",
    response_class=Response,
    responses={**_THREAD, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(NoteIn),
)
def note(
    plan_id: str, thread_id: ThreadId, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Keep a note. By somebody else than who asked it answers; after a resolution it reopens."""
    given, _ = read_model(raw, NoteIn)
    said = given.said(who, given.words)
    document, new = threads.add_note(store, plan_id, thread_id, "note", said, now)
    return _made(document, new=new)


def _settle(
    place: tuple[str, str], raw: bytes, store: StoreGiven, who: Actor, now: str, kind: NoteKind
) -> Response:
    """Keep that a thread is resolved or open again."""
    given, _ = read_model(raw, ResolveIn)
    said = given.said(who, given.words)
    document, new = threads.add_note(store, *place, kind, said, now)
    return _made(document, new=new)


@router.post(
    "/threads/{thread_id}/resolve",
    status_code=201,
    summary="Resolve a thread",
    response_class=Response,
    responses={**_THREAD, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(ResolveIn),
)
def resolve(
    plan_id: str, thread_id: ThreadId, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Keep that a thread is resolved, as a note; 409 where it is already."""
    return _settle((plan_id, thread_id), raw, store, who, now, "resolved")


@router.post(
    "/threads/{thread_id}/reopen",
    status_code=201,
    summary="Open a resolved thread again",
    response_class=Response,
    responses={**_THREAD, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(ResolveIn),
)
def reopen(
    plan_id: str, thread_id: ThreadId, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Keep that a thread is open again, as a note; 409 where it was not resolved."""
    return _settle((plan_id, thread_id), raw, store, who, now, "reopened")


@router.get(
    "/explanations",
    summary="List the explanations of findings",
    response_model=ExplanationList,
    responses=problem_answers(404, 422),
)
def explained(
    plan_id: str, store: StoreGiven, part: PartGiven, revision: OfRevision = None
) -> Document:
    """Return what was written about findings, with the master's answers.

    With `revision` only findings of that revision are listed, and `for_other_numbers` says where
    grade, value or limit of the finding are others there than the explanation was written for.
    """
    whole = explanations.explanations_of(store, plan_id, revision)
    items, following = part.of(whole["items"], lambda one: str(one["id"]))
    return {**whole, "items": items, "next_cursor": following}


@router.post(
    "/explanations",
    status_code=201,
    summary="Explain a finding",
    response_class=Response,
    responses={201: {"model": ExplanationOut}, **problem_answers(403, 404, 415, 422)},
    openapi_extra=json_body(ExplanationIn),
)
def explain(plan_id: str, raw: Raw, store: StoreGiven, who: Who, now: Now) -> Response:
    """Record why a finding stands as it is; its grade stays. A later one stands beside it."""
    given, _ = read_model(raw, ExplanationIn)
    document = explanations.explain(
        store, plan_id, given.to_core(who), now, lambda: _draft(store, plan_id)
    )
    return _made(document)


@router.post(
    "/explanations/{explanation_id}/answers",
    status_code=201,
    summary="Accept an explanation, or not",
    response_class=Response,
    responses={201: {"model": ExplanationOut}, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(ExplanationAnswerIn),
)
def answer(
    plan_id: str, explanation_id: ExplanationId, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Record the master's answer to the last explanation of a finding."""
    given, _ = read_model(raw, ExplanationAnswerIn)
    document = explanations.answer_explanation(
        store, plan_id, explanation_id, given.to_core(who), now
    )
    return _made(document)


@router.post(
    "/revisions/{number}/shore-decisions",
    status_code=201,
    summary="Say from ashore: return, agree, or only read",
    response_class=Response,
    responses={201: {"model": RevisionState}, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(ShoreDecisionIn),
)
def shore(
    plan_id: str, number: RevisionNumber, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Record what the shore says, in whatever state the revision is.

    It stands beside the master's decision and never holds it up: only the master approves. A
    return needs at least one open thread.
    """
    given, _ = read_model(raw, ShoreDecisionIn)
    view = shore_decide(store, plan_id, number, given.to_core(who), now)
    return reply(record_document(view), view.tag, 201)
