"""Bytes kept once, under their own digest."""

import hashlib
import zlib

from sqlalchemy import Connection, insert, select

from wheelover.core.errors import Damaged, NotFound
from wheelover.store.tables import blob


class Blobs:
    """The blobs of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def put(self, body: bytes) -> str:
        """Keep bytes, if they are not kept already, and return their sha256."""
        sha256 = hashlib.sha256(body).hexdigest()
        if not self.has(sha256):
            row = {"sha256": sha256, "size_count": len(body), "body": zlib.compress(body, 6)}
            self._connection.execute(insert(blob).values(row))
        return sha256

    def put_packed(self, sha256: str, size_count: int, packed: bytes) -> None:
        """Keep bytes that were compressed (zlib) before the transaction began."""
        if not self.has(sha256):
            row = {"sha256": sha256, "size_count": size_count, "body": packed}
            self._connection.execute(insert(blob).values(row))

    def has(self, sha256: str) -> bool:
        """Return whether bytes of a digest are kept."""
        known = select(blob.c.sha256).where(blob.c.sha256 == sha256)
        return self._connection.execute(known).first() is not None

    def get(self, sha256: str) -> bytes:
        """Return the bytes of a digest, after they have been held against it.

        Raises
        ------
        NotFound
            When nothing is kept under it.
        Damaged
            When what is kept is not what the digest says.
        """
        found = self._connection.execute(select(blob.c.body).where(blob.c.sha256 == sha256)).first()
        if found is None:
            raise NotFound(f"nothing is kept under {sha256}")
        try:
            body = zlib.decompress(found.body)
        except zlib.error as error:
            raise Damaged(f"what is kept under {sha256} cannot be unpacked") from error
        if hashlib.sha256(body).hexdigest() != sha256:
            raise Damaged(f"what is kept under {sha256} has another digest")
        return body

    def damaged(self) -> list[str]:
        """Return the digests under which something else is kept than they say."""
        found = []
        for row in self._connection.execute(select(blob.c.sha256).order_by(blob.c.sha256)):
            try:
                self.get(row.sha256)
            except Damaged:
                found.append(str(row.sha256))
        return found
