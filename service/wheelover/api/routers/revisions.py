"""Frozen revisions of a plan."""

import base64
from typing import Annotated, Any

from fastapi import Depends, Path, Request, Response

from wheelover.api.body import raw_if_given, read_model
from wheelover.api.deps import ONLY_WHAT_WAS_READ, Now, Page, StoreGiven, TagsIfGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import NOT_CHANGED, json_body, problem_answers
from wheelover.api.replies import reply, unchanged
from wheelover.api.routers.plans import computed
from wheelover.api.schemas.record import OfferIn
from wheelover.api.schemas.stored import RevisionList, RevisionRecord
from wheelover.usecases import revisions
from wheelover.usecases.drafts import draft_of, revision_line
from wheelover.usecases.pen import require_free
from wheelover.usecases.people import named_or_nobody

router = guarded(
    prefix="/api/v1/plans/{plan_id}/revisions", tags=["plans"], dependencies=ONLY_WHAT_WAS_READ
)

RawIfGiven = Annotated[bytes | None, Depends(raw_if_given)]
Number = Annotated[int, Path(ge=1, le=2**31)]


@router.post(
    "",
    status_code=201,
    summary="Freeze the draft as the next revision",
    response_class=Response,
    responses={201: {"model": RevisionRecord}, **problem_answers(403, 404, 409, 412, 415, 422)},
    openapi_extra=json_body(OfferIn, required=False),
)
def freeze(
    plan_id: str, raw: RawIfGiven, store: StoreGiven, who: Who, tags: TagsIfGiven, now: Now
) -> Response:
    """Freeze inputs and result, and offer them to the master.

    A revision never changes; undo reaches no further back than it. The body may be left out: then
    nobody is named as the author, and no second person can check it.
    """
    with store.reading() as unit:
        require_free(unit.plans.get(plan_id), who.person)
    given = OfferIn() if raw is None else read_model(raw, OfferIn)[0]
    person = named_or_nobody(who, None if given.by is None else given.by.to_core())
    draft = draft_of(store, plan_id)
    result, gathered = computed(store, draft)
    made = revisions.freeze(store, draft, gathered, result, tags, now, person, given.words)
    place = f"/api/v1/plans/{plan_id}/revisions/{made.row.number}"
    return reply(revisions.revision_bytes(made), made.tag, 201, place)


@router.get(
    "",
    summary="List the revisions of a plan",
    response_model=RevisionList,
    responses=problem_answers(404, 422),
)
def listed(plan_id: str, store: StoreGiven, page: Page) -> dict[str, Any]:
    """Return the revisions, newest first, a page at a time."""
    rows, following = revisions.revisions_listed(store, plan_id, page.limit, page.before)
    return {
        "items": [revision_line(row) for row in rows],
        "next_cursor": None if following is None else str(following),
    }


@router.get(
    "/{number}",
    summary="Read a revision",
    response_class=Response,
    responses={200: {"model": RevisionRecord}, **NOT_CHANGED, **problem_answers(404, 422)},
)
def read(plan_id: str, number: Number, request: Request, store: StoreGiven) -> Response:
    """Return a revision: the canonical document that its digest is taken of, and the digest."""
    found = revisions.revision_of(store, plan_id, number)
    held = unchanged(request, found.tag)
    return held or reply(revisions.revision_bytes(found), found.tag, lasting=True)


@router.get(
    "/{number}/document",
    summary="Read the frozen bytes of a revision",
    response_class=Response,
    responses={
        200: {
            "description": "The bytes that the sha256 of the revision is taken of",
            "content": {"application/json": {"schema": {"type": "object"}}},
            "headers": {
                "Repr-Digest": {
                    "description": "Their sha256 as RFC 9530 writes it: sha-256=:...:",
                    "schema": {"type": "string"},
                }
            },
        },
        **NOT_CHANGED,
        **problem_answers(404, 422),
    },
)
def document(plan_id: str, number: Number, request: Request, store: StoreGiven) -> Response:
    """Return the canonical document itself, nothing before it and not packed: anybody can hash it.

    Its ETag is its sha256 in hex, which an approval binds to.
    """
    found = revisions.revision_of(store, plan_id, number)
    digest = base64.b64encode(bytes.fromhex(found.row.sha256)).decode()
    answer = unchanged(request, found.tag) or reply(found.body, found.tag, lasting=True)
    answer.headers["Repr-Digest"] = f"sha-256=:{digest}:"
    return answer
