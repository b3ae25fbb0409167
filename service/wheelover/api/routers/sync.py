"""Of a plan: what is where, and what two sides hold differently."""

from typing import Annotated, Any

from fastapi import Depends, Path, Response

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import ONLY_WHAT_WAS_READ, Now, StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.replies import reply
from wheelover.api.schemas.parcels import ConflictList, SettlementIn, SyncOut
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.parcels import conflicts
from wheelover.usecases.parcels.sync import sync_of

router = guarded(
    prefix="/api/v1/plans/{plan_id}", tags=["parcels"], dependencies=ONLY_WHAT_WAS_READ
)

Document = dict[str, Any]
Raw = Annotated[bytes, Depends(raw_json)]
ConflictId = Annotated[str, Path(max_length=200)]
Digest = Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]


@router.get(
    "/sync",
    summary="Read what of a plan is on which side",
    response_class=Response,
    responses={200: {"model": SyncOut}, **problem_answers(404)},
)
def sync(plan_id: str, store: StoreGiven) -> Response:
    """Return for each revision and event: on this side only, sent, or received."""
    return Response(content=json_bytes(sync_of(store, plan_id)), media_type="application/json")


@router.get(
    "/conflicts",
    summary="List what two sides hold differently",
    response_class=Response,
    responses={200: {"model": ConflictList}, **problem_answers(404)},
)
def listed(plan_id: str, store: StoreGiven) -> Response:
    """Return the open conflicts. Both sides of each are kept; an approval it touches lapsed."""
    return Response(
        content=json_bytes(conflicts.conflicts_of(store, plan_id)), media_type="application/json"
    )


@router.post(
    "/conflicts/{conflict_id}",
    summary="Settle a conflict",
    response_class=Response,
    responses={200: {"model": ConflictList}, **problem_answers(403, 404, 409, 415, 422)},
    openapi_extra=json_body(SettlementIn),
)
def settle(
    plan_id: str, conflict_id: ConflictId, raw: Raw, store: StoreGiven, who: Who, now: Now
) -> Response:
    """Record what the master picks, at the plan's home. Nothing is merged."""
    given, _ = read_model(raw, SettlementIn)
    found = conflicts.settle(
        store, plan_id, conflict_id, given.pick, given.person(who), given.words, now
    )
    return Response(content=json_bytes(found), media_type="application/json")


@router.get(
    "/other-revisions/{sha256}",
    summary="Read a revision whose number another one has",
    response_class=Response,
    responses={200: {"content": {"application/json": {}}}, **problem_answers(404, 422)},
)
def other(plan_id: str, sha256: Digest, store: StoreGiven) -> Response:
    """Return the canonical document under that digest, as the other side froze it."""
    body = conflicts.other_revision(store, plan_id, sha256)
    return reply(body, f'"{sha256}"', lasting=True)
