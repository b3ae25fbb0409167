"""The records of a chart cell or of one update of it [S57A]_: vectors, objects and what they say.

The bytes of coordinates and pointers are kept as they are written, so that an update cuts and puts
in whole units, and geometry is made of them at the end and at once.
"""

import struct
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Concatenate, NamedTuple, ParamSpec, TypeVar

from wheelover.charts.iso8211 import END_FIELD, END_PART, Record, records
from wheelover.core.errors import UnreadableFile

FEATURE, NODE_ISOLATED, NODE_CONNECTED, EDGE, FACE = 100, 110, 120, 130, 140
VECTORS = (NODE_ISOLATED, NODE_CONNECTED, EDGE, FACE)
INSERT, DELETE, MODIFY = 1, 2, 3
BASE, REVISION = 1, 2

PLACE, DEEP_PLACE, POINTER, VECTOR_POINTER = 8, 12, 8, 9
"""Bytes of a position, of a sounding, of a pointer to a vector, of one between vectors."""

STRUCK_OUT = "\x7f"

_WRITTEN_AS = {"FRID": b"b11,b14", "FSPT": b"B(40)", "SG2D": b"b24", "VRID": b"b11,b14"}

_Read = TypeVar("_Read")
_More = ParamSpec("_More")

Texts = dict[int, str]
"""Values of attributes by the number of the attribute."""


class Vector(NamedTuple):
    """A node or an edge. ``places`` and ``deep_places`` are positions and soundings as written."""

    version: int
    attributes: Texts
    pointers: bytes
    places: bytes
    deep_places: bytes


class Feature(NamedTuple):
    """An object. ``object_id`` is its identifier: agency, number and subdivision."""

    version: int
    primitive: int
    class_code: int
    object_id: tuple[int, int, int]
    attributes: Texts
    pointers: bytes


class Change(NamedTuple):
    """What an update does to one record: ``what`` is insert, delete or modify.

    ``cut`` says what is done to which part of the pointers, ``cut_places`` to the positions: what,
    from where (counted from 1) and to how many.
    """

    key: tuple[int, int]
    what: int
    version: int
    made: Vector | Feature
    cut: tuple[int, int, int] | None
    cut_places: tuple[int, int, int] | None
    record: Record


