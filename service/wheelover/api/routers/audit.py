"""The audit log, read only. `wheelover verify` holds its chain together."""

from typing import Annotated, Any

from fastapi import Query

from wheelover.api.deps import Page, StoreGiven
from wheelover.api.guarded import guarded
from wheelover.api.openapi import problem_answers
from wheelover.api.schemas.record import AuditList
from wheelover.store.plans import OWN_VESSEL
from wheelover.usecases.audit import audit_listed

router = guarded(prefix="/api/v1/audit", tags=["audit"])

Vessel = Annotated[str, Query(max_length=64, description="Whose log")]


@router.get(
    "",
    summary="Read the audit log of a vessel",
    response_model=AuditList,
    responses=problem_answers(422, 503),
)
def listed(store: StoreGiven, page: Page, vessel_id: Vessel = OWN_VESSEL) -> dict[str, Any]:
    """Return entries, newest first, each with the hash that chains it to the one before."""
    items, following = audit_listed(store, vessel_id, page.limit, page.before)
    return {
        "vessel_id": vessel_id,
        "items": items,
        "next_cursor": None if following is None else str(following),
    }
