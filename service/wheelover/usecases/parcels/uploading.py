"""A parcel that comes in chunks over a link that drops: begun, filled in any order, finished."""

import hashlib
from datetime import datetime, timedelta
from typing import Any

from wheelover.core.errors import Conflict, Fault, InvalidInput, ParcelRefused
from wheelover.formats.parcel import LIMITS, refused
from wheelover.store import Store, Unit
from wheelover.store.parcels import InRow
from wheelover.store.uploads import CHUNK_COUNT, UploadRow
from wheelover.usecases.parcels.pairing import in_document
from wheelover.usecases.parcels.taking import (
    CheckRevision,
    May,
    everybody,
    note_refusal,
    take_parcel,
)

Document = dict[str, Any]

_KEPT = timedelta(days=7)
_MOST_PENDING_COUNT = 200 * 1024 * 1024


def begin_upload(
    store: Store, size_count: int, digest: str, now_utc: str, may: May = everybody
) -> Document:
    """Begin an upload, or go on with one of the same digest.

    Parameters
    ----------
    store : Store
        Where its chunks are kept.
    size_count : int
        Bytes of the whole parcel.
    digest : str
        Its sha256, which is the name of the upload.
    now_utc : str
        The time, RFC 3339. Uploads begun a week before it are forgotten.
    may : callable
        Whether whoever brings it may bring parcels of a vessel.

    Raises
    ------
    ParcelRefused
        For more bytes than a parcel may have.
    Conflict
        For another size than it was begun with, or when too much is pending.
    """
    if size_count > LIMITS.parcel_count:
        raise refused("size", f"The parcel has {size_count} bytes; {LIMITS.parcel_count} at most.")
    with store.writing() as unit:
        since = datetime.fromisoformat(now_utc) - _KEPT
        unit.uploads.drop_begun_before(
            since.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        )
        known = unit.uploads.find(digest)
        if known is not None and known.size_count != size_count:
            raise Conflict(f"That upload was begun with {known.size_count} bytes.")
        if known is None and unit.uploads.pending_count() + size_count > _MOST_PENDING_COUNT:
            raise Conflict("Too many uploads are pending; finish those first.")
        row = UploadRow(sha256=digest, size_count=size_count, begun_utc=now_utc)
        if _taken(unit, digest, may) is not None:
            return {**_document(unit, row), "missing": [], "state": "already_taken"}
        unit.uploads.begin(row)
        return _document(unit, unit.uploads.get(digest))


def upload_of(store: Store, digest: str) -> Document:
    """Return an upload and which of its chunks are missing.

    Raises
    ------
    NotFound
        For one that was not begun or is finished.
    """
    with store.reading() as unit:
        return _document(unit, unit.uploads.get(digest))


def put_chunk(store: Store, digest: str, number: int, body: bytes, chunk_digest: str) -> Document:
    """Keep a chunk. The same again changes nothing.

    Parameters
    ----------
    store : Store
        Where it is kept.
    digest : str
        The upload.
    number : int
        Which chunk, from 0.
    body : bytes
        Its bytes: 64 KB, but for the last.
    chunk_digest : str
        Their sha256.

    Raises
    ------
    NotFound
        For an upload that was not begun.
    InvalidInput
        For another number, length or digest.
    """
    with store.writing() as unit:
        row = unit.uploads.get(digest)
        if not 0 <= number < row.chunks_count:
            raise _fault("/number", f"the chunks are 0 to {row.chunks_count - 1}")
        if len(body) != row.chunk_size_count(number):
            wanted = row.chunk_size_count(number)
            raise _fault("", f"chunk {number} has {wanted} bytes; {len(body)} came")
        if hashlib.sha256(body).hexdigest() != chunk_digest:
            raise _fault("", f"chunk {number} is not what its digest says; send it again")
        unit.uploads.put(digest, number, body)
        return _document(unit, row)


def finish_upload(
    store: Store, digest: str, check: CheckRevision, now_utc: str, may: May = everybody
) -> Document:
    """Take the parcel of an upload whose chunks are all here.

    Raises
    ------
    Conflict
        When chunks are missing.
    ParcelRefused
        When the whole is not what its digest says, or is refused as a parcel.
    """
    with store.reading() as unit:
        before = _taken(unit, digest, may)
        if before is not None:
            return {**in_document(before), "state": "already_taken", "released": []}
        row = unit.uploads.get(digest)
        present = unit.uploads.present(digest)
        if len(present) < row.chunks_count:
            raise Conflict(f"{row.chunks_count - len(present)} chunks are missing; bring them.")
        body = unit.uploads.whole(digest)
    try:
        if hashlib.sha256(body).hexdigest() != digest:
            error = refused("part", "The chunks together are not what the upload's digest says.")
            note_refusal(store, body, error, now_utc)
            raise error
        answer = take_parcel(store, body, check, now_utc, may)
    except ParcelRefused:
        _forget(store, digest)
        raise
    _forget(store, digest)
    return answer


def _taken(unit: Unit, digest: str, may: May) -> InRow | None:
    """Return the parcel of a digest that was taken, to whoever may bring those of its vessel."""
    found = unit.parcels.taken_body(digest)
    if found is None or not may(unit.peers.get(found.peer_id).vessel_id):
        return None
    return found


def _forget(store: Store, digest: str) -> None:
    """Forget an upload with its chunks."""
    with store.writing() as unit:
        unit.uploads.drop(digest)


def _document(unit: Unit, row: UploadRow) -> Document:
    """Return an upload as JSON values."""
    present = set(unit.uploads.present(row.sha256))
    return {
        "id": row.sha256,
        "size_count": row.size_count,
        "chunk_size_count": CHUNK_COUNT,
        "chunks_count": row.chunks_count,
        "missing": [number for number in range(row.chunks_count) if number not in present],
        "begun_utc": row.begun_utc,
        "state": "pending",
    }


def _fault(pointer: str, message: str) -> InvalidInput:
    """Return the error for one member."""
    return InvalidInput(message, (Fault(pointer=pointer, message=message),))
