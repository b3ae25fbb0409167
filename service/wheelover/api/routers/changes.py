"""What other systems follow: the feed of changes, and the log of what was told to whom."""

from typing import Annotated, Any

from fastapi import Query

from wheelover.api.deps import Page, PartGiven, StoreGiven
from wheelover.api.guarded import guarded
from wheelover.api.openapi import problem_answers
from wheelover.api.schemas.changes import ChangeFeed, DeliveryList, WebhookList
from wheelover.store.plans import OWN_VESSEL
from wheelover.usecases import webhooks

router = guarded(prefix="/api/v1", tags=["other systems"])

Vessel = Annotated[str, Query(max_length=64, description="Whose changes")]
After = Annotated[int, Query(ge=0, le=2**31, description="last_number of the answer before")]
Limit = Annotated[int, Query(ge=1, le=500, description="Most changes in the answer")]


@router.get(
    "/changes",
    summary="Follow what changes",
    response_model=ChangeFeed,
    responses=problem_answers(422, 503),
)
def changes(
    store: StoreGiven, vessel_id: Vessel = OWN_VESSEL, after: After = 0, limit: Limit = 100
) -> dict[str, Any]:
    """Return what changed after an entry, oldest first; ask again with ``last_number``."""
    items, last = webhooks.changes_after(store, vessel_id, after, limit)
    return {"vessel_id": vessel_id, "items": items, "last_number": last}


@router.get(
    "/webhooks",
    summary="List where changes are told",
    response_model=WebhookList,
    responses=problem_answers(422, 503),
)
def listed(store: StoreGiven, part: PartGiven) -> dict[str, Any]:
    """Return every webhook without its secret. `wheelover webhook` sets them on the machine."""
    rows, following = part.of(webhooks.webhooks_listed(store), lambda row: row.id)
    return {
        "items": [
            {
                "id": row.id,
                "url": row.url,
                "vessel_id": row.vessel_id,
                "kinds": list(row.kinds),
                "active": row.active,
                "secret_lost": row.secret is None,
                "sent_number": row.sent_number,
                "next_utc": row.next_utc,
                "created_utc": row.created_utc,
            }
            for row in rows
        ],
        "next_cursor": following,
    }


@router.get(
    "/webhooks/{webhook_id}/deliveries",
    summary="Read the log of deliveries",
    response_model=DeliveryList,
    responses=problem_answers(404, 422, 503),
)
def deliveries(webhook_id: str, store: StoreGiven, page: Page) -> dict[str, Any]:
    """Return every attempt to tell a webhook, newest first."""
    rows, following = webhooks.deliveries_listed(store, webhook_id, page.limit, page.before)
    return {
        "items": [
            {
                "number": row.number,
                "entry_number": row.entry_number,
                "attempt": row.attempt,
                "at_utc": row.at_utc,
                "outcome": row.outcome,
                "status": row.status,
                "detail": row.detail,
            }
            for row in rows
        ],
        "next_cursor": None if following is None else str(following),
    }
