"""Taking a parcel: all of it in one transaction, or nothing and a record of the refusal."""

import hashlib
from collections.abc import Callable
from typing import Any

from wheelover.core.errors import ParcelRefused
from wheelover.formats.parcel import (
    Manifest,
    Opened,
    PinnedKey,
    Place,
    head_documents,
    index_bytes,
    opened,
    parts_of,
    refused,
)
from wheelover.formats.parcel.index import read_index
from wheelover.formats.parcel.manifest import manifest_bytes
from wheelover.formats.strict_json import read_json
from wheelover.store import Store, Unit
from wheelover.store.parcels import InRow, OutRow
from wheelover.store.peers import PeerRow
from wheelover.store.plans import OWN_VESSEL
from wheelover.usecases.canonical import canonical
from wheelover.usecases.parcels.carrying import BLOB
from wheelover.usecases.parcels.clocks import note_clock, skew_of_parcel_s
from wheelover.usecases.parcels.identity import identity
from wheelover.usecases.parcels.pairing import in_document
from wheelover.usecases.parcels.receiving import Receiver

Document = dict[str, Any]
CheckRevision = Callable[[Document], None]
"""Raises InvalidInput for what is no document of a revision."""

May = Callable[[str], bool]
"""Whether something may be done on a vessel."""


def everybody(_vessel_id: str) -> bool:
    """Let everybody do it: there are no accounts."""
    return True


_MOST_HELD = 64
_MOST_HELD_COUNT = 200 * 1024 * 1024


def take_parcel(
    store: Store, body: bytes, check: CheckRevision, now_utc: str, may: May = everybody
) -> Document:
    """Take a parcel.

    Parameters
    ----------
    store : Store
        Where it goes.
    body : bytes
        The file.
    check : callable
        Called with the document of each revision in it; raises InvalidInput for what is none.
    now_utc : str
        The time, RFC 3339.
    may : callable
        Whether whoever brings it may bring parcels of a vessel. To others its sender is as good
        as not known.

    Returns
    -------
    dict
        ``state`` is ``taken``; ``already_taken`` for one that was, which changes nothing; or
        ``held`` for one that waits for another before it. ``released`` are the numbers of those
        that waited for this one and were taken after it.

    Raises
    ------
    ParcelRefused
        When it is not for us, not from a peer, damaged, or not what it says. Nothing was changed
        then but for an entry in the audit log.
    """
    own = identity(store, now_utc)
    with store.reading() as unit:
        keys = keys_of(unit, may)
        before = unit.parcels.taken_body(hashlib.sha256(body).hexdigest())
        seen = before is not None and may(unit.peers.get(before.peer_id).vessel_id)
    if before is not None and seen:
        return {**in_document(before), "state": "already_taken", "released": []}
    try:
        parcel = opened(body, keys, own.row.id)
        with store.reading() as unit:
            for _ in parts_of(parcel, _bases(unit, parcel.manifest), unbuilt=True):
                pass
        with store.writing() as unit:
            state, row = _settle(unit, parcel, check, now_utc)
    except ParcelRefused as error:
        note_refusal(store, body, error, now_utc)
        raise
    released = _release(store, row.peer_id, check, now_utc) if state == "taken" else []
    return {**in_document(row), "state": state, "released": released}


def _bases(unit: Unit, manifest: Manifest) -> Callable[[str], bytes | None]:
    """Return what gives the bytes that parts may be built on: those that went or came before."""
    between = {name for kind, name in unit.parcels.items(manifest.sender_id) if kind == BLOB}

    def base_of(digest: str) -> bytes | None:
        known = digest in between and unit.carried.has_blob(digest)
        return unit.blobs.get(digest) if known else None

    return base_of


def keys_of(unit: Unit, may: May) -> dict[str, PinnedKey]:
    """Return the keys of those peers of whose vessels parcels may be brought."""
    return {
        key_id: key
        for key_id, key in unit.peers.keys().items()
        if may(unit.peers.get(key.instance_id).vessel_id)
    }


def parcel_shown(store: Store, body: bytes, now_utc: str) -> Document:
    """Return what a parcel for us says of itself, its parts held against it; nothing is changed.

    Raises
    ------
    ParcelRefused
        When it is not for us, not from a peer, or damaged.
    """
    own = identity(store, now_utc)
    with store.reading() as unit:
        keys = unit.peers.keys()
    parcel = opened(body, keys, own.row.id)
    manifest = parcel.manifest
    with store.reading() as unit:
        parts = parts_of(parcel, _bases(unit, manifest), unbuilt=True)
        bodies = {part.sha256: text for part, text in parts}
    return {
        "manifest_sha256": parcel.manifest_sha256,
        "size_count": len(body),
        "manifest": read_json(manifest_bytes(manifest)),
        "index": read_json(index_bytes(read_index(bodies[manifest.index_sha256]))),
    }


