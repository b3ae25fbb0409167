"""The difference of two revisions of a plan."""

from typing import Annotated

from fastapi import Query, Request, Response

from wheelover.api.deps import StoreGiven
from wheelover.api.guarded import guarded
from wheelover.api.openapi import NOT_CHANGED, problem_answers
from wheelover.api.replies import reply, unchanged
from wheelover.api.routers.plans import compute_document
from wheelover.api.schemas.difference import DifferenceOut
from wheelover.usecases.differences import (
    Side,
    compared,
    difference_tag,
    draft_side,
    frozen_side,
)
from wheelover.usecases.drafts import draft_of
from wheelover.usecases.gather import gather, without_editions

router = guarded(prefix="/api/v1/plans/{plan_id}", tags=["review"])

Was = Annotated[int, Query(ge=1, le=2**31, description="The number of a revision")]
NowSide = Annotated[
    str,
    Query(
        pattern=r"^(draft|newest|[1-9][0-9]{0,8})$",
        description="The number of another revision; `draft` for the draft as it computes now; "
        "`newest` for the draft with the newest editions of its ship and hazard sets",
    ),
]


@router.get(
    "/differences",
    summary="Compare two revisions, or a revision and the draft",
    response_class=Response,
    responses={200: {"model": DifferenceOut}, **NOT_CHANGED, **problem_answers(404, 422)},
)
def read(plan_id: str, was: Was, now: NowSide, request: Request, store: StoreGiven) -> Response:
    """Return every change as a sentence with both values, its figures, and layers for the Plot.

    Things are matched by their stable ids: an inserted waypoint changes none behind it, it only
    renumbers them, which is said once. Ship, dangers, limits, conditions, engine and findings are
    compared as well; what has no words of its own is told by its JSON pointer. `follows` names
    the change that already says so. `now=newest` shows what a new edition, by which an approval
    lapsed, makes of the plan. `unchanged` counts the rows that are the same.
    """
    side: Side | None = None
    if now in ("draft", "newest"):
        view = draft_of(store, plan_id)
        inputs = without_editions(view.inputs) if now == "newest" else view.inputs
        gathered = gather(store, inputs, charts_of=frozenset({view.row.vessel_id}))
        side = draft_side(view, gathered, compute_document(inputs, gathered))
    with store.reading() as unit:
        before = frozen_side(unit, plan_id, was)
        after = side or frozen_side(unit, plan_id, int(now))
        tag = difference_tag(before, after)
        held = unchanged(request, tag)
        return held or reply(compared(unit, before, after), tag)
