"""What the ship does under helm orders."""

from typing import Annotated, Any

from fastapi import Depends

from wheelover.api.body import raw_json, read_model
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.schemas.manoeuvre import (
    HelmOrdersAnswer,
    HelmOrdersIn,
    ManoeuvreAnswer,
    ManoeuvreIn,
)
from wheelover.usecases.manoeuvre import track_of_orders, turn_orders

router = guarded(prefix="/api/v1", tags=["manoeuvre"])


@router.post(
    "/manoeuvre",
    summary="Run helm orders",
    response_model=ManoeuvreAnswer,
    responses=problem_answers(403, 415, 422),
    openapi_extra=json_body(ManoeuvreIn),
)
def manoeuvre(raw: Annotated[bytes, Depends(raw_json)]) -> dict[str, Any]:
    """Return where the ship goes under helm orders, from steady on her heading.

    Deep water, no wind: what the model cannot know it does not say.
    """
    request, _ = read_model(raw, ManoeuvreIn)
    return track_of_orders(
        request.model_of_ship(request.most_rudder_deg()),
        request.helm_orders(),
        request.until_s,
        request.step_s,
        request.heading_deg,
        request.rudder_rate_deg_per_s,
        request.helm_delay_s,
        request.current(),
    )


@router.post(
    "/turns/helm-orders",
    summary="The three orders that steady the ship on the new leg",
    response_model=HelmOrdersAnswer,
    responses=problem_answers(403, 415, 422),
    openapi_extra=json_body(HelmOrdersIn),
)
def helm_orders(raw: Annotated[bytes, Depends(raw_json)]) -> dict[str, Any]:
    """Return helm, counter-helm and midships, timed so that she is steady on the new course.

    Without such orders the answer is 422 with the reason: courses along one line, or a current that
    cannot be stemmed.
    """
    request, _ = read_model(raw, HelmOrdersIn)
    return turn_orders(
        request.model_of_ship(request.most_rudder_deg()),
        request.course_in_deg,
        request.course_out_deg,
        request.rudder_deg,
        request.counter_rudder_deg,
        request.rudder_rate_deg_per_s,
        request.helm_delay_s,
        request.current(),
    )