def _settle(unit: Unit, parcel: Opened, check: CheckRevision, now_utc: str) -> tuple[str, InRow]:
    """Take, hold or pass over a parcel whose parts are whole."""
    manifest = parcel.manifest
    peer = _still_paired(unit, manifest)
    before = unit.parcels.came(peer.id, manifest.sequence)
    if before is not None and before.manifest_sha256 != parcel.manifest_sha256:
        raise refused(
            "sequence",
            f"Another parcel with number {manifest.sequence} came from {peer.name} before. If its "
            "store was set back to a backup, take a parcel from here there first.",
        )
    if before is not None and before.taken_utc is not None:
        return "already_taken", before
    row = _row(peer, parcel, now_utc)
    previous = manifest.previous_sha256
    if previous is not None and not unit.parcels.took(peer.id, previous):
        if before is None:
            _require_room(unit, peer, row)
            unit.parcels.hold(row, parcel.body)
        return "held", before or row
    return "taken", _take(unit, peer, parcel, row, check, now_utc)


def _still_paired(unit: Unit, manifest: Manifest) -> PeerRow:
    """Return the sender, after its key has been looked at again inside the transaction."""
    key = unit.peers.keys().get(manifest.key_id)
    if key is None or key.revoked:
        raise refused("key", "The parcel is signed with a key that was revoked here.")
    return unit.peers.get(manifest.sender_id)


def _require_room(unit: Unit, peer: PeerRow, row: InRow) -> None:
    """Refuse to hold more than a peer may leave waiting."""
    held = unit.parcels.held(peer.id)
    size_count = sum(one.size_count for one in held) + row.size_count
    if len(held) >= _MOST_HELD or size_count > _MOST_HELD_COUNT:
        raise refused(
            "sequence",
            f"Too many parcels of {peer.name} wait for one before them; bring that one first.",
        )


def _row(peer: PeerRow, parcel: Opened, now_utc: str) -> InRow:
    """Return what is kept of a parcel that came."""
    return InRow(
        peer_id=peer.id,
        sequence=parcel.manifest.sequence,
        manifest_sha256=parcel.manifest_sha256,
        previous_sha256=parcel.manifest.previous_sha256,
        sha256=hashlib.sha256(parcel.body).hexdigest(),
        size_count=len(parcel.body),
        summary=canonical({"waits_for": parcel.manifest.previous_sha256}).decode(),
        received_utc=now_utc,
        taken_utc=None,
    )


def _take(
    unit: Unit, peer: PeerRow, parcel: Opened, row: InRow, check: CheckRevision, now_utc: str
) -> InRow:
    """Take a parcel inside a transaction."""
    manifest = parcel.manifest
    receiver = Receiver(unit, peer, check, now_utc)
    index = None
    for part, body in parts_of(parcel, _bases(unit, manifest)):
        if part.sha256 == manifest.index_sha256:
            index = read_index(body)
        else:
            unit.blobs.put(body)
            receiver.blobs.add(part.sha256)
    if index is None:
        raise refused("schema", "The parcel has no index.")
    summary = receiver.receive(index)
    if manifest.acknowledged is not None:
        _acknowledged(unit, peer, manifest.acknowledged, now_utc)
    summary["audit_went_back"] = _audit_went_back(unit, peer, manifest)
    _turn_keys(unit, peer, manifest, now_utc)
    skew_s = skew_of_parcel_s(unit, manifest, now_utc)
    seen_in = f"parcel {manifest.sequence}"
    summary["clock_skew_s"] = note_clock(unit, unit.peers.get(peer.id), skew_s, seen_in, now_utc)
    summary["audit_differs"] = [
        head
        for head in head_documents(manifest.witnessed)
        if unit.audit.hash_at(head["vessel_id"], head["number"]) != head["hash"]
    ]
    heads = head_documents(manifest.audit_heads)
    known = {name: getattr(row, name) for name in InRow.__slots__}
    text = canonical({**summary, "audit_heads": heads, "made_utc": manifest.made_utc}).decode()
    taken = InRow(**{**known, "taken_utc": now_utc, "summary": text})
    unit.parcels.take(taken)
    unit.parcels.note_came(peer.id, manifest.sequence, receiver.items)
    entry = {
        "what": "parcel.taken",
        "peer_id": peer.id,
        "sequence": manifest.sequence,
        "manifest_sha256": parcel.manifest_sha256,
        "audit_heads": heads,
        # What is at home at the peer since, and each edition that came: ``usecases/kept.py``.
        "plans": receiver.new_plans,
        "editions": receiver.new_editions,
        "audit_went_back": summary["audit_went_back"],
        "audit_differs": summary["audit_differs"],
    }
    unit.audit.add(peer.vessel_id, entry, now_utc)
    return taken


