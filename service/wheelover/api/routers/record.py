"""What people do with a frozen revision, and the record of it."""

from typing import Annotated, Any

from fastapi import Depends, Path, Request, Response

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import ONLY_WHAT_WAS_READ, Now, StoreGiven, TagsNeeded, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import NOT_CHANGED, json_body, problem_answers
from wheelover.api.replies import reply, unchanged
from wheelover.api.routers.plans import compute_document
from wheelover.api.schemas.record import (
    CourseIn,
    DecisionIn,
    LogLineIn,
    RecomputedOut,
    RevisionState,
    SignedIn,
)
from wheelover.usecases import decisions
from wheelover.usecases.recompute import recomputed
from wheelover.usecases.record import RecordView, record_document, record_of

router = guarded(
    prefix="/api/v1/plans/{plan_id}/revisions/{number}",
    tags=["record"],
    dependencies=ONLY_WHAT_WAS_READ,
)

Number = Annotated[int, Path(ge=1, le=2**31)]
Raw = Annotated[bytes, Depends(raw_json)]
Answers = dict[int | str, dict[str, Any]]

_MADE: Answers = {201: {"model": RevisionState}}


def _answer(view: RecordView, status: int = 201) -> Response:
    """Return the record of a revision with its tag."""
    return reply(record_document(view), view.tag, status)


@router.get(
    "/record",
    summary="Read what is recorded beside a revision",
    response_class=Response,
    responses={200: {"model": RevisionState}, **NOT_CHANGED, **problem_answers(404, 422)},
)
def read(plan_id: str, number: Number, request: Request, store: StoreGiven) -> Response:
    """Return state, marks, open items, decisions, checks, signatures and log."""
    view = record_of(store, plan_id, number)
    return unchanged(request, view.tag) or _answer(view, 200)


@router.post(
    "/decisions",
    status_code=201,
    summary="Decide: approve, return, take into use or close",
    response_class=Response,
    responses={**_MADE, **problem_answers(403, 404, 409, 412, 415, 422, 428)},
    openapi_extra=json_body(DecisionIn),
)
def decide(
    plan_id: str,
    number: Number,
    raw: Raw,
    store: StoreGiven,
    who: Who,
    tags: TagsNeeded,
    now: Now,
) -> Response:
    """Record the master's decision. If-Match holds the ETag of the revision that was read.

    An approval needs a written reason for every open item; 409 names those without one. Items of
    one ``cause`` may share a reason; one for items of several is refused, naming the causes.
    """
    given, _ = read_model(raw, DecisionIn)
    person = given.person(who)
    made = decisions.decide(store, plan_id, number, given.to_core(), person, tags, now)
    return _answer(made)


@router.post(
    "/checks",
    status_code=201,
    summary="Check as a second person",
    response_class=Response,
    responses={**_MADE, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(SignedIn),
)
def check(
    plan_id: str, number: Number, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Record a check by somebody else than the author."""
    given, _ = read_model(raw, SignedIn)
    person = given.person(who)
    return _answer(decisions.check(store, plan_id, number, person, given.words, now))


@router.post(
    "/sign-offs",
    status_code=201,
    summary="Sign as a watch-keeper who has read it",
    response_class=Response,
    responses={**_MADE, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(SignedIn),
)
def sign_off(
    plan_id: str, number: Number, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Record a watch-keeper's signature under an approved revision."""
    given, _ = read_model(raw, SignedIn)
    person = given.person(who)
    return _answer(decisions.sign_off(store, plan_id, number, person, given.words, now))


@router.post(
    "/verified-courses",
    status_code=201,
    summary="Verify the course of a leg before it is followed",
    response_class=Response,
    responses={**_MADE, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(CourseIn),
)
def verify(
    plan_id: str, number: Number, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Record that the officer of the watch verified a course (STCW A-VIII/2)."""
    given, _ = read_model(raw, CourseIn)
    person = given.person(who)
    return _answer(decisions.verify_course(store, plan_id, number, person, given.to_id, now))


@router.post(
    "/log",
    status_code=201,
    summary="Keep an actual time or a remark beside the revision",
    response_class=Response,
    responses={**_MADE, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(LogLineIn),
)
def keep_log(
    plan_id: str, number: Number, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Keep a line of the log; the revision never changes by it."""
    given, _ = read_model(raw, LogLineIn)
    person = given.person(who)
    return _answer(decisions.keep_log(store, plan_id, number, person, given.to_core(), now))


@router.get(
    "/recomputed",
    summary="Compute a revision again and compare",
    response_model=RecomputedOut,
    responses=problem_answers(404, 422),
)
def recompute(plan_id: str, number: Number, store: StoreGiven) -> dict[str, Any]:
    """Return whether this engine makes the frozen result of the frozen inputs, byte for byte."""
    found = recomputed(store, plan_id, number, compute_document)
    return {
        "plan_id": plan_id,
        "revision": number,
        "same": found.same,
        "engine": found.engine,
        "made_by": found.made_by,
        "difference_count": found.difference_count,
        "differences": list(found.differences),
    }
