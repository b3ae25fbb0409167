"""The coastline behind the passage, in map tiles, and how far it is ready for the land check."""

from typing import Annotated, Literal

from fastapi import Path, Request, Response
from pydantic import BaseModel

from wheelover.api.guarded import guarded
from wheelover.api.openapi import NOT_CHANGED, problem_answers
from wheelover.api.replies import reply, unchanged
from wheelover.charts.coastline import MOST_ZOOM, coast_tile, data_version
from wheelover.core.errors import Fault, InvalidInput
from wheelover.usecases.coast import coast_state

router = guarded(prefix="/api/v1/coastline", tags=["coastline"])

Place = Annotated[int, Path(ge=0, lt=2**MOST_ZOOM)]


class CoastTile(BaseModel):
    """Land in one map tile: rings to be filled even-odd, each a place and then steps."""

    resolution: str
    extent: int
    rings: list[list[int]]


class CoastlineIndex(BaseModel):
    """How far the coastline is ready for the land check. The first plan that asks begins it."""

    state: Literal["not_built", "building", "ready", "failed"]
    percent: int
    version: str | None
    reason: str | None


@router.get("/index", summary="How far the coastline is ready for the land check")
def index() -> CoastlineIndex:
    """Return the state of the index of the full-resolution coastline; asking begins nothing."""
    return CoastlineIndex(**coast_state())


@router.get(
    "/{zoom}/{column}/{row}",
    summary="The coastline of a map tile, for drawing only",
    response_class=Response,
    responses={200: {"model": CoastTile}, **NOT_CHANGED, **problem_answers(404, 422)},
)
def tile(
    zoom: Annotated[int, Path(ge=0, le=MOST_ZOOM)], column: Place, row: Place, request: Request
) -> Response:
    """Return the land of a Web Mercator tile (GSHHG). Nothing is checked against it."""
    for name, number in (("column", column), ("row", row)):
        if number >= 2**zoom:
            message = f"{name} {number} is outside 0 to {2**zoom - 1} at zoom {zoom}"
            raise InvalidInput(message, (Fault(pointer=f"/{name}", message=message),))
    tag = f'"gshhg-{data_version()}-{zoom}-{column}-{row}"'
    return unchanged(request, tag) or reply(coast_tile(zoom, column, row), tag, lasting=True)
