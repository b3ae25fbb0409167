"""The signature of a parcel (Ed25519, RFC 8032) and the names of keys.

A key is named by the sha256 of its public half. Whoever pairs two installations compares a
fingerprint by voice: forty digits over the installation's id, its side and its key.
"""

import hashlib

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

SIGNED = b"wheelover-parcel-v1\x00"
_FINGERPRINT = b"wheelover-fingerprint-v1\x00"
_DIGITS_COUNT = 40
_GROUP_COUNT = 5


def public_of(private_key: bytes) -> bytes:
    """Return the public half, 32 bytes, of a private key of 32 bytes."""
    return Ed25519PrivateKey.from_private_bytes(private_key).public_key().public_bytes_raw()


def key_id_of(public_key: bytes) -> str:
    """Return the name of a key: the sha256 of its public half, in hex."""
    return hashlib.sha256(public_key).hexdigest()


def sign(private_key: bytes, manifest: bytes) -> bytes:
    """Return the signature, 64 bytes, of a manifest."""
    return Ed25519PrivateKey.from_private_bytes(private_key).sign(_signed(manifest))


def holds(public_key: bytes, signature: bytes, manifest: bytes) -> bool:
    """Return whether a signature of a manifest was made with the private half of a key."""
    try:
        Ed25519PublicKey.from_public_bytes(public_key).verify(signature, _signed(manifest))
    except (InvalidSignature, ValueError):
        return False
    return True


def _signed(manifest: bytes) -> bytes:
    """Return what is signed of a manifest."""
    return SIGNED + hashlib.sha256(manifest).digest()


def fingerprint_of(instance_id: str, side: str, public_key: bytes) -> str:
    """Return the fingerprint of an installation, in groups of five digits to be read aloud.

    Forty digits are 132 bits: to make another key with the same ones is out of reach.

    Examples
    --------
    >>> fingerprint_of("ship-1", "ship", bytes(32))
    '54601 39281 40446 47539 36783 60526 67071 13724'
    """
    named = f"{instance_id}\x00{side}\x00".encode() + public_key
    number = int.from_bytes(hashlib.sha256(_FINGERPRINT + named).digest())
    digits = str(number % 10**_DIGITS_COUNT).zfill(_DIGITS_COUNT)
    return " ".join(
        digits[start : start + _GROUP_COUNT] for start in range(0, _DIGITS_COUNT, _GROUP_COUNT)
    )
