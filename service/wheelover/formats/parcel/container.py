"""The container: one flat file, so that nothing in it can lie twice or outside.

::

    8 bytes    89 57 4F 50 0D 0A 1A 0A; a carrier that changes line ends damages it visibly
    2          version, 1 (big-endian, as all numbers)
    4          length of the manifest
    32         sha256 of the public key that signed
    64         Ed25519 signature of "wheelover-parcel-v1" 00 and the manifest's sha256
    manifest   canonical JSON
    parts      each one zlib stream, in the manifest's order, nothing between and nothing after;
               of the bytes themselves, or of their difference to others (``delta``)

The manifest holds size and sha256 of every part, packed and unpacked, so that the one signature
covers every byte. It is read in one order: size, signature with a key that is pinned and not
revoked, recipient, then each part's size and digest while it is inflated. Nothing is parsed and
nothing is inflated before the signature holds.
"""

import hashlib
import struct
import zlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from wheelover.formats.parcel.delta import MOST_COUNT, applied, delta_of
from wheelover.formats.parcel.limits import LIMITS, Limits, refused
from wheelover.formats.parcel.manifest import Manifest, Part, manifest_bytes, read_manifest
from wheelover.formats.parcel.signing import holds, key_id_of, sign

MAGIC = b"\x89WOP\r\n\x1a\n"
SUFFIX = ".woparcel"
MEDIA_TYPE = "application/vnd.wheelover.parcel"

_HEAD = struct.Struct(">8sHI32s64s")
_VERSION = 1
_LEVEL = 9
_STORED = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PinnedKey:
    """A public key of a paired installation; ``from_sequence`` is the first parcel it signs."""

    instance_id: str
    public_key: bytes
    revoked: bool = False
    from_sequence: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A parcel whose signature holds. ``start`` is where its parts begin."""

    manifest: Manifest
    manifest_sha256: str
    body: bytes
    start: int


def packed(body: bytes, limits: Limits = LIMITS, base: bytes | None = None) -> tuple[Part, bytes]:
    """Return bytes as a part, and how it lies in a parcel.

    What shrinks to less than the least that is taken is stored as it is: a reader refuses it else.

    Parameters
    ----------
    body : bytes
        The part.
    limits : Limits
        What a recipient takes.
    base : bytes or None
        What the recipient has, of which most may be the same: the part lies there as the
        difference to it, where that is smaller.
    """
    stream = zlib.compress(body, _LEVEL)
    if base is not None and len(base) <= MOST_COUNT and len(body) <= MOST_COUNT:
        delta = delta_of(base, body)
        built = zlib.compress(delta, _LEVEL)
        if len(delta) <= len(body) and len(built) < len(stream):
            return _part_of(body, built, hashlib.sha256(base).hexdigest()), built
    if len(body) > limits.unpacked_to_packed_ratio * len(stream):
        stream = zlib.compress(body, _STORED)
    return _part_of(body, stream, None), stream


def _part_of(body: bytes, stream: bytes, base_sha256: str | None) -> Part:
    """Return a part of bytes that lie in a parcel as a stream."""
    return Part(
        sha256=hashlib.sha256(body).hexdigest(),
        size_count=len(body),
        packed_sha256=hashlib.sha256(stream).hexdigest(),
        packed_count=len(stream),
        base_sha256=base_sha256,
    )


def sealed(
    manifest: Manifest, streams: Mapping[str, bytes], private_key: bytes, limits: Limits = LIMITS
) -> bytes:
    """Return a parcel, signed.

    Parameters
    ----------
    manifest : Manifest
        What it says of itself; its parts in the order they are written.
    streams : mapping of str to bytes
        The packed bytes of every part, by the part's sha256.
    private_key : bytes
        32 bytes; the manifest names its public half.
    limits : Limits
        What a recipient takes.

    Raises
    ------
    ParcelRefused
        When no recipient would take it: it is over a limit.
    """
    text = manifest_bytes(manifest)
    read_manifest(text, limits)
    signature = sign(private_key, text)
    head = _HEAD.pack(MAGIC, _VERSION, len(text), bytes.fromhex(manifest.key_id), signature)
    body = b"".join([head, text, *(streams[part.sha256] for part in manifest.parts)])
    if len(body) > limits.parcel_count:
        raise refused("size", _over(len(body), limits))
    return body


def opened(
    body: bytes, keys: Mapping[str, PinnedKey], recipient_id: str, limits: Limits = LIMITS
) -> Opened:
    """Return a parcel after its size, signature, manifest and recipient have been held right.

    Its parts have not been looked at: ``parts_of`` does.

    Parameters
    ----------
    body : bytes
        The file.
    keys : mapping of str to PinnedKey
        The keys of paired installations by key id, revoked ones too.
    recipient_id : str
        The id of this installation.
    limits : Limits
        What is taken here.

    Raises
    ------
    ParcelRefused
        At the first step that does not hold; ``reason`` names it.
    """
    if len(body) > limits.parcel_count:
        raise refused("size", _over(len(body), limits))
    if len(body) < _HEAD.size:
        raise refused("format", "The file is too short for a parcel; it may be cut off.")
    magic, version, length, key_hash, signature = _HEAD.unpack_from(body)
    if magic != MAGIC:
        raise refused("format", "The file is no parcel, or was changed on its way as if text.")
    if version != _VERSION:
        raise refused("format", f"The parcel is of version {version}; this one reads {_VERSION}.")
    if length > limits.manifest_count or _HEAD.size + length > len(body):
        raise refused("format", "The parcel's manifest is cut off or too long.")
    text = body[_HEAD.size : _HEAD.size + length]
    key = _pinned(keys, key_hash.hex())
    if not holds(key.public_key, signature, text):
        raise refused("signature", "The parcel's signature does not hold. Nothing of it was read.")
    manifest = read_manifest(text, limits)
    _require_ours(manifest, key, recipient_id)
    start = _HEAD.size + length
    if start + sum(part.packed_count for part in manifest.parts) != len(body):
        raise refused("part", "The parcel is cut off, or has something after its last part.")
    digest = hashlib.sha256(text).hexdigest()
    return Opened(manifest=manifest, manifest_sha256=digest, body=body, start=start)


def digests_of(body: bytes) -> tuple[str, str]:
    """Return the sha256 of a parcel of ours and that of its manifest."""
    length = _HEAD.unpack_from(body)[2]
    text = body[_HEAD.size : _HEAD.size + length]
    return hashlib.sha256(body).hexdigest(), hashlib.sha256(text).hexdigest()


def _pinned(keys: Mapping[str, PinnedKey], key_id: str) -> PinnedKey:
    """Return the key of a key id, if it is pinned and not revoked."""
    key = keys.get(key_id)
    if key is None or key_id_of(key.public_key) != key_id:
        raise refused(
            "key", "The parcel is signed with a key that is not known here. Pair with its sender."
        )
    if key.revoked:
        raise refused("key", "The parcel is signed with a key that was revoked here.")
    return key


def _require_ours(manifest: Manifest, key: PinnedKey, recipient_id: str) -> None:
    """Refuse a parcel for somebody else, or signed with a key that is not its sender's."""
    if key_id_of(key.public_key) != manifest.key_id or key.instance_id != manifest.sender_id:
        raise refused("signature", "The parcel is signed with a key of somebody else.")
    if manifest.recipient_id != recipient_id:
        raise refused("recipient", "The parcel is for another installation.")
    if manifest.sequence < key.from_sequence:
        raise refused("key", "The parcel is older than the key it is signed with.")


