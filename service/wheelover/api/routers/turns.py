"""Turns by themselves."""

from typing import Annotated, Any

from fastapi import Depends

from wheelover.api.body import raw_json, read_model
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.schemas.turns import AboutMarkAnswer, AboutMarkBetweenIn, AboutMarkIn
from wheelover.core.types.route import Position
from wheelover.usecases.strike_turn import strike_turn, strike_turn_between

router = guarded(prefix="/api/v1/turns", tags=["turns"])


@router.post(
    "/about-mark",
    summary="Strike a turn about a fixed mark",
    response_model=AboutMarkAnswer,
    responses=problem_answers(403, 415, 422),
    openapi_extra=json_body(AboutMarkIn),
)
def about_mark(raw: Annotated[bytes, Depends(raw_json)]) -> dict[str, Any]:
    """Return the waypoint from which the planned turn keeps one distance off the mark."""
    request, _ = read_model(raw, AboutMarkIn)
    mark = Position(lat_deg=request.mark.lat_deg, lon_deg=request.mark.lon_deg)
    return strike_turn(mark, request.radius_nm, request.course_in_deg, request.course_out_deg)


@router.post(
    "/about-mark-between",
    summary="Strike a turn about a fixed mark between two waypoints",
    response_model=AboutMarkAnswer,
    responses=problem_answers(403, 415, 422),
    openapi_extra=json_body(AboutMarkBetweenIn),
)
def about_mark_between(raw: Annotated[bytes, Depends(raw_json)]) -> dict[str, Any]:
    """Return the waypoint whose turn keeps one distance off the mark, its neighbours staying."""
    request, _ = read_model(raw, AboutMarkBetweenIn)
    places = (request.mark, request.before, request.after)
    mark, before, after = (Position(lat_deg=one.lat_deg, lon_deg=one.lon_deg) for one in places)
    return strike_turn_between(mark, request.radius_nm, before, after)
