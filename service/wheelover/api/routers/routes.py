"""Reading route files; nothing is stored."""

from typing import Annotated, Any

from fastapi import APIRouter, File, UploadFile

from wheelover.api.openapi import problem_answers
from wheelover.api.schemas.reading import ReadingResponse
from wheelover.usecases.read_route import read_route_file

router = APIRouter(prefix="/api/v1/routes", tags=["routes"])


@router.post(
    "/read",
    summary="Read a route file, store nothing",
    responses={200: {"model": ReadingResponse}, **problem_answers(403, 413, 415, 422)},
)
def read(
    file: Annotated[UploadFile, File(description="CSV with a header line, or GeoJSON")],
) -> dict[str, Any]:
    """Return every row of a route file beside what was understood of it.

    A row that was not understood is reported with its line and reason, never guessed and never
    dropped in silence: the waypoint after it carries gap_before.
    """
    return read_route_file(file.file.read(), file.filename or "")
