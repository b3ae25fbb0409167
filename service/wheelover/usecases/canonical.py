"""Canonical JSON (RFC 8785), digests of it, and the tags that name one state of a thing."""

import hashlib
import json
from typing import Any

import rfc8785

from wheelover.core.errors import Stale


def canonical(value: Any) -> bytes:
    """Return a JSON value as canonical JSON: equal values, equal bytes."""
    return rfc8785.dumps(value)


def sha256_of(value: Any) -> str:
    """Return the sha256 of a JSON value's canonical form."""
    return hashlib.sha256(canonical(value)).hexdigest()


def tag_of(number: int, sha256: str) -> str:
    """Return the entity tag (RFC 9110) of an edition or an edit: its number and its contents."""
    return f'"{number}-{sha256[:32]}"'


def require_tag(wanted: tuple[str, ...] | None, tag: str, what: str) -> None:
    """Refuse a change of something that is not what the sender last saw.

    Parameters
    ----------
    wanted : tuple of str or None
        The tags of If-Match; ``*`` stands for any, None for no condition.
    tag : str
        The tag of what is stored now.
    what : str
        What it is, for the message.

    Raises
    ------
    Stale
        When none of them is the present one.
    """
    if wanted is None or "*" in wanted or tag in wanted:
        return
    raise Stale(
        f"The {what} was changed meanwhile. Read it again, look at what is different, and make "
        "your change once more. Nothing was kept of this one."
    )


def json_bytes(document: dict[str, Any]) -> bytes:
    """Return a document as JSON text."""
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode()
