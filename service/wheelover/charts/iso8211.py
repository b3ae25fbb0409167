"""Records of an ISO 8211 file: where each begins, its fields, and what is wrong with it."""

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from wheelover.core.errors import Fault, UnreadableFile

END_FIELD, END_PART = b"\x1e", b"\x1f"

_MARK = END_FIELD[0]
_HEAD_COUNT = 24
_PADDING = b"\0 \r\n\x1a^"


class Record(NamedTuple):
    """One record: ``number`` counts from 1, ``at`` is the byte that it begins with."""

    number: int
    at: int
    fields: dict[str, bytes]

    def damage(self, what: str) -> UnreadableFile:
        """Return an error that says which record is meant."""
        return damage(self.number, self.at, what)


def damage(number: int, at: int, what: str) -> UnreadableFile:
    """Return the error of a record that cannot be read."""
    message = f"record {number} (byte {at}): {what}"
    return UnreadableFile(message, (Fault(message=message, line=number),))


def records(body: bytes) -> Iterator[Record]:
    """Yield the records of a file, the one that describes the others first.

    A field that stands in a record several times is put together; the mark at its end is left out.

    Raises
    ------
    UnreadableFile
        For the first record that is not whole or does not hold together, naming it.
    """
    at, number = 0, 1
    while at < len(body):
        if number > 1 and body[at] in _PADDING and not body[at:].strip(_PADDING):
            return
        record, at = _record(body, at, number)
        yield record
        number += 1


def _record(body: bytes, at: int, number: int) -> tuple[Record, int]:
    """Return the record that begins at a byte and where the next one does."""
    head = body[at : at + _HEAD_COUNT]
    length, base = _leader(head, number, at)
    start = at + base
    if base <= _HEAD_COUNT or body[start - 1 : start] != END_FIELD:
        raise damage(number, at, f"its list of fields does not end before byte {start}")
    try:
        entries = _directory(body[at + _HEAD_COUNT : start - 1], head[20:22])
    except ValueError as error:
        raise damage(number, at, f"its list of fields cannot be read: {error}") from error
    # A record longer than five digits can say has a length of 0: its fields say how long it is.
    end = at + length if length else start + max((p + n for _, p, n in entries), default=0)
    if end > len(body) or end < start:
        raise damage(number, at, f"it should end at byte {end}, the file has {len(body)}")
    fields: dict[str, bytes] = {}
    for tag, position, count in entries:
        here = start + position
        if here + count > end:
            raise damage(number, at, f"its field {tag} reaches beyond its end")
        part = body[here : here + count]
        part = part[:-1] if part[-1] == _MARK else _wide(part, tag, number, at)
        fields[tag] = fields[tag] + part if tag in fields else part
    return Record(number, at, fields), end


def _leader(head: bytes, number: int, at: int) -> tuple[int, int]:
    """Return the length of a record and where its fields begin."""
    if len(head) < _HEAD_COUNT:
        raise damage(number, at, f"the file ends after {len(head)} of 24 bytes of its leader")
    if head[6:7] not in ((b"L",) if number == 1 else (b"D", b"R")):
        raise damage(number, at, f"its leader has {head[6:7]!r} where the kind of record stands")
    digits = head[:5] + head[12:17]
    if not digits.isdigit():
        raise damage(number, at, f"its leader has {digits!r} where its lengths stand")
    return int(digits[:5]), int(digits[5:])


@lru_cache(maxsize=4096)
def _directory(listed: bytes, sizes: bytes) -> tuple[tuple[str, int, int], ...]:
    """Return tag, position and length of each field; many records have the same list."""
    length_count, position_count = int(sizes[:1]), int(sizes[1:])
    step = 4 + length_count + position_count
    if not length_count or not position_count or len(listed) % step:
        raise ValueError(f"it has {len(listed)} bytes, {step} for each field")
    found = []
    for place in range(0, len(listed), step):
        entry = listed[place : place + step]
        tag, numbers = entry[:4], entry[4:]
        if not tag.isalnum() or not numbers.isdigit():
            raise ValueError(f"{entry!r}")
        count, position = int(numbers[:length_count]), int(numbers[length_count:])
        if count < 1:
            raise ValueError(f"{entry!r} has no length")
        found.append((tag.decode("ascii"), position, count))
    return tuple(found)


def _wide(part: bytes, tag: str, number: int, at: int) -> bytes:
    """Return what is in a field that has two bytes for each letter."""
    if tag == "NATF" and part.endswith(END_FIELD + b"\0"):
        return part[:-2]
    raise damage(number, at, f"its field {tag} does not end where it should")
