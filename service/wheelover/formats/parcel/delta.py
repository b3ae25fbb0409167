"""What differs between two texts: pieces of the earlier one, and what is new between them.

A revision repeats most of the one before it, but further back than the 32 KB that a preset
dictionary of zlib sees. So a delta names places in the earlier text instead::

    new length, new bytes, start in the earlier text, length there    repeated to the end

Numbers are little-endian base 128. It is packed with zlib like any other part, and whoever reads
it holds the result against size and sha256: a delta that is wrong gives nothing.
"""

from wheelover.formats.parcel.limits import refused

_BLOCK = 16
"""Pieces are looked for at every sixteenth byte of the earlier text: any of 31 bytes is found."""

_LEAST = 24
"""A shorter piece costs more to name than to write."""

_STEP = 4096
MOST_COUNT = 4 * 1024 * 1024
"""Longer texts go whole: looking for pieces would take longer than a poor link saves."""


def delta_of(base: bytes, body: bytes) -> bytes:
    """Return what makes a text out of an earlier one.

    Parameters
    ----------
    base, body : bytes
        The earlier text and the one that is made.

    Examples
    --------
    >>> base = b"one two three four five six seven eight nine ten"
    >>> body = base.replace(b"one", b"ONE")
    >>> applied(base, delta_of(base, body), len(body)) == body
    True
    """
    places: dict[bytes, int] = {}
    for start in range(0, len(base) - _BLOCK + 1, _BLOCK):
        places.setdefault(base[start : start + _BLOCK], start)
    out, new_from, at = bytearray(), 0, 0
    while at + _BLOCK <= len(body):
        found = places.get(body[at : at + _BLOCK])
        if found is None:
            at += 1
            continue
        back = _back(base, found, body, at, at - new_from)
        length = back + _forward(base, found, body, at)
        if length < _LEAST:
            at += 1
            continue
        start = at - back
        _write(out, body[new_from:start], found - back, length)
        at = new_from = start + length
    if new_from < len(body):
        _write(out, body[new_from:], 0, 0)
    return bytes(out)


def _back(base: bytes, found: int, body: bytes, at: int, most: int) -> int:
    """Return how many bytes before two places are the same."""
    count = 0
    while count < min(most, found) and base[found - count - 1] == body[at - count - 1]:
        count += 1
    return count


def _forward(base: bytes, found: int, body: bytes, at: int) -> int:
    """Return how many bytes from two places on are the same."""
    count = 0
    while (
        base[found + count : found + count + _STEP] == body[at + count : at + count + _STEP]
        and found + count + _STEP <= len(base)
        and at + count + _STEP <= len(body)
    ):
        count += _STEP
    end = min(len(base) - found, len(body) - at)
    while count < end and base[found + count] == body[at + count]:
        count += 1
    return count


def _write(out: bytearray, new: bytes, start: int, length: int) -> None:
    """Write new bytes and a piece after them."""
    for part in (_number(len(new)), new, _number(start), _number(length)):
        out += part


def _number(value: int) -> bytes:
    """Return a number as it is written."""
    written = bytearray()
    while value >= 0x80:
        written.append(value & 0x7F | 0x80)
        value >>= 7
    written.append(value)
    return bytes(written)


def applied(base: bytes, delta: bytes, size_count: int) -> bytes:
    """Return the text that a delta makes, never more of it than it should be long.

    Raises
    ------
    ParcelRefused
        For what is no delta of that earlier text.
    """
    out, at = bytearray(), 0
    while at < len(delta):
        count, at = _read(delta, at)
        out += delta[at : at + count]
        if at + count > len(delta):
            raise _wrong()
        at += count
        start, at = _read(delta, at)
        length, at = _read(delta, at)
        if start + length > len(base) or len(out) + length > size_count:
            raise _wrong()
        out += base[start : start + length]
    return bytes(out)


def _read(delta: bytes, at: int) -> tuple[int, int]:
    """Return a number and where it ends."""
    value = shift = 0
    while True:
        if at >= len(delta) or shift > 35:
            raise _wrong()
        one = delta[at]
        at += 1
        value |= (one & 0x7F) << shift
        shift += 7
        if one < 0x80:
            return value, at


def _wrong() -> Exception:
    """Return the refusal of what is no delta."""
    return refused("part", "A part of the parcel does not fit what it is built on.")
