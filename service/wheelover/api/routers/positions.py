"""Positions: as people type them, and off another one. The page does no such arithmetic."""

from typing import Annotated, Any

from fastapi import Depends

from wheelover.api.body import raw_json, read_model
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.schemas.positions import OffsetIn, PositionAnswer, PositionTextIn
from wheelover.usecases.positions import offset_position, read_position

router = guarded(prefix="/api/v1/positions", tags=["positions"])

Raw = Annotated[bytes, Depends(raw_json)]


@router.post(
    "/read",
    summary="Read a typed position",
    response_model=PositionAnswer,
    responses=problem_answers(403, 415, 422),
    openapi_extra=json_body(PositionTextIn),
)
def read(raw: Raw) -> dict[str, Any]:
    """Return a position in degrees from any spelling that route files may use."""
    request, _ = read_model(raw, PositionTextIn)
    return read_position(request.text)


@router.post(
    "/offset",
    summary="The position at a bearing and distance from another",
    response_model=PositionAnswer,
    responses=problem_answers(403, 415, 422),
    openapi_extra=json_body(OffsetIn),
)
def offset(raw: Raw) -> dict[str, Any]:
    """Return where a constant true course leads in so many nautical miles."""
    request, _ = read_model(raw, OffsetIn)
    start = request.start
    return offset_position(start.lat_deg, start.lon_deg, request.bearing_deg, request.distance_nm)
