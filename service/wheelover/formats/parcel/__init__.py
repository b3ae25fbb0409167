"""Parcels: one signed file that carries plans between ship and shore. Pure, no disk."""

from wheelover.formats.parcel.container import (
    MEDIA_TYPE,
    SUFFIX,
    Opened,
    PinnedKey,
    opened,
    packed,
    parts_of,
    sealed,
)
from wheelover.formats.parcel.limits import LIMITS, Limits, Reason, refused
from wheelover.formats.parcel.manifest import AuditHead, Manifest, Part, Place
from wheelover.formats.parcel.signing import fingerprint_of, key_id_of, public_of

__all__ = [
    "LIMITS",
    "MEDIA_TYPE",
    "SUFFIX",
    "AuditHead",
    "Limits",
    "Manifest",
    "Opened",
    "Part",
    "PinnedKey",
    "Place",
    "Reason",
    "fingerprint_of",
    "key_id_of",
    "opened",
    "packed",
    "parts_of",
    "public_of",
    "refused",
    "sealed",
]
