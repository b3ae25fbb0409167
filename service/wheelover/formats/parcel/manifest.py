"""The manifest of a parcel: who sends what to whom, as canonical JSON (RFC 8785)."""

import re
from dataclasses import dataclass
from typing import Any

import rfc8785

from wheelover.core.errors import UnreadableFile
from wheelover.formats.parcel.limits import Limits, refused
from wheelover.formats.strict_json import read_json

FORMAT = "wheelover-parcel"
VERSION = 1
SIDES = ("ship", "shore")

_HEX = re.compile(r"[0-9a-f]{64}")
_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
_UTC = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?Z")
_MOST_WHOLE = 2**53 - 1
_MOST_NAME = 200

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part: what it is once unpacked, and how it lies in the parcel."""

    sha256: str
    size_count: int
    packed_sha256: str
    packed_count: int


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
    parcel on, ``index_sha256`` the part that says what the others are.
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
    index_sha256: str
    parts: tuple[Part, ...]


def manifest_bytes(manifest: Manifest) -> bytes:
    """Return a manifest as the canonical JSON that is signed."""
    acknowledged = manifest.acknowledged
    return rfc8785.dumps(
        {
            "format": FORMAT,
            "version": VERSION,
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
            "audit_heads": [
                {"vessel_id": head.vessel_id, "number": head.number, "hash": head.hash}
                for head in manifest.audit_heads
            ],
            "index_sha256": manifest.index_sha256,
            "parts": [
                [part.sha256, part.size_count, part.packed_sha256, part.packed_count]
                for part in manifest.parts
            ],
        }
    )


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
    whole = _members(
        value,
        "format version sender recipient key_id sequence previous_sha256 acknowledged next_key "
        "made_utc made_with audit_heads index_sha256 parts",
    )
    if whole["format"] != FORMAT or whole["version"] != VERSION:
        raise refused("schema", "The parcel's manifest is of another kind or a newer version.")
    sender = _members(whole["sender"], "id name side")
    if sender["side"] not in SIDES:
        raise refused("schema", "The parcel's sender is neither ship nor shore.")
    return Manifest(
        sender_id=_text(sender["id"], _ID),
        sender_name=_name(sender["name"]),
        sender_side=sender["side"],
        recipient_id=_text(whole["recipient"], _ID),
        key_id=_text(whole["key_id"], _HEX),
        sequence=_whole(whole["sequence"], 1),
        previous_sha256=_hex_or_none(whole["previous_sha256"]),
        acknowledged=_acknowledged(whole["acknowledged"]),
        next_key=_hex_or_none(whole["next_key"]),
        made_utc=_text(whole["made_utc"], _UTC),
        made_with=_name(whole["made_with"]),
        audit_heads=tuple(_head(one) for one in _listed(whole["audit_heads"])),
        index_sha256=_text(whole["index_sha256"], _HEX),
        parts=tuple(_part(one) for one in _listed(whole["parts"])),
    )


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
        if part.size_count > limits.unpacked_to_packed_ratio * part.packed_count:
            raise refused(
                "size",
                f"The part {part.sha256} unpacks to more than "
                f"{limits.unpacked_to_packed_ratio} times its size.",
            )


def _members(value: Any, names: str) -> Document:
    """Return a JSON object that has these members and no other."""
    if not isinstance(value, dict) or set(value) != set(names.split()):
        raise refused("schema", f"The parcel's manifest needs exactly these members: {names}.")
    return value


def _listed(value: Any) -> list[Any]:
    """Return a JSON list."""
    if not isinstance(value, list):
        raise refused("schema", "The parcel's manifest has something else where a list is due.")
    return value


def _text(value: Any, pattern: re.Pattern[str]) -> str:
    """Return a text of a pattern."""
    if not isinstance(value, str) or pattern.fullmatch(value) is None:
        raise refused("schema", f"The parcel's manifest has {str(value)[:80]!r} in a wrong place.")
    return value


def _name(value: Any) -> str:
    """Return a text that people read."""
    if not isinstance(value, str) or len(value) > _MOST_NAME:
        raise refused("schema", "A name in the parcel's manifest is too long or no text.")
    return value


def _hex_or_none(value: Any) -> str | None:
    """Return 32 bytes in hex, or None."""
    return None if value is None else _text(value, _HEX)


def _whole(value: Any, least: int) -> int:
    """Return a whole number of at least ``least``."""
    if type(value) is not int or not least <= value <= _MOST_WHOLE:
        raise refused("schema", f"The parcel's manifest has {str(value)[:40]!r} for a number.")
    return value


def _acknowledged(value: Any) -> Place | None:
    """Return the place of the parcel that is acknowledged, or None."""
    if value is None:
        return None
    place = _members(value, "sequence manifest_sha256")
    return Place(
        sequence=_whole(place["sequence"], 1),
        manifest_sha256=_text(place["manifest_sha256"], _HEX),
    )


def _head(value: Any) -> AuditHead:
    """Return the end of an audit chain."""
    head = _members(value, "vessel_id number hash")
    return AuditHead(
        vessel_id=_text(head["vessel_id"], _ID),
        number=_whole(head["number"], 0),
        hash=_text(head["hash"], _HEX),
    )


def _part(value: Any) -> Part:
    """Return a part."""
    four = _listed(value)
    if len(four) != 4:
        raise refused("schema", "A part in the parcel's manifest has four members.")
    return Part(
        sha256=_text(four[0], _HEX),
        size_count=_whole(four[1], 0),
        packed_sha256=_text(four[2], _HEX),
        packed_count=_whole(four[3], 1),
    )
