"""The key file under a passphrase, as a backup may bring it along."""

import base64
import secrets
from typing import Any

from argon2.low_level import Type, hash_secret_raw
from cryptography.fernet import Fernet, InvalidToken

from wheelover.core.errors import InvalidInput, UnreadableFile

LEAST_COUNT = 15
"""Whoever has the file may guess for as long as they like: no lock-out stands before it."""

# The second recommended option of RFC 9106: 64 MiB, three passes, four lanes.
_COST = {"time_cost": 3, "memory_cost": 64 * 1024, "parallelism": 4}
_MOST = {"time_cost": 20, "memory_cost": 1024 * 1024, "parallelism": 16}
_SALT_COUNT = 16


def wrapped(secret: bytes, passphrase: str) -> dict[str, Any]:
    """Return a key under a passphrase, as JSON values.

    Raises
    ------
    InvalidInput
        For a passphrase that is too short.
    """
    if len(passphrase) < LEAST_COUNT:
        raise InvalidInput(f"The passphrase needs at least {LEAST_COUNT} characters.")
    salt = secrets.token_bytes(_SALT_COUNT)
    sealed = _lock(passphrase, salt, _COST).encrypt(secret).decode()
    return {"kind": "argon2id-fernet", **_COST, "salt": salt.hex(), "sealed": sealed}


def unwrapped(key: dict[str, Any] | None, passphrase: str) -> bytes:
    """Return the key that a backup brings along.

    Raises
    ------
    UnreadableFile
        When it brings none, or under another passphrase.
    """
    if key is None:
        raise UnreadableFile("The backup brings no key along; restore it without a passphrase.")
    try:
        cost = {name: int(key[name]) for name in _COST}
        if key["kind"] != "argon2id-fernet" or any(cost[one] > _MOST[one] for one in _COST):
            raise UnreadableFile("The backup's key is wrapped in a way this version does not know.")
        lock = _lock(passphrase, bytes.fromhex(key["salt"]), cost)
        return lock.decrypt(key["sealed"].encode())
    except InvalidToken as error:
        raise UnreadableFile("The passphrase is not the one of the backup's key.") from error
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise UnreadableFile("The backup's key is damaged.") from error


def _lock(passphrase: str, salt: bytes, cost: dict[str, int]) -> Fernet:
    """Return what a passphrase opens."""
    raw = hash_secret_raw(passphrase.encode(), salt, hash_len=32, type=Type.ID, **cost)
    return Fernet(base64.urlsafe_b64encode(raw))
