"""Vessels: the real ships that plans belong to."""

from typing import Annotated, Any

from fastapi import Depends, Response

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import Now, PartGiven, StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, problem_answers
from wheelover.api.routers.session import NEEDS_ACCOUNTS
from wheelover.api.schemas.people import VesselIn, VesselList, VesselRecord
from wheelover.store.vessels import VesselRow
from wheelover.usecases.accounts import manage
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.people import Actor

router = guarded(prefix="/api/v1/vessels", tags=["vessels"])

Raw = Annotated[bytes, Depends(raw_json)]
Document = dict[str, Any]


def _record(row: VesselRow, who: Actor) -> Document:
    """Return a vessel as it is answered to somebody. Without accounts, everything may be done."""
    allowed = None if who.allowed is None else sorted(who.allowed.get(row.id, ()))
    return {
        "id": row.id,
        "name": row.name,
        "fleet": row.fleet,
        "actions": ["everything"] if allowed is None else allowed,
    }


def _answer(row: VesselRow, who: Actor, status: int = 200) -> Response:
    """Return the answer with a vessel."""
    headers = {"Location": f"/api/v1/vessels/{row.id}"} if status == 201 else {}
    body = json_bytes(_record(row, who))
    return Response(body, status_code=status, media_type="application/json", headers=headers)


@router.get(
    "",
    summary="List the vessels one may see",
    response_model=VesselList,
    responses=problem_answers(401, 422, 503),
)
def listed(store: StoreGiven, who: Who, part: PartGiven) -> Document:
    """Return the vessels with what may be done there; whoever manages accounts sees all."""
    with store.reading() as unit:
        rows = unit.vessels.all()
    seen = who.vessels
    if not who.manages_accounts and seen is not None:
        rows = [row for row in rows if row.id in seen]
    page, following = part.of(rows, lambda row: row.id)
    return {"items": [_record(row, who) for row in page], "next_cursor": following}


@router.post(
    "",
    status_code=201,
    summary="Make a vessel",
    response_class=Response,
    responses={
        201: {"model": VesselRecord},
        **problem_answers(401, 403, 409, 413, 415, 422, 503, 507),
    },
    openapi_extra=json_body(VesselIn),
    dependencies=NEEDS_ACCOUNTS,
)
def add(raw: Raw, store: StoreGiven, who: Who, now: Now) -> Response:
    """Make a vessel, for administrators."""
    body, _ = read_model(raw, VesselIn)
    by = str(who.person.account_id)
    return _answer(manage.add_vessel(store, body.name, body.fleet, by, now), who, 201)


@router.put(
    "/{vessel_id}",
    summary="Give a vessel another name or fleet",
    response_class=Response,
    responses={
        200: {"model": VesselRecord},
        **problem_answers(401, 403, 404, 409, 413, 415, 422, 503, 507),
    },
    openapi_extra=json_body(VesselIn),
    dependencies=NEEDS_ACCOUNTS,
)
def change(vessel_id: str, raw: Raw, store: StoreGiven, who: Who, now: Now) -> Response:
    """Change name and fleet; whoever has a role on the fleet sees her from now on."""
    body, _ = read_model(raw, VesselIn)
    by = str(who.person.account_id)
    return _answer(manage.change_vessel(store, vessel_id, body.name, body.fleet, by, now), who)
