"""Planning a route; nothing is stored."""

from typing import Annotated

from fastapi import Depends, Request, Response

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.rates import LAYING, count
from wheelover.api.schemas.departures import DeparturesAnswer, DeparturesRequest
from wheelover.api.schemas.moved import MovedAnswer, MovedRequest
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.plan_response import PlanResponse
from wheelover.api.schemas.turn_card import TurnCardAnswer, TurnCardRequest
from wheelover.core.types.route import Position
from wheelover.core.utc import seconds_from_utc
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.departures import departures
from wheelover.usecases.gather import gather
from wheelover.usecases.moved_waypoint import check_moved
from wheelover.usecases.plan_route import plan_route
from wheelover.usecases.turn_card import turn_card

router = guarded(prefix="/api/v1", tags=["plan"])


@router.post(
    "/plan",
    summary="Compute a plan, store nothing",
    response_class=Response,
    responses={200: {"model": PlanResponse}, **problem_answers(403, 404, 413, 415, 422)},
    openapi_extra=json_body(PlanRequest),
)
def plan(raw: Annotated[bytes, Depends(raw_json)], store: StoreGiven, who: Who) -> Response:
    """Return the plan of a route: legs, turns, wheel-overs, clearances, findings and layers.

    A danger on the track is a finding in a plan; a mistake in the request is a problem document.
    """
    request, value = read_model(raw, PlanRequest)
    document = plan_route(request.to_core(gather(store, value, who.vessels)))
    return Response(content=json_bytes(document), media_type="application/json")


@router.post(
    "/turns/card",
    summary="Compute the card of one turn, as planned or tried otherwise, store nothing",
    response_class=Response,
    responses={200: {"model": TurnCardAnswer}, **problem_answers(403, 404, 413, 415, 422)},
    openapi_extra=json_body(TurnCardRequest),
)
def card(raw: Annotated[bytes, Depends(raw_json)], store: StoreGiven, who: Who) -> Response:
    """Return one turn with every method, her run, the swept hull, the window and the band.

    What is tried changes nothing in the plan.
    """
    request, value = read_model(raw, TurnCardRequest)
    inputs = request.plan.to_core(gather(store, value["plan"], who.vessels))
    tried = None if request.tried is None else request.tried.to_core()
    document = turn_card(inputs, request.waypoint_id, tried, request.member_count)
    return Response(content=json_bytes(document), media_type="application/json")


@router.post(
    "/plan/departures",
    summary="Re-time a plan for other departures beside its own, store nothing",
    response_class=Response,
    responses={200: {"model": DeparturesAnswer}, **problem_answers(403, 404, 413, 415, 422)},
    openapi_extra=json_body(DeparturesRequest),
)
def plan_departures(
    raw: Annotated[bytes, Depends(raw_json)], store: StoreGiven, who: Who
) -> Response:
    """Return which gates of the tide and windows of arrival hold or fail at other departures.

    Turns are not simulated again; the answer says so.
    """
    request, value = read_model(raw, DeparturesRequest)
    inputs = request.plan.to_core(gather(store, value["plan"], who.vessels))
    document = departures(
        inputs,
        [seconds_from_utc(one) for one in request.departures_utc or ()],
        request.shifts_s or (),
    )
    return Response(content=json_bytes(document), media_type="application/json")


@router.post(
    "/plan/moved",
    summary="Check a waypoint where it is moved to, store nothing",
    response_class=Response,
    responses={200: {"model": MovedAnswer}, **problem_answers(403, 404, 413, 415, 422)},
    openapi_extra=json_body(MovedRequest),
)
def plan_moved(
    request: Request, raw: Annotated[bytes, Depends(raw_json)], store: StoreGiven, who: Who
) -> Response:
    """Return the danger nearest to each leg and turn that may change with the waypoint.

    It is what the whole plan with the waypoint there would say of them; all else in it stands.
    """
    asked, value = read_model(raw, MovedRequest)
    inputs = asked.plan.to_core(gather(store, value["plan"], who.vessels))
    place = Position(lat_deg=asked.position.lat_deg, lon_deg=asked.position.lon_deg)
    document = check_moved(inputs, asked.waypoint_id, place, lambda: count(request, LAYING))
    return Response(content=json_bytes(document), media_type="application/json")
