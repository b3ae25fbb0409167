"""Reading JSON that came in a parcel: exactly the members wanted, each of its kind."""

import re
from typing import Any

from wheelover.formats.parcel.limits import refused

HEX = re.compile(r"[0-9a-f]{64}")
ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
WORD = re.compile(r"[a-z_]{1,40}")
UTC = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?Z")
_MOST_WHOLE = 2**53 - 1
MOST_NUMBER = 2**31 - 1

Document = dict[str, Any]


def members(value: Any, names: str) -> Document:
    """Return a JSON object that has these members, names with blanks between, and no other."""
    if not isinstance(value, dict) or set(value) != set(names.split()):
        raise refused("schema", f"The parcel has no object with exactly these members: {names}.")
    return value


def listed(value: Any, most_count: int = 100_000) -> list[Any]:
    """Return a JSON list."""
    if not isinstance(value, list) or len(value) > most_count:
        raise refused("schema", "The parcel has something else, or too much, where a list is due.")
    return value


def text(value: Any, pattern: re.Pattern[str]) -> str:
    """Return a text of a pattern."""
    if not isinstance(value, str) or pattern.fullmatch(value) is None:
        raise refused("schema", f"The parcel has {str(value)[:80]!r} in a wrong place.")
    return value


def words(value: Any, most_count: int = 200) -> str:
    """Return a text that people read."""
    if not isinstance(value, str) or len(value) > most_count:
        raise refused("schema", "A text in the parcel is too long or no text.")
    return value


def words_or_none(value: Any, most_count: int = 200) -> str | None:
    """Return a text that people read, or None."""
    return None if value is None else words(value, most_count)


def hex_or_none(value: Any) -> str | None:
    """Return 32 bytes in hex, or None."""
    return None if value is None else text(value, HEX)


def whole(value: Any, least: int, most: int = _MOST_WHOLE) -> int:
    """Return a whole number between two."""
    if type(value) is not int or not least <= value <= most:
        raise refused("schema", f"The parcel has {str(value)[:40]!r} for a number.")
    return value


def truth(value: Any) -> bool:
    """Return true or false."""
    if type(value) is not bool:
        raise refused("schema", f"The parcel has {str(value)[:40]!r} for true or false.")
    return value
