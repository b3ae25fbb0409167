"""Keys of other systems, for administrators."""

from typing import Annotated, Any

from fastapi import Depends, Response

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import Now, Page, StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.routers.session import NEEDS_ACCOUNTS
from wheelover.api.schemas.people import KeyIn, KeyList, KeyMade, KeyRecord
from wheelover.store.keys import KeyRow
from wheelover.usecases.accounts import keys
from wheelover.usecases.canonical import json_bytes

router = guarded(prefix="/api/v1/keys", tags=["keys"], dependencies=NEEDS_ACCOUNTS)

Raw = Annotated[bytes, Depends(raw_json)]
Document = dict[str, Any]


def _record(row: KeyRow) -> Document:
    """Return a key as it is answered, without its secret."""
    return {
        "id": row.id,
        "name": row.name,
        "scopes": row.scopes.split(),
        "reach": row.reach,
        "of": row.of,
        "created_utc": row.created_utc,
        "until_utc": row.until_utc,
        "revoked_utc": row.revoked_utc,
    }


@router.post(
    "",
    status_code=201,
    summary="Make a key for another system",
    response_class=Response,
    responses={
        201: {"model": KeyMade},
        **problem_answers(401, 403, 409, 413, 415, 422, 503, 507),
    },
    openapi_extra=json_body(KeyIn),
)
def make(raw: Raw, store: StoreGiven, who: Who, now: Now) -> Response:
    """Make a key; it stands in this answer and nowhere else. Sent as `Authorization: Bearer`."""
    body, _ = read_model(raw, KeyIn)
    row, key = keys.make_key(
        store,
        body.name,
        tuple(body.scopes),
        body.reach,
        body.of,
        body.days,
        str(who.person.account_id),
        now,
    )
    answer = json_bytes({**_record(row), "key": key})
    return Response(answer, status_code=201, media_type="application/json")


@router.get(
    "",
    summary="List the keys",
    response_model=KeyList,
    responses=problem_answers(401, 403, 409, 422, 503),
)
def listed(store: StoreGiven, page: Page) -> Document:
    """Return the keys, last changed first, a page at a time."""
    with store.reading() as unit:
        rows = unit.keys.page(page.limit + 1, page.before)
    more = len(rows) > page.limit
    return {
        "items": [_record(row) for row in rows[: page.limit]],
        "next_cursor": str(rows[page.limit - 1].changed_seq) if more else None,
    }


@router.delete(
    "/{key_id}",
    summary="End a key",
    response_model=KeyRecord,
    responses=problem_answers(401, 403, 404, 409, 503, 507),
)
def revoke(key_id: str, store: StoreGiven, who: Who, now: Now) -> Document:
    """End a key at once."""
    return _record(keys.revoke_key(store, key_id, str(who.person.account_id), now))
