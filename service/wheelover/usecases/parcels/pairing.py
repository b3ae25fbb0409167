"""Pairing with another installation: its key is pinned after its fingerprint was read by voice."""

import re
from collections.abc import Collection
from dataclasses import asdict, dataclass
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from wheelover.core.errors import Conflict, Fault, InvalidInput
from wheelover.core.types.people import Person
from wheelover.formats.parcel import fingerprint_of, key_id_of
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.parcels import InRow, OutRow
from wheelover.store.peers import PeerRow
from wheelover.usecases.parcels.clocks import clock_words
from wheelover.usecases.parcels.identity import identity_in

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What another installation says of itself; ``public_key`` in hex."""

    id: str
    name: str
    side: str
    public_key: str


def pair(
    store: Store,
    card: Card,
    fingerprint: str,
    vessel_id: str | None,
    person: Person,
    now_utc: str,
) -> Document:
    """Pin the key of another installation.

    Parameters
    ----------
    store : Store
        Where peers are kept.
    card : Card
        What it says of itself.
    fingerprint : str
        Its fingerprint as read by voice from its own screen, in any grouping.
    vessel_id : str or None
        The vessel here to which its plans belong. None: ashore a new one of the peer's name, on
        board our own.
    person : Person
        Who compared the fingerprint.
    now_utc : str
        The time, RFC 3339.

    Raises
    ------
    InvalidInput
        When the fingerprint is another, or the card is our own.
    Conflict
        When it is paired with another key, or the key was revoked.
    NotFound
        For a vessel that is not stored.
    """
    public_key = _key_of(card)
    _require_fingerprint(card, public_key, fingerprint)
    with store.writing() as unit:
        own = identity_in(unit, now_utc)
        if card.id == own.row.id:
            raise _fault("/id", "this is the card of this installation itself")
        before = unit.peers.find(card.id)
        if before is not None and before.state == "paired":
            if unit.peers.has_key(key_id_of(public_key)) == card.id:
                return peer_document(unit, before)
            raise Conflict("It is paired with another key. Revoke it first, if that key is lost.")
        if unit.peers.has_key(key_id_of(public_key)) is not None:
            raise Conflict("That key was revoked here. Let the other side make a new one.")
        _keep(unit, card, before, vessel_id, own.public_key.hex(), now_utc)
        unit.peers.pin(card.id, public_key, 1, now_utc)
        noted(unit, card.id, "peer.paired", person, now_utc, key_id=key_id_of(public_key))
        return peer_document(unit, unit.peers.get(card.id))


def _keep(
    unit: Unit,
    card: Card,
    before: PeerRow | None,
    vessel_id: str | None,
    our_key: str,
    now_utc: str,
) -> None:
    """Insert a peer, or let one that was revoked be paired again."""
    if before is not None:
        if vessel_id not in (None, before.vessel_id):
            raise Conflict("Its plans belong to another vessel here, and stay with her.")
        unit.peers.change(
            card.id, name=card.name, state="paired", our_key=our_key, paired_utc=now_utc,
            revoked_utc=None,
        )  # fmt: skip
        return
    own = unit.peers.own()
    ashore = own is not None and own.side == "shore"
    if vessel_id is None:
        vessel_id = unit.vessels.add(card.name, "", now_utc).id if ashore else "own"
    row = PeerRow(
        id=card.id,
        name=card.name,
        side=card.side,
        vessel_id=unit.vessels.get(vessel_id).id,
        state="paired",
        our_key=our_key,
        paired_utc=now_utc,
        revoked_utc=None,
        push_url=None,
        push_key=None,
    )
    unit.peers.add(row)


def _key_of(card: Card) -> bytes:
    """Return the public key of a card, which must be a point of the curve."""
    try:
        return Ed25519PublicKey.from_public_bytes(bytes.fromhex(card.public_key)).public_bytes_raw()
    except ValueError as error:
        raise _fault("/public_key", "this is no public key of Ed25519") from error


def _require_fingerprint(card: Card, public_key: bytes, fingerprint: str) -> None:
    """Refuse a card whose fingerprint is not the one that was read by voice."""
    wanted = fingerprint_of(card.id, card.side, public_key)
    if re.sub(r"[\s-]", "", fingerprint) != wanted.replace(" ", ""):
        raise _fault(
            "/fingerprint",
            "the card has another fingerprint than the one that was read. Do not pair: read it "
            "again from the other side's own screen, and ask for the card anew",
        )


def _fault(pointer: str, message: str) -> InvalidInput:
    """Return the error for one member."""
    return InvalidInput(message, (Fault(pointer=pointer, message=message),))


def noted(unit: Unit, peer_id: str, what: str, person: Person, now_utc: str, **more: Any) -> None:
    """Write an entry about a peer in the audit log."""
    entry = {"what": what, "peer_id": peer_id, "by": asdict(person), **more}
    unit.audit.add(unit.peers.get(peer_id).vessel_id, entry, now_utc)


def revoke(store: Store, peer_id: str, person: Person, now_utc: str) -> Document:
    """Revoke a peer: nothing signed with a key of it is taken any more. What came stays.

    Raises
    ------
    NotFound
        For a peer that is not known.
    """
    with store.writing() as unit:
        if unit.peers.get(peer_id).state != "revoked":
            unit.peers.revoke_keys(peer_id)
            unit.peers.change(peer_id, state="revoked", revoked_utc=now_utc)
            unit.peers.wipe_unused()
            noted(unit, peer_id, "peer.revoked", person, now_utc)
        return peer_document(unit, unit.peers.get(peer_id))


def peers_listed(store: Store, vessels: Collection[str] | None) -> list[Document]:
    """Return the peers of some vessels as JSON values, of every vessel where None are named."""
    with store.reading() as unit:
        return [
            peer_document(unit, row)
            for row in unit.peers.all()
            if vessels is None or row.vessel_id in vessels
        ]


def peer_of(store: Store, peer_id: str) -> Document:
    """Return a peer with its parcels as JSON values.

    Raises
    ------
    NotFound
        For a peer that is not known.
    """
    with store.reading() as unit:
        row = unit.peers.get(peer_id)
        return {
            **peer_document(unit, row),
            "sent": [out_document(one) for one in unit.parcels.outs(peer_id)],
            "came": [in_document(one) for one in unit.parcels.ins(peer_id)],
        }


def peer_document(unit: Unit, row: PeerRow) -> Document:
    """Return a peer as JSON values."""
    key = unit.peers.newest_key(row.id)
    return {
        "id": row.id,
        "name": row.name,
        "side": row.side,
        "vessel_id": row.vessel_id,
        "state": row.state,
        "fingerprint": None if key is None else fingerprint_of(row.id, row.side, key),
        "paired_utc": row.paired_utc,
        "revoked_utc": row.revoked_utc,
        "pushed": row.push_url is not None,
        "clock": None
        if row.clock_skew_s is None
        else {
            "skew_s": row.clock_skew_s,
            "noted_utc": row.clock_noted_utc,
            "words": clock_words(row.name, row.clock_skew_s),
        },
        "plans": unit.peers.chosen(row.id),
    }


def out_document(row: OutRow) -> Document:
    """Return a parcel made for a peer as JSON values."""
    return {
        "peer_id": row.peer_id,
        "sequence": row.sequence,
        "state": "received" if row.acknowledged_utc is not None else "sent",
        "size_count": row.size_count,
        "sha256": row.sha256,
        "manifest_sha256": row.manifest_sha256,
        "previous_sha256": row.previous_sha256,
        "made_utc": row.made_utc,
        "pushed_utc": row.pushed_utc,
        "acknowledged_utc": row.acknowledged_utc,
        "carries": read_json(row.summary.encode()),
        "href": f"/api/v1/peers/{row.peer_id}/parcels/{row.sequence}",
    }


def in_document(row: InRow) -> Document:
    """Return a parcel that came as JSON values."""
    carries = read_json(row.summary.encode())
    return {
        "peer_id": row.peer_id,
        "sequence": row.sequence,
        "state": "held" if row.taken_utc is None else "taken",
        "size_count": row.size_count,
        "sha256": row.sha256,
        "manifest_sha256": row.manifest_sha256,
        "previous_sha256": row.previous_sha256,
        "received_utc": row.received_utc,
        "taken_utc": row.taken_utc,
        "clock_skew_s": carries.get("clock_skew_s"),
        "carries": carries,
    }
