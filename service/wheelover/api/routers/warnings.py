"""Navigational warnings as text; nothing is stored."""

from typing import Annotated, Any

from fastapi import Depends

from wheelover.api.body import raw_json, read_model
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.schemas.warnings import WarningsAnswer, WarningTextIn
from wheelover.usecases.read_warnings import read_warning_text

router = guarded(prefix="/api/v1/warnings", tags=["dangers"])


@router.post(
    "/read",
    summary="Read pasted navigational warnings, store nothing",
    response_model=WarningsAnswer,
    responses=problem_answers(403, 415, 422),
    openapi_extra=json_body(WarningTextIn),
)
def read(raw: Annotated[bytes, Depends(raw_json)]) -> dict[str, Any]:
    """Return the messages of a text, every position in it, and the dangers it may be taken as.

    A danger of a plan is only what somebody takes: the features of the chosen shape go into the
    plan or a hazard set. A position that may be read in two ways is never guessed.
    """
    request, _ = read_model(raw, WarningTextIn)
    return read_warning_text(request.text, {one.start: one.reading for one in request.chosen})
