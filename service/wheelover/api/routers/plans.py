"""Stored plans: the draft, its steps and what it computes to."""

from typing import Annotated, Any

from fastapi import Depends, Request, Response

from wheelover.api.body import as_model, raw_json, read_model
from wheelover.api.deps import Now, Page, StoreGiven, TagsNeeded, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import NOT_CHANGED, json_body, problem_answers
from wheelover.api.replies import reply, unchanged
from wheelover.api.schemas.departures import DraftDepartures, DraftDeparturesIn
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.record import AmendmentStartIn
from wheelover.api.schemas.stored import AmendedDraft, ComputedDraft, DraftRecord, PlanList
from wheelover.core.utc import seconds_from_utc
from wheelover.usecases import drafts, plan_lists
from wheelover.usecases.amend import amend
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.departures import departures
from wheelover.usecases.drafts import DraftView, draft_document
from wheelover.usecases.gather import Gathered, gather
from wheelover.usecases.plan_route import plan_route

router = guarded(prefix="/api/v1/plans", tags=["plans"])

Document = dict[str, Any]
Raw = Annotated[bytes, Depends(raw_json)]


def _inputs(raw: bytes, store: StoreGiven, who: Who) -> Document:
    """Return the inputs of a body, after it is sure that a plan can be made from them."""
    request, value = read_model(raw, PlanRequest)
    request.to_core(gather(store, value, who.uses))
    inputs: Document = value
    return inputs


def _answer(view: DraftView, status: int = 200) -> Response:
    """Return a draft with its tag."""
    location = f"/api/v1/plans/{view.row.id}" if status == 201 else None
    return reply(draft_document(view), view.tag, status, location)


def compute_document(inputs: Document, gathered: Gathered) -> Document:
    """Return the plan of some inputs and what they point at."""
    return plan_route(as_model(inputs, PlanRequest).to_core(gathered))


def computed(store: StoreGiven, view: DraftView) -> tuple[Document, Gathered]:
    """Return the plan of a draft, and the inputs with what they point at."""
    gathered = gather(store, view.inputs)
    return compute_document(view.inputs, gathered), gathered


@router.post(
    "",
    status_code=201,
    summary="Keep a plan",
    response_class=Response,
    responses={201: {"model": DraftRecord}, **problem_answers(403, 404, 413, 415, 422)},
    openapi_extra=json_body(PlanRequest),
)
def create(raw: Raw, store: StoreGiven, who: Who, now: Now) -> Response:
    """Keep a new plan with these inputs as its draft. Nothing is computed by this."""
    return _answer(drafts.start_plan(store, _inputs(raw, store, who), now, actor=who), 201)


@router.get("", summary="List every plan", response_model=PlanList)
def listed(store: StoreGiven, who: Who, page: Page, in_use: bool = False) -> Document:
    """Return the plans one may see, last changed first, a page at a time.

    With ``in_use`` only those in use, all of them.
    """
    if in_use:
        rows, states = plan_lists.plans_in_use(store, who.vessels)
        following = None
    else:
        rows, states, following = plan_lists.plans_listed(
            store, page.limit, page.before, who.vessels
        )
    return {
        "items": [
            {
                "id": row.id,
                "name": row.name,
                **states[row.id],
                "vessel_id": row.vessel_id,
                "edit": row.edit,
                "demonstration": row.demonstration,
                "created_utc": row.created_utc,
                "changed_utc": row.changed_utc,
                "waypoint_count": row.waypoint_count,
                "revision_count": row.revision,
            }
            for row in rows
        ],
        "next_cursor": None if following is None else str(following),
    }


@router.get(
    "/{plan_id}",
    summary="Read the draft of a plan",
    response_class=Response,
    responses={200: {"model": DraftRecord}, **NOT_CHANGED, **problem_answers(404)},
)
def read(plan_id: str, request: Request, store: StoreGiven) -> Response:
    """Return the draft with its steps and the list of revisions."""
    view = drafts.draft_of(store, plan_id)
    return unchanged(request, view.tag) or _answer(view)