def _acknowledged(unit: Unit, peer: PeerRow, place: Place, now_utc: str) -> None:
    """Note which of our parcels the peer has, and whether it has a key of ours since.

    A place that is not ours means that our store was set back to a backup: what was made after
    it is gone here. The next parcel then follows on from that place and carries everything.
    """
    ours = {one.sequence: one for one in unit.parcels.outs(peer.id)}
    row = ours.get(place.sequence)
    if row is None or row.manifest_sha256 != place.manifest_sha256:
        if any(one.manifest_sha256 == place.manifest_sha256 for one in ours.values()):
            return
        lost = OutRow(
            peer_id=peer.id,
            sequence=max(place.sequence, unit.parcels.next_sequence(peer.id)),
            manifest_sha256=place.manifest_sha256,
            previous_sha256=None,
            sha256=place.manifest_sha256,
            size_count=0,
            next_key=None,
            summary=canonical({"lost": True, "acknowledged": None}).decode(),
            made_utc=now_utc,
            pushed_utc=None,
            acknowledged_utc=now_utc,
        )
        unit.parcels.add_out(lost, None)
        unit.parcels.forget_sent(peer.id)
        return
    unit.parcels.acknowledge(peer.id, place.sequence, now_utc)
    announced = [one.next_key for number, one in sorted(ours.items()) if number <= place.sequence]
    newest = next((key for key in reversed(announced) if key is not None), None)
    if newest is not None and newest != peer.our_key:
        unit.peers.change(peer.id, our_key=newest)
        unit.peers.wipe_unused()


def _turn_keys(unit: Unit, peer: PeerRow, manifest: Manifest, now_utc: str) -> None:
    """Pin the next key of the sender, and revoke those before the one it signs with now."""
    unit.peers.revoke_keys(peer.id, but=manifest.key_id)
    if manifest.next_key is not None:
        key = bytes.fromhex(manifest.next_key)
        unit.peers.pin(peer.id, key, manifest.sequence + 1, now_utc)
    if manifest.sender_name != peer.name:
        unit.peers.change(peer.id, name=manifest.sender_name)


def _audit_went_back(unit: Unit, peer: PeerRow, manifest: Manifest) -> bool:
    """Return whether the sender's audit chain is shorter than it was, or another at its end."""
    last = unit.parcels.last_taken(peer.id)
    if last is None or last.sequence > manifest.sequence:
        return False
    before = {one["vessel_id"]: one for one in read_json(last.summary.encode())["audit_heads"]}
    return any(
        head.number < before[head.vessel_id]["number"]
        or (
            head.number == before[head.vessel_id]["number"]
            and head.hash != before[head.vessel_id]["hash"]
        )
        for head in manifest.audit_heads
        if head.vessel_id in before
    )


def _release(store: Store, peer_id: str, check: CheckRevision, now_utc: str) -> list[int]:
    """Take the parcels of a peer that waited, as far as those before them are here.

    Each is taken in a transaction of its own, so that one that is refused spoils no other.
    """
    released: list[int] = []
    while True:
        with store.reading() as unit:
            own = unit.peers.own()
            ready = [
                row
                for row in unit.parcels.held(peer_id)
                if row.previous_sha256 is None or unit.parcels.took(peer_id, row.previous_sha256)
            ]
            keys = unit.peers.keys()
            bodies = [unit.parcels.held_body(row) for row in ready[:1]]
        if not ready or own is None:
            return released
        try:
            parcel = opened(bodies[0], keys, own.id)
            with store.writing() as unit:
                _settle(unit, parcel, check, now_utc)
            released.append(ready[0].sequence)
        except ParcelRefused as error:
            with store.writing() as unit:
                unit.parcels.drop_held(ready[0])
            note_refusal(store, bodies[0], error, now_utc)


def note_refusal(store: Store, body: bytes, error: ParcelRefused, now_utc: str) -> None:
    """Write in the audit log that a parcel was refused: of the peer whose key it names, if any."""
    with store.writing() as unit:
        peer_id = unit.peers.has_key(body[14:46].hex()) if len(body) >= 46 else None
        vessel_id = OWN_VESSEL if peer_id is None else unit.peers.get(peer_id).vessel_id
        entry = {
            "what": "parcel.refused",
            "peer_id": peer_id,
            "reason": error.reason,
            "detail": str(error)[:500],
            "size_count": len(body),
            "sha256": hashlib.sha256(body).hexdigest(),
        }
        unit.audit.add(vessel_id, entry, now_utc)
