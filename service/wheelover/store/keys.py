"""Keys of other systems."""

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update

from wheelover.core.errors import NotFound
from wheelover.store.account_tables import api_key
from wheelover.store.sequence import next_seq


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRow:
    """A key: what it is for, where it reaches, and until when. ``scopes`` are words with spaces."""

    id: str
    name: str
    sha256: str
    scopes: str
    reach: str
    of: str
    made_by: str
    created_utc: str
    until_utc: str
    revoked_utc: str | None
    changed_seq: int


class Keys:
    """The keys of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, **values: str) -> KeyRow:
        """Keep a key and return it."""
        row = {**values, "changed_seq": next_seq(self._connection, api_key)}
        self._connection.execute(insert(api_key).values(row))
        return self.get(values["id"])

    def find(self, key_id: str) -> KeyRow | None:
        """Return a key, if there is one of that id."""
        found = self._connection.execute(select(api_key).where(api_key.c.id == key_id)).first()
        return None if found is None else KeyRow(**found._mapping)

    def get(self, key_id: str) -> KeyRow:
        """Return a key.

        Raises
        ------
        NotFound
            For an id that stands for none.
        """
        found = self.find(key_id)
        if found is None:
            raise NotFound("There is no such key.")
        return found

    def revoke(self, key_id: str, now_utc: str) -> None:
        """End a key."""
        values = {"revoked_utc": now_utc, "changed_seq": next_seq(self._connection, api_key)}
        this = (api_key.c.id == key_id) & api_key.c.revoked_utc.is_(None)
        self._connection.execute(update(api_key).where(this).values(values))

    def page(self, limit: int, before: int | None) -> list[KeyRow]:
        """Return keys, last changed first, those before a place in that order."""
        wanted = select(api_key).order_by(api_key.c.changed_seq.desc()).limit(limit)
        if before is not None:
            wanted = wanted.where(api_key.c.changed_seq < before)
        return [KeyRow(**row._mapping) for row in self._connection.execute(wanted)]
