"""Ship papers in, response out."""

from typing import Annotated, Any

from fastapi import Depends

from wheelover.api.body import raw_json, read_model
from wheelover.api.examples import TRIALS_FILE
from wheelover.api.guarded import guarded
from wheelover.api.openapi import file_body, json_body, problem_answers
from wheelover.api.schemas.fitted import FitAnswer, TrialsReadingAnswer
from wheelover.api.schemas.trials import FitIn
from wheelover.api.upload import Upload, uploaded_file
from wheelover.usecases.fit_ship import fit_ship, read_trials

router = guarded(prefix="/api/v1/ships/fit", tags=["ships"])


@router.post(
    "",
    summary="Fit a ship's response to the numbers of her papers, store nothing",
    response_model=FitAnswer,
    responses=problem_answers(403, 415, 422),
    openapi_extra=json_body(FitIn),
)
def fit(raw: Annotated[bytes, Depends(raw_json)]) -> dict[str, Any]:
    """Return a response for each loading and depth, beside every number it was made from.

    Without trials it is estimated from main dimensions, and says so. Where the model does not hold
    (pods, thrusters, below five knots, less than 1.5 draughts of water) there is none, and a
    statement says why.
    """
    request, _ = read_model(raw, FitIn)
    return fit_ship(request.to_core())


@router.post(
    "/read",
    summary="Read a file of trial data, store nothing",
    responses={200: {"model": TrialsReadingAnswer}, **problem_answers(403, 413, 415, 422)},
    openapi_extra=file_body(
        "CSV with a header line: set, side, rudder_deg, speed_kn, at_deg, depth_m, quantity, "
        "value, unit; one number a line",
        TRIALS_FILE,
    ),
)
def read(upload: Annotated[Upload, Depends(uploaded_file)]) -> dict[str, Any]:
    """Return the request for a fit that a file makes, and every line beside what was understood.

    A line that was not understood is reported with its reason, never guessed and never dropped in
    silence.
    """
    return read_trials(upload.body)
