"""Ships, hazard sets and limit sets: things with editions. An edition is never changed."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, Select, insert, select, update

from wheelover.core.errors import NotFound
from wheelover.store.blobs import Blobs
from wheelover.store.homes import Homes
from wheelover.store.sequence import new_id, newest_seq, next_seq
from wheelover.store.tables import library_edition, library_item

Kind = Literal["ship", "hazard_set", "limit_set"]

WORDS: dict[Kind, str] = {"ship": "ship", "hazard_set": "hazard set", "limit_set": "limit set"}
_PREFIX: dict[Kind, str] = {"ship": "ship", "hazard_set": "set", "limit_set": "limits"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """One edition, without its contents. ``newest`` is the number of the newest edition."""

    id: str
    edition: int
    newest: int
    name: str
    source: str | None
    item_count: int
    sha256: str
    created_utc: str
    seq: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What a new edition is made of. ``body`` is canonical JSON."""

    name: str
    body: bytes
    item_count: int = 1
    source: str | None = None


class Library:
    """The ships, hazard sets and limit sets of one unit of work."""

    def __init__(self, connection: Connection, blobs: Blobs, homes: Homes) -> None:
        self._connection = connection
        self._blobs = blobs
        self._homes = homes

    def add(
        self, kind: Kind, contents: Contents, now_utc: str, vessel_id: str | None = None
    ) -> Edition:
        """Keep a new thing, of a vessel or for all, and return its first edition."""
        item_id = new_id(_PREFIX[kind])
        row = {
            "id": item_id,
            "kind": kind,
            "edition": 1,
            "created_utc": now_utc,
            "changed_seq": next_seq(self._connection, library_item),
            "vessel_id": vessel_id,
        }
        self._connection.execute(insert(library_item).values(row))
        return self._edition(kind, item_id, 1, contents, now_utc)

    def renew(self, kind: Kind, item_id: str, contents: Contents, now_utc: str) -> Edition:
        """Keep a new edition of a thing and return it.

        Raises
        ------
        NotFound
            For an id that stands for nothing of this kind.
        Conflict
            For one that is at home elsewhere.
        """
        self._homes.require_item(item_id)
        number = self.get(kind, item_id).edition + 1
        row = {"edition": number, "changed_seq": next_seq(self._connection, library_item)}
        self._connection.execute(
            update(library_item).where(library_item.c.id == item_id).values(row)
        )
        return self._edition(kind, item_id, number, contents, now_utc)

    def _edition(
        self, kind: Kind, item_id: str, number: int, contents: Contents, now_utc: str
    ) -> Edition:
        """Insert an edition and return it as it is read back."""
        row = {
            "item_id": item_id,
            "edition": number,
            "name": contents.name,
            "source": contents.source,
            "item_count": contents.item_count,
            "sha256": self._blobs.put(contents.body),
            "created_utc": now_utc,
        }
        self._connection.execute(insert(library_edition).values(row))
        return self.get(kind, item_id, number)

    def get(self, kind: Kind, item_id: str, number: int | None = None) -> Edition:
        """Return an edition of a thing, the newest unless a number is given.

        Raises
        ------
        NotFound
            For an id or an edition that is not kept.
        """
        wanted = _editions(kind).where(library_item.c.id == item_id)
        at = library_item.c.edition if number is None else number
        found = self._connection.execute(wanted.where(library_edition.c.edition == at)).first()
        if found is None:
            which = "" if number is None else f"edition {number} of "
            raise NotFound(f"{which}{WORDS[kind]} {item_id[:80]!r} is not stored")
        return Edition(**found._mapping)

    def newest_seq(self) -> int:
        """Return a number that grows with every change of a ship, hazard set or limit set."""
        return newest_seq(self._connection, library_item)

    def vessel_of(self, item_id: str) -> str | None:
        """Return the vessel a thing belongs to, None for what is for all.

        Raises
        ------
        NotFound
            For an id that stands for nothing.
        """
        wanted = select(library_item.c.vessel_id).where(library_item.c.id == item_id)
        found = self._connection.execute(wanted).first()
        if found is None:
            raise NotFound(f"{item_id[:80]!r} is not stored")
        return None if found.vessel_id is None else str(found.vessel_id)

    def require_for(self, kind: Kind, item_id: str, vessels: frozenset[str]) -> None:
        """Refuse a thing of another vessel as one that is not stored.

        Raises
        ------
        NotFound
            Unless it is for all, or for one of these vessels.
        """
        wanted = select(library_item.c.vessel_id).where(
            library_item.c.id == item_id, library_item.c.kind == kind
        )
        found = self._connection.execute(wanted).first()
        if found is None or found.vessel_id not in (None, *vessels):
            raise NotFound(f"{WORDS[kind]} {item_id[:80]!r} is not stored")

    def digests(self) -> Iterator[tuple[str, int, str]]:
        """Yield id, edition and digest of every edition of everything."""
        columns = (library_edition.c.item_id, library_edition.c.edition, library_edition.c.sha256)
        for row in self._connection.execute(select(*columns).order_by(*columns[:2])):
            yield row.item_id, row.edition, row.sha256

    def body(self, edition: Edition) -> bytes:
        """Return the contents of an edition, canonical JSON."""
        return self._blobs.get(edition.sha256)

    def page(
        self,
        kind: Kind,
        limit: int,
        before_seq: int | None,
        vessels: frozenset[str] | None = None,
    ) -> list[Edition]:
        """Return newest editions, last changed first, those before a place in that order.

        With ``vessels``, those of these and, where there are any, those for all.
        """
        if vessels is not None and not vessels:
            return []
        wanted = _editions(kind).where(library_edition.c.edition == library_item.c.edition)
        if before_seq is not None:
            wanted = wanted.where(library_item.c.changed_seq < before_seq)
        if vessels is not None:
            of = library_item.c.vessel_id
            wanted = wanted.where(of.is_(None) | of.in_(sorted(vessels)))
        wanted = wanted.order_by(library_item.c.changed_seq.desc()).limit(limit)
        return [Edition(**row._mapping) for row in self._connection.execute(wanted)]


def _editions(kind: Kind) -> Select[Any]:
    """Return the query for editions of one kind."""
    return (
        select(
            library_item.c.id,
            library_edition.c.edition,
            library_item.c.edition.label("newest"),
            library_edition.c.name,
            library_edition.c.source,
            library_edition.c.item_count,
            library_edition.c.sha256,
            library_edition.c.created_utc,
            library_item.c.changed_seq.label("seq"),
        )
        .join(library_edition, library_edition.c.item_id == library_item.c.id)
        .where(library_item.c.kind == kind)
    )
