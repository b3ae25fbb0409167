"""Counts of the records of a chart file, taken from its bytes alone: a second, smaller reader."""

import struct
from collections import Counter

from tests.charts.cell_writer import CLASS_CODES

_NAMES = {code: name for name, code in CLASS_CODES.items()}


def class_counts(body: bytes) -> Counter[str]:
    """Return how many objects of each class a base cell holds."""
    found: Counter[str] = Counter()
    for fields in _fields(body):
        if "FRID" in fields:
            (code,) = struct.unpack_from("<H", fields["FRID"], 7)
            found[_NAMES[code]] += 1
    return found


def attribute_counts(body: bytes) -> Counter[tuple[str, int]]:
    """Return how many objects of each class have a value of each attribute, by its number."""
    found: Counter[tuple[str, int]] = Counter()
    for fields in _fields(body):
        if "FRID" not in fields:
            continue
        (code,) = struct.unpack_from("<H", fields["FRID"], 7)
        for part in fields.get("ATTF", b"").split(b"\x1f")[:-1]:
            if len(part) > 2:
                found[_NAMES[code], struct.unpack_from("<H", part)[0]] += 1
    return found


def _fields(body: bytes) -> list[dict[str, bytes]]:
    """Return the fields of each record behind the first."""
    at, every = 0, []
    while at < len(body):
        base = int(body[at + 12 : at + 17])
        length_count, place_count = int(body[at + 20 : at + 21]), int(body[at + 21 : at + 22])
        step = 4 + length_count + place_count
        fields, end = {}, 0
        for place in range(at + 24, at + base - 1, step):
            tag = body[place : place + 4].decode()
            size = int(body[place + 4 : place + 4 + length_count])
            start = int(body[place + 4 + length_count : place + step])
            fields[tag] = body[at + base + start : at + base + start + size - 1]
            end = max(end, start + size)
        every.append(fields)
        at += int(body[at : at + 5]) or base + end
    return every[1:]
