"""Peers: this installation and those it is paired with, and the parcels made for them."""

from typing import Annotated, Any

from fastapi import Depends, Path, Request, Response

from wheelover.api.body import raw_if_given, raw_json, read_model
from wheelover.api.deps import Now, PartGiven, StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import NOT_CHANGED, json_body, problem_answers
from wheelover.api.ranges import attachment
from wheelover.api.replies import unchanged
from wheelover.api.schemas.parcels import (
    NewKeyIn,
    ParcelOut,
    ParcelStartIn,
    PeerIn,
    PeerList,
    PeerOut,
    PeerRecord,
    SelfIn,
    SelfOut,
)
from wheelover.formats.parcel import MEDIA_TYPE, SUFFIX
from wheelover.usecases.parcels import identity, making, pairing
from wheelover.usecases.people import named_or_nobody

router = guarded(prefix="/api/v1/peers", tags=["parcels"])

Document = dict[str, Any]
Raw = Annotated[bytes, Depends(raw_json)]
RawIfGiven = Annotated[bytes | None, Depends(raw_if_given)]
PeerId = Annotated[str, Path(max_length=64)]
Sequence = Annotated[int, Path(ge=1, le=2**31 - 1)]
_FILE: dict[int | str, Document] = {
    status: {
        "description": what,
        "content": {MEDIA_TYPE: {"schema": {"type": "string", "format": "binary"}}},
    }
    for status, what in ((200, "The parcel"), (206, "The part of it that was asked for"))
}


@router.get("/self", summary="Read what this installation is", response_model=SelfOut)
def own(store: StoreGiven, now: Now) -> Document:
    """Return the card to give to the other side, and the fingerprint to read to it by voice."""
    return identity.identity_document(identity.identity(store, now))


@router.put(
    "/self",
    summary="Name this installation",
    response_model=SelfOut,
    responses=problem_answers(403, 409, 415, 422),
    openapi_extra=json_body(SelfIn),
)
def name_own(raw: Raw, store: StoreGiven, now: Now) -> Document:
    """Give this installation its name and side; the side stays once it is paired."""
    given, _ = read_model(raw, SelfIn)
    named = identity.name_identity(store, given.name, given.side, now)
    return identity.identity_document(named)


@router.post(
    "/self/keys",
    status_code=201,
    summary="Make a new key",
    response_model=SelfOut,
    responses=problem_answers(403, 409, 415, 422),
    openapi_extra=json_body(NewKeyIn),
)
def renew(raw: Raw, store: StoreGiven, now: Now) -> Document:
    """Make a new key. The old one signs for it, unless it may be lost; then peers pair anew."""
    given, _ = read_model(raw, NewKeyIn)
    return identity.identity_document(identity.renew_key(store, lost=given.lost, now_utc=now))


def _id_of(peer: Document) -> str:
    """Return the id of a peer."""
    return str(peer["id"])


@router.get("", summary="List every peer", response_model=PeerList, responses=problem_answers(422))
def listed(store: StoreGiven, who: Who, part: PartGiven) -> Document:
    """Return those this installation is or was paired with, by name: of the vessels one sees."""
    vessels = None if who.manages_accounts else who.vessels
    items, following = part.of(pairing.peers_listed(store, vessels), _id_of)
    return {"items": items, "next_cursor": following}


@router.post(
    "",
    status_code=201,
    summary="Pair with another installation",
    response_model=PeerOut,
    responses=problem_answers(403, 404, 409, 415, 422),
    openapi_extra=json_body(PeerIn),
)
def pair(raw: Raw, store: StoreGiven, who: Who, now: Now) -> Document:
    """Pin the key of its card, after its fingerprint was read by voice from its own screen."""
    given, _ = read_model(raw, PeerIn)
    return pairing.pair(
        store, given.card(), given.fingerprint, given.vessel_id, given.person(who), now
    )


@router.get(
    "/{peer_id}",
    summary="Read a peer and its parcels",
    response_model=PeerRecord,
    responses=problem_answers(404, 422),
)
def read(peer_id: PeerId, store: StoreGiven) -> Document:
    """Return a peer with the parcels made for it and those that came from it."""
    return pairing.peer_of(store, peer_id)


@router.delete(
    "/{peer_id}",
    summary="Revoke a peer",
    response_model=PeerOut,
    responses=problem_answers(403, 404, 422),
)
def revoke(peer_id: PeerId, store: StoreGiven, who: Who, now: Now) -> Document:
    """Take nothing more from it. What came stays; its keys stay revoked."""
    return pairing.revoke(store, peer_id, named_or_nobody(who, None), now)


@router.post(
    "/{peer_id}/parcels",
    status_code=201,
    summary="Make the next parcel for a peer",
    response_model=ParcelOut,
    responses=problem_answers(403, 404, 409, 415, 422),
    openapi_extra=json_body(ParcelStartIn, required=False),
)
def make(
    peer_id: PeerId, raw: RawIfGiven, request: Request, store: StoreGiven, who: Who, now: Now
) -> Document:
    """Make a parcel of what the peer lacks of its plans; its size is said before it is fetched."""
    given, _ = read_model(raw or b"{}", ParcelStartIn)
    by = None if given.by is None else given.by.to_core()
    person = named_or_nobody(who, by)
    made = making.make_parcel(store, peer_id, tuple(given.plans), given.since, person, now)
    request.app.state.pusher.wake()
    return pairing.out_document(made.row)


@router.get(
    "/{peer_id}/parcels/{sequence}",
    summary="Fetch a parcel",
    response_class=Response,
    responses={**_FILE, **NOT_CHANGED, **problem_answers(404, 416, 422)},
)
def fetch(peer_id: PeerId, sequence: Sequence, request: Request, store: StoreGiven) -> Response:
    """Return the parcel as a file, whole or by Range, until the peer has acknowledged it."""
    made = making.parcel_bytes(store, peer_id, sequence)
    tag = f'"{made.row.sha256}"'
    name = f"{made.row.peer_id}-{sequence}{SUFFIX}"
    return unchanged(request, tag) or attachment(request, made.body, tag, name, MEDIA_TYPE)
