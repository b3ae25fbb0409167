"""Parcels that come: whole, or in chunks over a link that drops."""

import base64
import binascii
import re
from functools import partial
from typing import Annotated, Any

from fastapi import Depends, Header, Path, Request

from wheelover.api.body import raw_json, read_model
from wheelover.api.deps import Now, StoreGiven, Who
from wheelover.api.guarded import guarded
from wheelover.api.openapi import json_body, parcel_body, problem_answers
from wheelover.api.problems import DoorError
from wheelover.api.schemas.parcels import ParcelTaken, UploadIn, UploadOut
from wheelover.api.schemas.revision import check_revision
from wheelover.formats.parcel import MEDIA_TYPE
from wheelover.usecases.parcels import uploading
from wheelover.usecases.parcels.clocks import note_link_clock, skew_of_date_s
from wheelover.usecases.parcels.taking import take_parcel

router = guarded(prefix="/api/v1/parcels", tags=["parcels"])

Document = dict[str, Any]
Raw = Annotated[bytes, Depends(raw_json)]
UploadId = Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]
Number = Annotated[int, Path(ge=0, le=100_000)]
ContentDigest = Annotated[
    str | None, Header(description="sha256 of the chunk, as RFC 9530 writes it: sha-256=:...:")
]
Sent = Annotated[str | None, Header(max_length=100, description="The time of the sender's clock")]
_DIGEST = re.compile(r"sha-256=:([A-Za-z0-9+/]{43}=):")


async def raw_parcel(request: Request) -> bytes:
    """Return the body of a request that says it is a parcel, or bytes of no kind.

    Raises
    ------
    DoorError
        With 415 for another type.
    """
    media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media_type not in (MEDIA_TYPE, "application/octet-stream"):
        raise DoorError(415, "wrong-content-type", f"Send the file as {MEDIA_TYPE}.")
    return await request.body()


Bytes = Annotated[bytes, Depends(raw_parcel)]


@router.post(
    "",
    summary="Take a parcel",
    response_model=ParcelTaken,
    responses=problem_answers(403, 413, 415, 422),
    openapi_extra=parcel_body("The parcel, as it was fetched on the other side"),
)
def take(raw: Bytes, store: StoreGiven, who: Who, now: Now) -> Document:
    """Take all of it or nothing. The same again changes nothing; one too early is held."""
    return take_parcel(store, raw, check_revision, now, partial(who.may, "parcel"))


@router.post(
    "/uploads",
    status_code=201,
    summary="Begin to send a parcel in chunks",
    response_model=UploadOut,
    responses=problem_answers(403, 409, 415, 422),
    openapi_extra=json_body(UploadIn),
)
def begin(raw: Raw, store: StoreGiven, who: Who, now: Now) -> Document:
    """Begin an upload or go on with it: it is known by the sha256 of the whole."""
    given, _ = read_model(raw, UploadIn)
    return uploading.begin_upload(
        store, given.size_count, given.sha256, now, partial(who.may, "parcel")
    )


@router.get(
    "/uploads/{upload_id}",
    summary="Read which chunks are missing",
    response_model=UploadOut,
    responses=problem_answers(404, 422),
)
def read(upload_id: UploadId, store: StoreGiven) -> Document:
    """Return an upload with the numbers of the chunks that are not here yet."""
    return uploading.upload_of(store, upload_id)


@router.put(
    "/uploads/{upload_id}/chunks/{number}",
    summary="Send a chunk",
    response_model=UploadOut,
    responses=problem_answers(403, 404, 413, 415, 422),
    openapi_extra=parcel_body("64 KB of the parcel, less in the last chunk"),
)
def put_chunk(
    upload_id: UploadId,
    number: Number,
    raw: Bytes,
    store: StoreGiven,
    content_digest: ContentDigest = None,
) -> Document:
    """Keep a chunk under its number, held against its digest. The same again changes nothing."""
    return uploading.put_chunk(store, upload_id, number, raw, _digest(content_digest))


def _digest(header: str | None) -> str:
    """Return the sha256 of a Content-Digest header, in hex."""
    found = _DIGEST.search(header or "")
    try:
        digest = b"" if found is None else base64.b64decode(found[1], validate=True)
    except binascii.Error:
        digest = b""
    if len(digest) != 32:
        message = "Send Content-Digest: sha-256=:...: with the chunk (RFC 9530)."
        raise DoorError(422, "invalid-content-digest", message)
    return digest.hex()


@router.post(
    "/uploads/{upload_id}/finish",
    summary="Take the parcel of an upload",
    response_model=ParcelTaken,
    responses=problem_answers(403, 404, 409, 422),
)
def finish(
    upload_id: UploadId, store: StoreGiven, who: Who, now: Now, date: Sent = None
) -> Document:
    """Take the parcel once every chunk is here, as if it had come whole.

    A header Date says the time of the sender's clock; one that is over 120 s off is told of.
    """
    taken = uploading.finish_upload(
        store, upload_id, check_revision, now, partial(who.may, "parcel")
    )
    note_link_clock(store, taken["peer_id"], skew_of_date_s(date, now), now)
    return taken
