"""Reading route files; nothing is stored."""

from typing import Annotated, Any

from fastapi import Depends

from wheelover.api.guarded import guarded
from wheelover.api.openapi import file_body, problem_answers
from wheelover.api.schemas.reading import ReadingResponse
from wheelover.api.upload import Upload, uploaded_file
from wheelover.usecases.read_route import read_route_file

router = guarded(prefix="/api/v1/routes", tags=["routes"])


@router.post(
    "/read",
    summary="Read a route file, store nothing",
    responses={200: {"model": ReadingResponse}, **problem_answers(403, 413, 415, 422)},
    openapi_extra=file_body("CSV with a header line, GeoJSON, GPX 1.1, or route exchange XML"),
)
def read(upload: Annotated[Upload, Depends(uploaded_file)]) -> dict[str, Any]:
    """Return every row of a route file beside what was understood of it.

    A row that was not understood is reported with its line and reason, never guessed and never
    dropped in silence: the waypoint after it carries gap_before.
    """
    return read_route_file(upload.body, upload.name)