def _nothing(_digest: str) -> bytes | None:
    """Know no bytes that a part is built on."""
    return None


def parts_of(
    parcel: Opened,
    base_of: Callable[[str], bytes | None] = _nothing,
    *,
    unbuilt: bool = False,
) -> Iterator[tuple[Part, bytes]]:
    """Give each part and its bytes, held against size and digest before and while inflating.

    Parameters
    ----------
    parcel : Opened
        Whose signature holds.
    base_of : callable
        Gives the bytes under a sha256 that are here from this sender, or None.
    unbuilt : bool
        Whether a part that is built on what is not here is passed over, held against the digest of
        what lies in the parcel alone: a parcel before this one may bring it.

    Raises
    ------
    ParcelRefused
        At the first part that is not what the manifest says, or is built on what is not here.
    """
    at, bases = parcel.start, _Bases(parcel, base_of)
    for part in parcel.manifest.parts:
        stream = parcel.body[at : at + part.packed_count]
        at += part.packed_count
        if hashlib.sha256(stream).hexdigest() != part.packed_sha256:
            raise refused("part", f"The part {part.sha256} was changed or damaged on its way.")
        base = None if part.base_sha256 is None else bases.get(part.base_sha256)
        if part.base_sha256 is not None and base is None:
            if unbuilt:
                continue
            raise refused(
                "part",
                f"The part {part.sha256} is built on {part.base_sha256}, which is not here. Ask "
                "for a parcel that carries everything.",
            )
        body = _inflated(part, stream, base)
        bases.keep(part, body)
        yield part, body


class _Bases:
    """What parts are built on: parts before them, and what is here."""

    def __init__(self, parcel: Opened, base_of: Callable[[str], bytes | None]) -> None:
        self._wanted = {part.base_sha256 for part in parcel.manifest.parts}
        self._base_of = base_of
        self._before: dict[str, bytes] = {}

    def get(self, digest: str) -> bytes | None:
        """Return the bytes under a sha256, None where they are not here."""
        before = self._before.get(digest)
        return self._base_of(digest) if before is None else before

    def keep(self, part: Part, body: bytes) -> None:
        """Keep a part that a later one is built on."""
        if part.sha256 in self._wanted:
            self._before[part.sha256] = body


def _inflated(part: Part, stream: bytes, base: bytes | None) -> bytes:
    """Return the bytes of a part; never more of them than the manifest says."""
    inflater = zlib.decompressobj()
    try:
        body = inflater.decompress(stream, part.size_count + 1)
    except zlib.error as error:
        raise refused("part", f"The part {part.sha256} cannot be unpacked.") from error
    whole = inflater.eof and not inflater.unused_data
    if whole and base is not None:
        body = applied(base, body, part.size_count)
    if not whole or len(body) != part.size_count:
        raise refused("part", f"The part {part.sha256} is not what the manifest says.")
    if hashlib.sha256(body).hexdigest() != part.sha256:
        raise refused("part", f"The part {part.sha256} is not what the manifest says.")
    return body


def _over(size_count: int, limits: Limits) -> str:
    """Return the sentence for a parcel that is too large."""
    return f"The parcel has {size_count} bytes; {limits.parcel_count} are taken at most."
