"""Files of dangers; nothing is stored."""

from typing import Annotated, Any

from fastapi import Depends

from wheelover.api.body import read_model
from wheelover.api.guarded import guarded
from wheelover.api.openapi import file_body, problem_answers
from wheelover.api.schemas.danger_file import DangerFileAnswer
from wheelover.api.schemas.hazards import HazardsIn, NamedHazards, chart_of
from wheelover.api.upload import Upload, uploaded_file
from wheelover.usecases.read_dangers import read_danger_file

router = guarded(prefix="/api/v1/hazards", tags=["dangers"])


@router.post(
    "/read",
    summary="Read a file of dangers, store nothing",
    responses={200: {"model": DangerFileAnswer}, **problem_answers(403, 413, 415, 422)},
    openapi_extra=file_body("CSV of points with a header line, or a GeoJSON FeatureCollection"),
)
def read(upload: Annotated[Upload, Depends(uploaded_file)]) -> dict[str, Any]:
    """Return every row of a file of dangers beside what was understood of it.

    A row that was not understood is reported with its line and reason. A GeoJSON file is taken
    whole or refused with the member named: lines and areas must not lose a part.
    """
    if not upload.body.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{"):
        return read_danger_file(upload.body)
    hazards, value = read_model(upload.body, HazardsIn)
    chart_of([NamedHazards(source=upload.name, hazards=hazards)])
    return {
        "format": "geojson",
        "hazards": value,
        "report": [],
        "accepted_count": len(value["features"]),
        "rejected_count": 0,
        "read_as": "GeoJSON (RFC 7946), taken whole",
        "notes": [],
    }
