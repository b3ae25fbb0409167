"""Turns by themselves."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from wheelover.api.body import raw_json, read_model
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.schemas.turns import AboutMarkAnswer, AboutMarkIn
from wheelover.usecases.strike_turn import strike_turn

router = APIRouter(prefix="/api/v1/turns", tags=["turns"])


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
    mark = request.mark
    return strike_turn(
        mark.lat_deg, mark.lon_deg, request.radius_nm, request.course_in_deg, request.course_out_deg
    )
