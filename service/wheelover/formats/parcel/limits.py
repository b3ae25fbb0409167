"""How much a parcel may hold, and how a refusal says so."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.errors import ParcelRefused

MB = 1024 * 1024

Reason = Literal[
    "size", "format", "key", "signature", "recipient", "sequence", "part", "schema", "contents"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The most that is read of a parcel, in bytes but for the last two."""

    parcel_count: int = 50 * MB
    manifest_count: int = 1 * MB
    part_count: int = 64 * MB
    unpacked_count: int = 500 * MB
    parts_count: int = 2000
    unpacked_to_packed_ratio: int = 100


LIMITS = Limits()


def refused(reason: Reason, message: str) -> ParcelRefused:
    """Return the error for a parcel that is not taken: at which step, and why.

    Examples
    --------
    >>> refused("size", "It is empty.").reason
    'size'
    """
    return ParcelRefused(message, reason)
