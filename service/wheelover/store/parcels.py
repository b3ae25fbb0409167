"""Parcels of one unit of work: those made, those taken or held, and what each carried."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, and_, delete, func, insert, select, update

from wheelover.core.errors import NotFound
from wheelover.store.parcel_tables import parcel_in, parcel_item, parcel_out

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutRow:
    """A parcel made for a peer, without its bytes. ``summary`` is canonical JSON."""

    peer_id: str
    sequence: int
    manifest_sha256: str
    previous_sha256: str | None
    sha256: str
    size_count: int
    next_key: str | None
    summary: str
    made_utc: str
    pushed_utc: str | None
    acknowledged_utc: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class InRow:
    """A parcel that came from a peer. One without ``taken_utc`` waits for one before it."""

    peer_id: str
    sequence: int
    manifest_sha256: str
    previous_sha256: str | None
    sha256: str
    size_count: int
    summary: str
    received_utc: str
    taken_utc: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemRow:
    """A thing that a peer was sent or has sent.

    ``sequence`` is the parcel of ours that carried it, 0 for none; ``came_sequence`` that of
    theirs; the times are when those were made, acknowledged and taken.
    """

    kind: str
    name: str
    sha256: str
    sequence: int
    came_sequence: int | None
    made_utc: str | None
    acknowledged_utc: str | None
    taken_utc: str | None


class Parcels:
    """The parcels of one unit of work."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def next_sequence(self, peer_id: str) -> int:
        """Return the number of the next parcel to a peer."""
        newest = select(func.max(parcel_out.c.sequence)).where(parcel_out.c.peer_id == peer_id)
        return int(self._connection.execute(newest).scalar() or 0) + 1

    def last_out(self, peer_id: str, *, acknowledged: bool = False) -> OutRow | None:
        """Return the last parcel made for a peer, or the last that it acknowledged."""
        wanted = select(*_OUT).where(parcel_out.c.peer_id == peer_id)
        if acknowledged:
            wanted = wanted.where(parcel_out.c.acknowledged_utc.is_not(None))
        found = self._connection.execute(
            wanted.order_by(parcel_out.c.sequence.desc()).limit(1)
        ).first()
        return None if found is None else OutRow(**found._mapping)

    def add_out(self, row: OutRow, body: bytes | None) -> None:
        """Keep a parcel made for a peer."""
        values = {name: getattr(row, name) for name in OutRow.__slots__}
        self._connection.execute(insert(parcel_out).values({**values, "body": body}))

    def out(self, peer_id: str, sequence: int) -> OutRow:
        """Return a parcel made for a peer.

        Raises
        ------
        NotFound
            For a number that was not made.
        """
        found = self._connection.execute(select(*_OUT).where(_out_at(peer_id, sequence))).first()
        if found is None:
            raise NotFound(f"there is no parcel {sequence} for {peer_id[:80]!r}")
        return OutRow(**found._mapping)

    def out_body(self, peer_id: str, sequence: int) -> bytes:
        """Return the bytes of a parcel made for a peer.

        Raises
        ------
        NotFound
            For a number that was not made, and for bytes that are gone: it was acknowledged.
        """
        row = self.out(peer_id, sequence)
        wanted = select(parcel_out.c.body).where(_out_at(peer_id, sequence))
        body = self._connection.execute(wanted).scalar()
        if body is None:
            raise NotFound(f"parcel {row.sequence} was received; its bytes are no longer kept")
        return bytes(body)

    def outs(self, peer_id: str) -> list[OutRow]:
        """Return the parcels made for a peer, in order."""
        wanted = select(*_OUT).where(parcel_out.c.peer_id == peer_id)
        found = self._connection.execute(wanted.order_by(parcel_out.c.sequence))
        return [OutRow(**row._mapping) for row in found]

    def pushed(self, peer_id: str, sequence: int, now_utc: str) -> None:
        """Note that a parcel was brought to the peer's address."""
        self._connection.execute(
            update(parcel_out).where(_out_at(peer_id, sequence)).values(pushed_utc=now_utc)
        )

    def acknowledge(self, peer_id: str, sequence: int, now_utc: str) -> None:
        """Note that a peer has every parcel up to a number; their bytes are kept no longer."""
        up_to = (parcel_out.c.peer_id == peer_id) & (parcel_out.c.sequence <= sequence)
        new = up_to & parcel_out.c.acknowledged_utc.is_(None)
        self._connection.execute(
            update(parcel_out).where(new).values(acknowledged_utc=now_utc, body=None)
        )

    def came(self, peer_id: str, sequence: int) -> InRow | None:
        """Return the parcel of a number that came from a peer, None where none did."""
        found = self._connection.execute(select(*_IN).where(_in_at(peer_id, sequence))).first()
        return None if found is None else InRow(**found._mapping)

    def took(self, peer_id: str, manifest_sha256: str) -> bool:
        """Return whether the parcel of a manifest was taken."""
        wanted = select(parcel_in.c.sequence).where(
            parcel_in.c.peer_id == peer_id,
            parcel_in.c.manifest_sha256 == manifest_sha256,
            parcel_in.c.taken_utc.is_not(None),
        )
        return self._connection.execute(wanted).first() is not None

    def taken_body(self, sha256: str) -> InRow | None:
        """Return the parcel of these very bytes, if it was taken."""
        wanted = select(*_IN).where(
            parcel_in.c.sha256 == sha256, parcel_in.c.taken_utc.is_not(None)
        )
        found = self._connection.execute(wanted).first()
        return None if found is None else InRow(**found._mapping)

    def last_taken(self, peer_id: str) -> InRow | None:
        """Return the parcel of the highest number that was taken from a peer."""
        wanted = (
            select(*_IN)
            .where(parcel_in.c.peer_id == peer_id, parcel_in.c.taken_utc.is_not(None))
            .order_by(parcel_in.c.sequence.desc())
            .limit(1)
        )
        found = self._connection.execute(wanted).first()
        return None if found is None else InRow(**found._mapping)

    def hold(self, row: InRow, body: bytes) -> None:
        """Keep a parcel that waits for one before it."""
        values = {name: getattr(row, name) for name in InRow.__slots__}
        self._connection.execute(insert(parcel_in).values({**values, "body": body}))

    def take(self, row: InRow) -> None:
        """Note that a parcel was taken; one that was held is held no longer."""
        where = _in_at(row.peer_id, row.sequence)
        values = {name: getattr(row, name) for name in InRow.__slots__}
        if self.came(row.peer_id, row.sequence) is None:
            self._connection.execute(insert(parcel_in).values({**values, "body": None}))
            return
        self._connection.execute(
            update(parcel_in)
            .where(where)
            .values(taken_utc=row.taken_utc, summary=row.summary, body=None)
        )

    def drop_held(self, row: InRow) -> None:
        """Forget a parcel that was held and is refused."""
        held = _in_at(row.peer_id, row.sequence) & parcel_in.c.taken_utc.is_(None)
        self._connection.execute(delete(parcel_in).where(held))

    def forget_sent(self, peer_id: str) -> None:
        """Forget what a peer was sent and has sent: what it has is not known any more."""
        self._connection.execute(delete(parcel_item).where(parcel_item.c.peer_id == peer_id))

    def held(self, peer_id: str) -> list[InRow]:
        """Return the parcels of a peer that wait for one before them, in order."""
        wanted = select(*_IN).where(parcel_in.c.peer_id == peer_id, parcel_in.c.taken_utc.is_(None))
        found = self._connection.execute(wanted.order_by(parcel_in.c.sequence))
        return [InRow(**row._mapping) for row in found]

    def held_body(self, row: InRow) -> bytes:
        """Return the bytes of a parcel that is held."""
        wanted = select(parcel_in.c.body).where(_in_at(row.peer_id, row.sequence))
        return bytes(self._connection.execute(wanted).scalar_one())

    def ins(self, peer_id: str) -> list[InRow]:
        """Return the parcels that came from a peer, in order."""
        wanted = select(*_IN).where(parcel_in.c.peer_id == peer_id)
        found = self._connection.execute(wanted.order_by(parcel_in.c.sequence))
        return [InRow(**row._mapping) for row in found]

    def items(self, peer_id: str, prefix: str = "") -> dict[tuple[str, str], ItemRow]:
        """Return what a peer was sent or has sent, by kind and name; of a prefix of names."""
        wanted = (
            select(
                parcel_item.c.kind,
                parcel_item.c.name,
                parcel_item.c.sha256,
                parcel_item.c.sequence,
                parcel_item.c.came_sequence,
                parcel_out.c.made_utc,
                parcel_out.c.acknowledged_utc,
                parcel_in.c.taken_utc,
            )
            .outerjoin(
                parcel_out,
                and_(
                    parcel_out.c.peer_id == parcel_item.c.peer_id,
                    parcel_out.c.sequence == parcel_item.c.sequence,
                ),
            )
            .outerjoin(
                parcel_in,
                and_(
                    parcel_in.c.peer_id == parcel_item.c.peer_id,
                    parcel_in.c.sequence == parcel_item.c.came_sequence,
                ),
            )
            .where(parcel_item.c.peer_id == peer_id)
        )
        if prefix:
            wanted = wanted.where(parcel_item.c.name.startswith(prefix, autoescape=True))
        return {
            (row.kind, row.name): ItemRow(**row._mapping)
            for row in self._connection.execute(wanted)
        }

    def note_sent(self, peer_id: str, sequence: int, items: list[tuple[str, str, str]]) -> None:
        """Note what a parcel of ours carries: kind, name and sha256 of each."""
        for kind, name, sha256 in items:
            self._note(peer_id, kind, name, {"sha256": sha256, "sequence": sequence})

    def note_came(self, peer_id: str, sequence: int, items: list[tuple[str, str, str]]) -> None:
        """Note what a parcel of theirs carried."""
        for kind, name, sha256 in items:
            self._note(peer_id, kind, name, {"sha256": sha256, "came_sequence": sequence})

    def _note(self, peer_id: str, kind: str, name: str, values: Document) -> None:
        """Insert or change the row of a thing."""
        this = (
            (parcel_item.c.peer_id == peer_id)
            & (parcel_item.c.kind == kind)
            & (parcel_item.c.name == name)
        )
        if self._connection.execute(update(parcel_item).where(this).values(values)).rowcount:
            return
        row = {"peer_id": peer_id, "kind": kind, "name": name, "sequence": 0, **values}
        self._connection.execute(insert(parcel_item).values(row))


_OUT = tuple(parcel_out.c[name] for name in OutRow.__slots__)
_IN = tuple(parcel_in.c[name] for name in InRow.__slots__)


def _out_at(peer_id: str, sequence: int) -> Any:
    """Return the condition for one parcel of ours."""
    return (parcel_out.c.peer_id == peer_id) & (parcel_out.c.sequence == sequence)


def _in_at(peer_id: str, sequence: int) -> Any:
    """Return the condition for one parcel of theirs."""
    return (parcel_in.c.peer_id == peer_id) & (parcel_in.c.sequence == sequence)
