"""Who this installation is and whom it is paired with: identity, keys, pairing, revoking."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select, update

from wheelover.core.errors import NotFound
from wheelover.formats.parcel import PinnedKey, key_id_of
from wheelover.store.parcel_tables import (
    instance,
    instance_key,
    parcel_out,
    peer,
    peer_key,
    peer_plan,
)
from wheelover.store.sealing import Seal


@dataclass(frozen=True, slots=True, kw_only=True)
class InstanceRow:
    """What this installation is."""

    id: str
    name: str
    side: str
    made_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnKey:
    """A key of this installation, 32 bytes each half; the private one is None once wiped.

    It is None and ``lost``, too, where another key file has sealed it.
    """

    number: int
    public_key: bytes
    private_key: bytes | None
    lost: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PeerRow:
    """Another installation; ``our_key`` is the public key of ours that it has pinned, in hex.

    ``push_key_lost``: there is a key for its address, and another key file has sealed it.
    """

    id: str
    name: str
    side: str
    vessel_id: str
    state: str
    our_key: str
    paired_utc: str
    revoked_utc: str | None
    push_url: str | None
    push_key: str | None
    push_key_lost: bool = False
    clock_skew_s: int | None = None
    clock_noted_utc: str | None = None


class Peers:
    """Identity and peers of one unit of work."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        self._connection, self._seal = connection, seal

    def own(self) -> InstanceRow | None:
        """Return this installation, None before it was first asked for."""
        found = self._connection.execute(select(instance)).first()
        return None if found is None else InstanceRow(**found._mapping)

    def begin(self, row: InstanceRow) -> None:
        """Keep what this installation is."""
        self._insert(instance, id=row.id, name=row.name, side=row.side, made_utc=row.made_utc)

    def rename(self, name: str, side: str) -> None:
        """Change name and side of this installation."""
        self._connection.execute(update(instance).values(name=name, side=side))

    def add_own_key(self, public_key: bytes, private_key: bytes, now_utc: str) -> None:
        """Keep a new key of this installation."""
        newest = self._connection.execute(select(func.max(instance_key.c.number))).scalar()
        self._insert(
            instance_key,
            number=int(newest or 0) + 1,
            public_key=public_key.hex(),
            private_key=self._seal.kept(private_key.hex()),
            made_utc=now_utc,
        )

    def own_keys(self) -> list[OwnKey]:
        """Return the keys of this installation, newest first."""
        wanted = select(instance_key).order_by(instance_key.c.number.desc())
        return [self._own_key(row) for row in self._connection.execute(wanted)]

    def _own_key(self, row: Row[Any]) -> OwnKey:
        """Return a row as a key, its private half opened."""
        private = None if row.private_key is None else self._seal.read(row.private_key)
        return OwnKey(
            number=row.number,
            public_key=bytes.fromhex(row.public_key),
            private_key=None if private is None else bytes.fromhex(private),
            lost=private is None and row.private_key is not None,
        )

    def wipe_unused(self) -> None:
        """Forget the private half of every key but the newest that no paired peer has pinned."""
        newest = select(func.max(instance_key.c.number)).scalar_subquery()
        needed = select(peer.c.our_key).where(peer.c.state == "paired")
        self._connection.execute(
            update(instance_key)
            .where(instance_key.c.number < newest, instance_key.c.public_key.not_in(needed))
            .values(private_key=None)
        )

    def add(self, row: PeerRow) -> None:
        """Keep a new peer."""
        members = {name: getattr(row, name) for name in PeerRow.__slots__}
        del members["push_key_lost"]  # is told from what is kept
        self._insert(peer, **self._sealed(members))

    def change(self, peer_id: str, **values: Any) -> None:
        """Change columns of a peer."""
        self._connection.execute(
            update(peer).where(peer.c.id == peer_id).values(self._sealed(values))
        )

    def find(self, peer_id: str) -> PeerRow | None:
        """Return a peer, or None."""
        found = self._connection.execute(select(peer).where(peer.c.id == peer_id)).first()
        return None if found is None else self._peer(found)

    def _sealed(self, values: dict[str, Any]) -> dict[str, Any]:
        """Return columns as they are kept: the key for an address is sealed."""
        key = values.get("push_key")
        return values if key is None else {**values, "push_key": self._seal.kept(key)}

    def _peer(self, row: Row[Any]) -> PeerRow:
        """Return a row as a peer, the key for its address opened."""
        members = dict(row._mapping)
        kept = members["push_key"]
        members["push_key"] = None if kept is None else self._seal.read(kept)
        return PeerRow(**members, push_key_lost=kept is not None and members["push_key"] is None)

    def get(self, peer_id: str) -> PeerRow:
        """Return a peer.

        Raises
        ------
        NotFound
            For an id that stands for none.
        """
        found = self.find(peer_id)
        if found is None:
            raise NotFound(f"peer {peer_id[:80]!r} is not known here")
        return found

    def all(self) -> list[PeerRow]:
        """Return every peer, by name."""
        wanted = select(peer).order_by(peer.c.name, peer.c.id)
        return [self._peer(row) for row in self._connection.execute(wanted)]

    def to_bring(self) -> list[tuple[Any, ...]]:
        """Return addresses, keys as kept and newest parcels: what is new there is to be brought."""
        address = (peer.c.id, peer.c.push_url, peer.c.push_key)
        wanted = (
            select(*address, func.max(parcel_out.c.sequence))
            .outerjoin(parcel_out, parcel_out.c.peer_id == peer.c.id)
            .where(peer.c.push_url.is_not(None), peer.c.state == "paired")
            .group_by(*address)
            .order_by(peer.c.id)
        )
        return [tuple(row) for row in self._connection.execute(wanted)]

    def pin(self, peer_id: str, public_key: bytes, from_sequence: int, now_utc: str) -> None:
        """Pin a key of a peer; it signs parcels from a number on. One pinned before stays."""
        key_id = key_id_of(public_key)
        known = select(peer_key.c.key_id).where(peer_key.c.key_id == key_id)
        if self._connection.execute(known).first() is not None:
            return
        self._insert(
            peer_key,
            key_id=key_id,
            peer_id=peer_id,
            public_key=public_key.hex(),
            from_sequence=from_sequence,
            state="pinned",
            pinned_utc=now_utc,
        )

    def revoke_keys(self, peer_id: str, but: str | None = None) -> None:
        """Revoke the keys of a peer, but for the one of a key id and those that come after it."""
        which = (peer_key.c.peer_id == peer_id) & (peer_key.c.state == "pinned")
        if but is not None:
            since = (
                select(peer_key.c.from_sequence).where(peer_key.c.key_id == but).scalar_subquery()
            )
            which &= peer_key.c.from_sequence < since
        self._connection.execute(update(peer_key).where(which).values(state="revoked"))

    def keys(self) -> dict[str, PinnedKey]:
        """Return the keys of every peer by key id, revoked ones too."""
        wanted = select(peer_key, peer.c.state.label("peer_state")).join(
            peer, peer.c.id == peer_key.c.peer_id
        )
        return {
            row.key_id: PinnedKey(
                instance_id=row.peer_id,
                public_key=bytes.fromhex(row.public_key),
                revoked=row.state == "revoked" or row.peer_state == "revoked",
                from_sequence=row.from_sequence,
            )
            for row in self._connection.execute(wanted)
        }

    def newest_key(self, peer_id: str) -> bytes | None:
        """Return the newest pinned key of a peer, None where all are revoked."""
        wanted = (
            select(peer_key.c.public_key)
            .where(peer_key.c.peer_id == peer_id, peer_key.c.state == "pinned")
            .order_by(peer_key.c.from_sequence.desc())
            .limit(1)
        )
        found = self._connection.execute(wanted).scalar()
        return None if found is None else bytes.fromhex(found)

    def has_key(self, key_id: str) -> str | None:
        """Return whose a key is, None where it is not known."""
        wanted = select(peer_key.c.peer_id).where(peer_key.c.key_id == key_id)
        found = self._connection.execute(wanted).scalar()
        return None if found is None else str(found)

    def choose(self, peer_id: str, plan_id: str, now_utc: str) -> None:
        """Let a plan go to a peer from now on."""
        if plan_id not in self.chosen(peer_id):
            self._insert(peer_plan, peer_id=peer_id, plan_id=plan_id, chosen_utc=now_utc)

    def chosen(self, peer_id: str) -> list[str]:
        """Return the plans that go to a peer."""
        wanted = select(peer_plan.c.plan_id).where(peer_plan.c.peer_id == peer_id)
        return [row.plan_id for row in self._connection.execute(wanted.order_by("plan_id"))]

    def _insert(self, table: Any, **row: Any) -> None:
        """Insert a row."""
        self._connection.execute(insert(table).values(row))
