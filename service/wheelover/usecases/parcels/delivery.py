"""Which parcels are to be brought to the address of a peer, and that they were."""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from wheelover.core.errors import InvalidInput
from wheelover.core.types.people import Person
from wheelover.store import Store
from wheelover.usecases.parcels.pairing import noted


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """A parcel that is to be brought: where, with which key, and its digest."""

    peer_id: str
    sequence: int
    url: str
    key: str | None
    key_lost: bool
    sha256: str
    size_count: int


def deliveries(store: Store) -> list[Delivery]:
    """Return the parcels that were neither brought nor received, of peers that have an address."""
    with store.reading() as unit:
        return [
            Delivery(
                peer_id=peer.id,
                sequence=row.sequence,
                url=peer.push_url,
                key=peer.push_key,
                key_lost=peer.push_key_lost,
                sha256=row.sha256,
                size_count=row.size_count,
            )
            for peer in unit.peers.all()
            if peer.push_url is not None and peer.state == "paired"
            for row in unit.parcels.outs(peer.id)
            if row.pushed_utc is None and row.acknowledged_utc is None
        ]


def sign_of(store: Store) -> list[tuple[Any, ...]]:
    """Return what changes when an address is set or a parcel made, in this process or another."""
    with store.reading() as unit:
        return unit.peers.to_bring()


def note_delivered(store: Store, one: Delivery, now_utc: str) -> None:
    """Note that a parcel was brought. Only the peer's own later parcel says it was received."""
    with store.writing() as unit:
        unit.parcels.pushed(one.peer_id, one.sequence, now_utc)


def set_address(store: Store, peer_id: str, url: str | None, key: str | None, now_utc: str) -> None:
    """Set where parcels for a peer are brought to; None switches it off.

    Called by the command on this machine alone: no request and no parcel can set it.

    Raises
    ------
    NotFound
        For a peer that is not known.
    InvalidInput
        For what is no http or https address.
    """
    if url is not None:
        try:
            parts = urlsplit(url)
            sound = parts.scheme in ("http", "https") and bool(parts.hostname)
            sound = sound and parts.username is None and not parts.query and not parts.fragment
            sound = sound and (parts.port is None or parts.port > 0)
        except ValueError:
            sound = False
        if not sound:
            raise InvalidInput(f"{url!r} is no address; use https://host or http://host:port")
    with store.writing() as unit:
        unit.peers.get(peer_id)
        unit.peers.change(peer_id, push_url=url, push_key=key)
        noted(unit, peer_id, "peer.push", Person(), now_utc, url=url)
