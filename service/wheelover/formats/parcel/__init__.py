"""Parcels: one signed file that carries plans between ship and shore. Pure, no disk."""

from wheelover.formats.parcel.container import (
    MEDIA_TYPE,
    SUFFIX,
    Opened,
    PinnedKey,
    digests_of,
    opened,
    packed,
    parts_of,
    sealed,
)
from wheelover.formats.parcel.index import (
    CarriedEdition,
    CarriedEvent,
    CarriedNote,
    CarriedPlan,
    CarriedRevision,
    Index,
    event_bytes,
    index_bytes,
    note_bytes,
    read_index,
)
from wheelover.formats.parcel.limits import LIMITS, Limits, Reason, refused
from wheelover.formats.parcel.manifest import AuditHead, Manifest, Part, Place, head_documents
from wheelover.formats.parcel.signing import fingerprint_of, key_id_of, public_of

__all__ = [
    "LIMITS",
    "MEDIA_TYPE",
    "SUFFIX",
    "AuditHead",
    "CarriedEdition",
    "CarriedEvent",
    "CarriedNote",
    "CarriedPlan",
    "CarriedRevision",
    "Index",
    "Limits",
    "Manifest",
    "Opened",
    "Part",
    "PinnedKey",
    "Place",
    "Reason",
    "digests_of",
    "event_bytes",
    "fingerprint_of",
    "head_documents",
    "index_bytes",
    "key_id_of",
    "note_bytes",
    "opened",
    "packed",
    "parts_of",
    "public_of",
    "read_index",
    "refused",
    "sealed",
]
