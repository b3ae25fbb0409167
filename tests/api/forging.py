"""Parcels that no side of ours would make, signed all the same with the key of one that is paired.

A paired side that was taken over can sign what it likes: what it may not send is refused.
"""

import dataclasses
from typing import Any

from tests.api.sides import Side
from wheelover.formats.parcel import (
    Index,
    Manifest,
    index_bytes,
    key_id_of,
    packed,
    sealed,
)


def forged(
    sender: Side,
    recipient: Side,
    index: Index | bytes,
    bodies: tuple[bytes, ...] = (),
    **changed: Any,
) -> bytes:
    """Return a parcel with any index and any parts, with the sender's own key under it."""
    with sender.store.reading() as unit:
        own = unit.peers.own()
        key = unit.peers.own_keys()[0]
        sequence = unit.parcels.next_sequence(recipient.id)
    text = index if isinstance(index, bytes) else index_bytes(index)
    both = [packed(body) for body in (text, *bodies)]
    manifest = Manifest(
        sender_id=own.id,
        sender_name=own.name,
        sender_side=own.side,
        recipient_id=recipient.id,
        key_id=key_id_of(key.public_key),
        sequence=sequence,
        previous_sha256=None,
        acknowledged=None,
        next_key=None,
        made_utc="2026-11-26T04:00:00.000Z",
        made_with="wheelover 0.1.0",
        audit_heads=(),
        witnessed=(),
        index_sha256=both[0][0].sha256,
        parts=tuple(part for part, _ in both),
    )
    manifest = dataclasses.replace(manifest, **changed)
    return sealed(manifest, {part.sha256: stream for part, stream in both}, key.private_key)