@router.put(
    "/{plan_id}",
    summary="Change the draft of a plan",
    response_class=Response,
    responses={
        200: {"model": DraftRecord},
        **problem_answers(403, 404, 409, 412, 413, 415, 422, 428),
    },
    openapi_extra=json_body(PlanRequest),
)
def edit(
    plan_id: str, raw: Raw, store: StoreGiven, who: Who, tags: TagsNeeded, now: Now
) -> Response:
    """Make a step of the draft, named from what changed. The same inputs again make none."""
    return _answer(drafts.edit_plan(store, plan_id, _inputs(raw, store, who), tags, now, who))


@router.post(
    "/{plan_id}/undo",
    summary="Take the last step back",
    response_class=Response,
    responses={200: {"model": DraftRecord}, **problem_answers(403, 404, 409, 412, 428)},
)
def undo(plan_id: str, store: StoreGiven, who: Who, tags: TagsNeeded, now: Now) -> Response:
    """Take the last step back; it can be made again until another change is made."""
    return _answer(drafts.undo(store, plan_id, tags, now, who))


@router.post(
    "/{plan_id}/redo",
    summary="Make the step again that was taken back",
    response_class=Response,
    responses={200: {"model": DraftRecord}, **problem_answers(403, 404, 409, 412, 428)},
)
def redo(plan_id: str, store: StoreGiven, who: Who, tags: TagsNeeded, now: Now) -> Response:
    """Make the step again that was taken back last."""
    return _answer(drafts.redo(store, plan_id, tags, now, who))


@router.post(
    "/{plan_id}/amendments",
    status_code=201,
    summary="Amend the plan under way",
    response_class=Response,
    responses={
        201: {"model": AmendedDraft},
        **problem_answers(403, 404, 409, 412, 415, 422, 428),
    },
    openapi_extra=json_body(AmendmentStartIn),
)
def start_amendment(
    plan_id: str, raw: Raw, store: StoreGiven, who: Who, tags: TagsNeeded, now: Now
) -> Response:
    """Let the draft start from a position under way, with the reason; freeze it to offer it.

    It starts from the revision in use, else the approved one; 409 asks for ``start_from`` where the
    draft holds edits that it does not. Draughts, zone, tides and streams in force there count from
    the position on; what belongs to waypoints behind is dropped, and named in ``amended``. Where no
    plan can be made from there the answer is 422, and nothing lapses.
    """
    given, _ = read_model(raw, AmendmentStartIn)

    def planned(inputs: Document) -> Document:
        return compute_document(inputs, gather(store, inputs))

    made = amend(store, plan_id, given.to_core(), tags, now, planned, who)
    document = {**draft_document(made.view), "amended": made.document}
    return reply(document, made.view.tag, 201, f"/api/v1/plans/{plan_id}")


@router.get(
    "/{plan_id}/computed",
    summary="Compute the draft of a plan",
    response_class=Response,
    responses={200: {"model": ComputedDraft}, **problem_answers(404, 422)},
)
def compute(plan_id: str, store: StoreGiven) -> Response:
    """Return the plan of the draft as it stands, with the edit it belongs to.

    The ETag is of the answer, not of the draft: another engine may compute it otherwise.
    """
    view = drafts.draft_of(store, plan_id)
    document, _ = computed(store, view)
    whole = {**document, "plan_id": plan_id, "edit": view.row.edit}
    return Response(json_bytes(whole), media_type="application/json")


@router.post(
    "/{plan_id}/departures",
    summary="Re-time the draft of a plan for other departures, store nothing",
    response_class=Response,
    responses={200: {"model": DraftDepartures}, **problem_answers(403, 404, 413, 415, 422)},
    openapi_extra=json_body(DraftDeparturesIn),
)
def move_departure(plan_id: str, raw: Raw, store: StoreGiven) -> Response:
    """Return what ``POST /plan/departures`` answers, of the draft as it stands.

    The draft does not change. A departure that it does not have is none to move.
    """
    request, _ = read_model(raw, DraftDeparturesIn)
    view = drafts.draft_of(store, plan_id)
    inputs = as_model(view.inputs, PlanRequest).to_core(gather(store, view.inputs))
    document = departures(
        inputs,
        [seconds_from_utc(one) for one in request.departures_utc or ()],
        request.shifts_s or (),
        pointer="",
    )
    whole = {**document, "plan_id": plan_id, "edit": view.row.edit}
    return Response(json_bytes(whole), media_type="application/json")
