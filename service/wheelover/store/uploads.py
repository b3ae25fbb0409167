"""Parcels that come in pieces: chunks of 64 KB under the digest of the whole."""

from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, delete, func, insert, select

from wheelover.core.errors import NotFound
from wheelover.store.parcel_tables import parcel_chunk, parcel_upload

CHUNK_COUNT = 64 * 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class UploadRow:
    """An upload that was begun."""

    sha256: str
    size_count: int
    begun_utc: str

    @property
    def chunks_count(self) -> int:
        """Return how many chunks make the whole."""
        return -(-self.size_count // CHUNK_COUNT)

    def chunk_size_count(self, number: int) -> int:
        """Return how many bytes a chunk has, counted from 0."""
        return min(CHUNK_COUNT, self.size_count - number * CHUNK_COUNT)


class Uploads:
    """The uploads of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def begin(self, row: UploadRow) -> None:
        """Keep an upload, if it was not begun before."""
        if self.find(row.sha256) is None:
            values = {
                "sha256": row.sha256,
                "size_count": row.size_count,
                "begun_utc": row.begun_utc,
            }
            self._connection.execute(insert(parcel_upload).values(values))

    def find(self, sha256: str) -> UploadRow | None:
        """Return an upload, or None."""
        wanted = select(parcel_upload).where(parcel_upload.c.sha256 == sha256)
        found = self._connection.execute(wanted).first()
        return None if found is None else UploadRow(**found._mapping)

    def get(self, sha256: str) -> UploadRow:
        """Return an upload.

        Raises
        ------
        NotFound
            For one that was not begun, or is finished.
        """
        found = self.find(sha256)
        if found is None:
            raise NotFound(f"the upload {sha256[:80]!r} was not begun, or is finished")
        return found

    def put(self, sha256: str, number: int, body: bytes) -> None:
        """Keep a chunk in place of any of its number."""
        self._connection.execute(
            delete(parcel_chunk).where(_chunks(sha256), parcel_chunk.c.number == number)
        )
        values = {"upload": sha256, "number": number, "body": body}
        self._connection.execute(insert(parcel_chunk).values(values))

    def present(self, sha256: str) -> list[int]:
        """Return the numbers of the chunks that are here."""
        wanted = select(parcel_chunk.c.number).where(_chunks(sha256))
        found = self._connection.execute(wanted.order_by(parcel_chunk.c.number))
        return [row.number for row in found]

    def whole(self, sha256: str) -> bytes:
        """Return the chunks put together."""
        wanted = select(parcel_chunk.c.body).where(_chunks(sha256)).order_by(parcel_chunk.c.number)
        return b"".join(bytes(row.body) for row in self._connection.execute(wanted))

    def drop(self, sha256: str) -> None:
        """Forget an upload with its chunks."""
        self._connection.execute(delete(parcel_chunk).where(_chunks(sha256)))
        self._connection.execute(delete(parcel_upload).where(parcel_upload.c.sha256 == sha256))

    def drop_begun_before(self, utc: str) -> None:
        """Forget uploads begun before a time."""
        wanted = select(parcel_upload.c.sha256).where(parcel_upload.c.begun_utc < utc)
        for row in self._connection.execute(wanted).all():
            self.drop(row.sha256)

    def pending_count(self) -> int:
        """Return how many bytes the uploads that were begun may take in all."""
        total = select(func.sum(parcel_upload.c.size_count))
        return int(self._connection.execute(total).scalar() or 0)


def _chunks(sha256: str) -> ColumnElement[bool]:
    """Return the condition for the chunks of an upload."""
    return parcel_chunk.c.upload == sha256