@dataclass(frozen=True, slots=True, kw_only=True)
class Ident:
    """What a file says of itself. ``purpose`` is BASE or REVISION."""

    purpose: int
    band: int
    name: str
    edition: int
    update: int
    updated: str
    issued: str
    agency: int
    wide_letters: bool
    feature_count: int
    vector_counts: dict[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameters:
    """Scale, datums and divisors of a base cell."""

    horizontal_datum: int
    height_datum: int
    depth_datum: int
    scale: int
    units: tuple[int, int, int, int]
    place_divisor: int
    depth_divisor: int


@dataclass(slots=True, kw_only=True)
class DataSet:
    """Everything in a cell, by kind and number of record."""

    ident: Ident
    parameters: Parameters
    vectors: dict[tuple[int, int], Vector] = field(default_factory=dict)
    features: dict[int, Feature] = field(default_factory=dict)


def read_ident(body: bytes) -> Ident:
    """Return what a file says of itself.

    Raises
    ------
    UnreadableFile
        For a file that is no chart cell, or damaged at its head.
    """
    found = records(body)
    described = next(found, None)
    if described is None or "DSID" not in described.fields:
        raise UnreadableFile("it does not describe the records of a chart cell (S-57)")
    for tag, form in _WRITTEN_AS.items():
        if form not in described.fields.get(tag, b""):
            raise UnreadableFile(
                f"its field {tag} is not written in the binary form of chart cells ({form!r})"
            )
    first = next(found, None)
    if first is None or "DSID" not in first.fields:
        raise UnreadableFile("its first record is not the one that names the cell")
    return _whole(_ident, first)


def read_base(body: bytes) -> DataSet:
    """Return what is in a base cell.

    Raises
    ------
    UnreadableFile
        For a file that is damaged, that holds fewer records than it says, or an update.
    """
    ident = read_ident(body)
    if ident.purpose != BASE:
        raise UnreadableFile("it is an update, not a base cell")
    vectors: dict[tuple[int, int], Vector] = {}
    features: dict[int, Feature] = {}
    parameters = None
    for change in changes(body, ident):
        if isinstance(change, Parameters):
            parameters = change
            continue
        if change.what != INSERT:
            raise change.record.damage("a base cell changes nothing, this record does")
        if isinstance(change.made, Vector):
            known = change.key in vectors
            vectors[change.key] = change.made
        else:
            known = change.key[1] in features
            features[change.key[1]] = change.made
        if known:
            raise change.record.damage(f"record {change.key} stands here a second time")
    if parameters is None:
        raise UnreadableFile("its scale and datums (DSPM) are missing")
    data = DataSet(ident=ident, parameters=parameters, vectors=vectors, features=features)
    _require_all(data)
    return data


def _require_all(data: DataSet) -> None:
    """Refuse a cell that holds fewer records than it says."""
    said = {FEATURE: data.ident.feature_count, **data.ident.vector_counts}
    held = {FEATURE: len(data.features)}
    for kind, _ in data.vectors:
        held[kind] = held.get(kind, 0) + 1
    for kind, count in said.items():
        if held.get(kind, 0) < count:
            raise UnreadableFile(
                f"it says that it has {count} records of kind {kind} and holds {held.get(kind, 0)}"
            )


def changes(body: bytes, ident: Ident) -> "list[Change | Parameters]":
    """Return what the records of a file do, one after the other.

    Raises
    ------
    UnreadableFile
        For the first record that cannot be read, naming it.
    """
    found: list[Change | Parameters] = []
    for record in records(body):
        fields = record.fields
        if record.number == 1:  # describes the others
            continue
        if "VRID" in fields:
            found.append(_whole(_vector, record, ident))
        elif "FRID" in fields:
            found.append(_whole(_feature, record, ident))
        elif "DSPM" in fields:
            found.append(_whole(_parameters, record))
    return found


def _whole(
    read: Callable[Concatenate[Record, _More], _Read],
    record: Record,
    *more: _More.args,
    **named: _More.kwargs,
) -> _Read:
    """Return what a function reads of a record, or say that the record is too short for it."""
    try:
        return read(record, *more, **named)
    except (struct.error, ValueError, KeyError, IndexError) as error:
        raise record.damage(f"it cannot be read ({error})") from error


def _ident(record: Record) -> Ident:
    """Return what the first record says."""
    body, structure = record.fields["DSID"], record.fields["DSSI"]
    _, _, purpose, band = struct.unpack_from("<BIBB", body)
    name, edition, update, rest = body[7:].split(END_PART, 3)
    agency_at = rest.index(END_PART, 21) + 1  # behind dates, edition of the standard, and PSDN
    agency_at = rest.index(END_PART, agency_at) + 2
    (agency,) = struct.unpack_from("<H", rest, agency_at)
    _, _, national, *counts = struct.unpack_from("<3B8I", structure)
    return Ident(
        purpose=purpose,
        band=band,
        name=name.decode("latin-1"),
        edition=int(edition),
        update=int(update or b"0"),
        updated=rest[:8].decode("latin-1"),
        issued=rest[8:16].decode("latin-1"),
        agency=agency,
        wide_letters=national == 2,
        feature_count=sum(counts[:4]),
        vector_counts=dict(zip(VECTORS, counts[4:], strict=True)),
    )


def _parameters(record: Record) -> Parameters:
    """Return scale, datums and divisors."""
    _, _, horizontal, height, depth, scale, *units = struct.unpack_from(
        "<BIBBBI4B", record.fields["DSPM"]
    )
    place_divisor, depth_divisor = struct.unpack_from("<II", record.fields["DSPM"], 16)
    if not place_divisor or not depth_divisor:
        raise record.damage("its coordinates or depths are divided by 0")
    return Parameters(
        horizontal_datum=horizontal,
        height_datum=height,
        depth_datum=depth,
        scale=scale,
        units=(units[0], units[1], units[2], units[3]),
        place_divisor=place_divisor,
        depth_divisor=depth_divisor,
    )


def _vector(record: Record, _ident: Ident) -> Change:
    """Return what a vector record does."""
    fields = record.fields
    kind, number, version, what = struct.unpack("<BIHB", fields["VRID"])
    if kind not in VECTORS or what not in (INSERT, DELETE, MODIFY):
        raise ValueError(f"kind {kind}, instruction {what}")
    made = Vector(
        version,
        _texts(fields.get("ATTV", b""), wide=False),
        _units(fields.get("VRPT", b""), VECTOR_POINTER, "VRPT"),
        _units(fields.get("SG2D", b""), PLACE, "SG2D"),
        _units(fields.get("SG3D", b""), DEEP_PLACE, "SG3D"),
    )
    cuts = (_cut(fields.get("VRPC")), _cut(fields.get("SGCC")))
    return Change((kind, number), what, version, made, *cuts, record)


def _feature(record: Record, ident: Ident) -> Change:
    """Return what the record of an object does."""
    fields = record.fields
    kind, number, primitive, _, class_code, version, what = struct.unpack(
        "<BIBBHHB", fields["FRID"]
    )
    if kind != FEATURE or what not in (INSERT, DELETE, MODIFY):
        raise ValueError(f"kind {kind}, instruction {what}")
    agency, feature_number, subdivision = struct.unpack("<HIH", fields["FOID"])
    texts = _texts(fields.get("ATTF", b""), wide=False)
    if "NATF" in fields:
        texts.update(_texts(fields["NATF"], wide=ident.wide_letters))
    made = Feature(
        version,
        primitive,
        class_code,
        (agency, feature_number, subdivision),
        texts,
        _units(fields.get("FSPT", b""), POINTER, "FSPT"),
    )
    return Change((kind, number), what, version, made, _cut(fields.get("FSPC")), None, record)


def _units(body: bytes, size: int, tag: str) -> bytes:
    """Refuse a field that is not made of whole units."""
    if len(body) % size:
        raise ValueError(f"{tag} has {len(body)} bytes, {size} for each")
    return body


def _cut(body: bytes | None) -> tuple[int, int, int] | None:
    """Return what is done to a part of a list: what, from where, to how many."""
    if body is None:
        return None
    what, index, count = struct.unpack("<BHH", body)
    return what, index, count


def _texts(body: bytes, *, wide: bool) -> Texts:
    """Return the values of attributes; those without a value are left out, struck out ones stay."""
    found: Texts = {}
    mark = END_PART + b"\0" if wide else END_PART
    at = 0
    while at < len(body):
        (code,) = struct.unpack_from("<H", body, at)
        end = body.find(mark, at + 2)
        while wide and end >= 0 and (end - at) % 2:
            end = body.find(mark, end + 1)
        if end < 0:
            raise ValueError(f"the value of attribute {code} does not end")
        text = body[at + 2 : end].decode("utf-16-le" if wide else "latin-1")
        if text and END_FIELD.decode() not in text:
            found[code] = text
        at = end + len(mark)
    return found
