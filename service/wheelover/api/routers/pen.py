"""The pen of a draft."""

from typing import Annotated, Any

from fastapi import Depends

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import Now, StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.schemas.people import PenAnswer, PenIn
from wheelover.core.errors import InvalidInput
from wheelover.usecases import pen

router = guarded(prefix="/api/v1/plans/{plan_id}/pen", tags=["plans"])

Raw = Annotated[bytes, Depends(raw_json)]


@router.get(
    "",
    summary="Who holds the pen of a draft",
    response_model=PenAnswer,
    responses=problem_answers(404, 503),
)
def look(plan_id: str, store: StoreGiven, who: Who) -> dict[str, Any]:
    """Return who may edit the draft just now, since when, and who has asked for it."""
    with store.reading() as unit:
        return pen.pen_document(unit.plans.get(plan_id), who)


@router.post(
    "",
    summary="Take the pen, or ask for it",
    response_model=PenAnswer,
    responses=problem_answers(403, 404, 409, 415, 422),
    openapi_extra=json_body(PenIn),
)
def take_or_ask(plan_id: str, raw: Raw, store: StoreGiven, who: Who, now: Now) -> dict[str, Any]:
    """Take the pen, from whoever holds it, which is recorded; or leave a note for the holder."""
    body, _ = read_model(raw, PenIn)
    if (body.take is None) == (body.ask is None):
        raise InvalidInput('send {"take": true} or {"ask": "a note"}, one of them')
    if body.ask is None:
        row = pen.take_pen(store, plan_id, who, now)
    else:
        row = pen.ask_for_pen(store, plan_id, body.ask, who, now)
    return pen.pen_document(row, who)


@router.delete(
    "",
    summary="Lay the pen down",
    response_model=PenAnswer,
    responses=problem_answers(403, 404, 409),
)
def lay_down(plan_id: str, store: StoreGiven, who: Who, now: Now) -> dict[str, Any]:
    """Lay the pen down; the next edit by anybody takes it."""
    return pen.pen_document(pen.lay_down_pen(store, plan_id, who, now), who)
