"""The manifest of a parcel: who sends what to whom, as canonical JSON (RFC 8785)."""

from dataclasses import dataclass
from typing import Any

import rfc8785

from wheelover.core.errors import UnreadableFile
from wheelover.formats.parcel.limits import Limits, refused
from wheelover.formats.parcel.shapes import (
    HEX,
    ID,
    MOST_NUMBER,
    UTC,
    Document,
    hex_or_none,
    listed,
    members,
    text,
    whole,
    words,
)
from wheelover.formats.strict_json import read_json

FORMAT = "wheelover-parcel"
VERSION = 1
WITH_DELTAS = 2
"""Of a parcel in which a part is built on another; an older reader says that it is too new."""
SIDES = ("ship", "shore")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part: what it is once unpacked, and how it lies in the parcel.

    With ``base_sha256`` it lies there as the difference (``delta``) to bytes that the recipient has
    from this sender, or to a part before it.
    """

    sha256: str
    size_count: int
    packed_sha256: str
    packed_count: int
    base_sha256: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One parcel in the row of those a sender made for a recipient, by number and manifest."""

    sequence: int
    manifest_sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditHead:
    """The end of a vessel's audit chain as the sender has it."""

    vessel_id: str
    number: int
    hash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a parcel says of itself, under the signature.

    ``previous_sha256`` is the manifest of the parcel before it, ``acknowledged`` the last parcel
    that the sender took from the recipient, ``next_key`` the public key that signs from the next
    parcel on, ``index_sha256`` the part that says what the others are. ``audit_heads`` are the ends
    of the sender's own audit chains, ``witnessed`` those of the recipient's that came last.
    """

    sender_id: str
    sender_name: str
    sender_side: str
    recipient_id: str
    key_id: str
    sequence: int
    previous_sha256: str | None
    acknowledged: Place | None
    next_key: str | None
    made_utc: str
    made_with: str
    audit_heads: tuple[AuditHead, ...]
    witnessed: tuple[AuditHead, ...]
    index_sha256: str
    parts: tuple[Part, ...]


def manifest_bytes(manifest: Manifest) -> bytes:
    """Return a manifest as the canonical JSON that is signed."""
    acknowledged = manifest.acknowledged
    return rfc8785.dumps(
        {
            "format": FORMAT,
            "version": _version(manifest),
            "sender": {
                "id": manifest.sender_id,
                "name": manifest.sender_name,
                "side": manifest.sender_side,
            },
            "recipient": manifest.recipient_id,
            "key_id": manifest.key_id,
            "sequence": manifest.sequence,
            "previous_sha256": manifest.previous_sha256,
            "acknowledged": None if acknowledged is None else _place(acknowledged),
            "next_key": manifest.next_key,
            "made_utc": manifest.made_utc,
            "made_with": manifest.made_with,
            "audit_heads": head_documents(manifest.audit_heads),
            "witnessed": head_documents(manifest.witnessed),
            "index_sha256": manifest.index_sha256,
            "parts": [_part_document(part) for part in manifest.parts],
        }
    )


def _version(manifest: Manifest) -> int:
    """Return the least version that can say it."""
    built = any(part.base_sha256 is not None for part in manifest.parts)
    return WITH_DELTAS if built else VERSION


def _part_document(part: Part) -> list[Any]:
    """Return a part as JSON values."""
    base = [] if part.base_sha256 is None else [part.base_sha256]
    return [part.sha256, part.size_count, part.packed_sha256, part.packed_count, *base]


def head_documents(heads: tuple[AuditHead, ...]) -> list[Document]:
    """Return ends of audit chains as JSON values."""
    return [{"vessel_id": one.vessel_id, "number": one.number, "hash": one.hash} for one in heads]


def _place(place: Place) -> Document:
    """Return a place as JSON values."""
    return {"sequence": place.sequence, "manifest_sha256": place.manifest_sha256}


def read_manifest(body: bytes, limits: Limits) -> Manifest:
    """Return the manifest of bytes whose signature holds.

    Raises
    ------
    ParcelRefused
        For anything but the canonical JSON of a manifest within the limits.
    """
    try:
        value = read_json(body)
        canonical = rfc8785.dumps(value)
    except (UnreadableFile, rfc8785.CanonicalizationError) as error:
        raise refused("schema", f"The parcel's manifest cannot be read: {error}") from error
    if canonical != body:
        raise refused("schema", "The parcel's manifest is not canonical JSON.")
    manifest = _manifest(value)
    _require_within(manifest, limits)
    return manifest


def _manifest(value: Any) -> Manifest:
    """Return a JSON value as a manifest."""
    given = members(
        value,
        "format version sender recipient key_id sequence previous_sha256 acknowledged next_key "
        "made_utc made_with audit_heads witnessed index_sha256 parts",
    )
    if given["format"] != FORMAT or given["version"] not in (VERSION, WITH_DELTAS):
        raise refused("schema", "The parcel's manifest is of another kind or a newer version.")
    sender = members(given["sender"], "id name side")
    if sender["side"] not in SIDES:
        raise refused("schema", "The parcel's sender is neither ship nor shore.")
    manifest = Manifest(
        sender_id=text(sender["id"], ID),
        sender_name=words(sender["name"]),
        sender_side=sender["side"],
        recipient_id=text(given["recipient"], ID),
        key_id=text(given["key_id"], HEX),
        sequence=whole(given["sequence"], 1, MOST_NUMBER),
        previous_sha256=hex_or_none(given["previous_sha256"]),
        acknowledged=_acknowledged(given["acknowledged"]),
        next_key=hex_or_none(given["next_key"]),
        made_utc=text(given["made_utc"], UTC),
        made_with=words(given["made_with"]),
        audit_heads=tuple(_head(one) for one in listed(given["audit_heads"])),
        witnessed=tuple(_head(one) for one in listed(given["witnessed"])),
        index_sha256=text(given["index_sha256"], HEX),
        parts=tuple(_part(one) for one in listed(given["parts"])),
    )
    if given["version"] != _version(manifest):
        raise refused("schema", "The parcel's manifest is not of the version it says.")
    return manifest


def _require_within(manifest: Manifest, limits: Limits) -> None:
    """Refuse a manifest whose parts are too many, too large, doubled, or without an index."""
    parts = manifest.parts
    if len(parts) > limits.parts_count:
        raise refused("size", f"The parcel has {len(parts)} parts; {limits.parts_count} at most.")
    names = [part.sha256 for part in parts]
    if len(set(names)) != len(names):
        raise refused("schema", "A part of the parcel is named twice.")
    if manifest.index_sha256 not in names:
        raise refused("schema", "The parcel has no part that says what the others are.")
    if sum(part.size_count for part in parts) > limits.unpacked_count:
        raise refused("size", "The parcel unpacks to more than is taken.")
    for part in parts:
        if part.size_count > limits.part_count:
            raise refused("size", f"The part {part.sha256} unpacks to more than is taken.")
        # What is built on bytes that are here may be tiny and is no bomb: its size is bounded.
        ratio = part.size_count / part.packed_count
        if part.base_sha256 is None and ratio > limits.unpacked_to_packed_ratio:
            raise refused(
                "size",
                f"The part {part.sha256} unpacks to more than "
                f"{limits.unpacked_to_packed_ratio} times its size.",
            )


def _acknowledged(value: Any) -> Place | None:
    """Return the place of the parcel that is acknowledged, or None."""
    if value is None:
        return None
    place = members(value, "sequence manifest_sha256")
    return Place(
        sequence=whole(place["sequence"], 1, MOST_NUMBER),
        manifest_sha256=text(place["manifest_sha256"], HEX),
    )


def _head(value: Any) -> AuditHead:
    """Return the end of an audit chain."""
    head = members(value, "vessel_id number hash")
    return AuditHead(
        vessel_id=text(head["vessel_id"], ID),
        number=whole(head["number"], 0, MOST_NUMBER),
        hash=text(head["hash"], HEX),
    )


def _part(value: Any) -> Part:
    """Return a part."""
    four = listed(value)
    if len(four) not in (4, 5):
        raise refused("schema", "A part in the parcel's manifest has four members or five.")
    return Part(
        sha256=text(four[0], HEX),
        size_count=whole(four[1], 0),
        packed_sha256=text(four[2], HEX),
        packed_count=whole(four[3], 1),
        base_sha256=text(four[4], HEX) if len(four) == 5 else None,
    )
