"""Small chart cells and their updates, written as the exchange format has them (ISO 8211, S-57).

A ``CellWriter`` is a producer's desk: what is drawn before ``base`` stands in the base cell, what
is drawn, changed or struck out between two calls of ``update`` stands in one update file.
"""

import csv
import importlib.util
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

END_FIELD, END_PART = b"\x1e", b"\x1f"
INSERT, DELETE, MODIFY = 1, 2, 3
NODE_ISOLATED, NODE_CONNECTED, EDGE, FEATURE = 110, 120, 130, 100
STRUCK_OUT = "\x7f"

Position = tuple[float, float]
"""Latitude and longitude, degrees."""
Value = str | float | int | Sequence[str] | None
Attributes = Mapping[str, Value]

_FIELDS = {
    "0001": ("0500;&   ", "Record identifier", "", "(b12)"),
    "DSID": ("1600;&   ", "Data set identification",
             "RCNM!RCID!EXPP!INTU!DSNM!EDTN!UPDN!UADT!ISDT!STED!PRSP!PSDN!PRED!PROF!AGEN!COMT",
             "(b11,b14,2b11,3A,2A(8),R(4),b11,2A,b11,b12,A)"),
    "DSSI": ("1600;&   ", "Data set structure",
             "DSTR!AALL!NALL!NOMR!NOCR!NOGR!NOLR!NOIN!NOCN!NOED!NOFA", "(3b11,8b14)"),
    "DSPM": ("1600;&   ", "Data set parameters",
             "RCNM!RCID!HDAT!VDAT!SDAT!CSCL!DUNI!HUNI!PUNI!COUN!COMF!SOMF!COMT",
             "(b11,b14,3b11,b14,4b11,2b14,A)"),
    "FRID": ("1600;&   ", "Feature", "RCNM!RCID!PRIM!GRUP!OBJL!RVER!RUIN",
             "(b11,b14,2b11,2b12,b11)"),
    "FOID": ("1600;&   ", "Feature object identifier", "AGEN!FIDN!FIDS", "(b12,b14,b12)"),
    "ATTF": ("2600;&   ", "Attributes", "*ATTL!ATVL", "(b12,A)"),
    "FSPC": ("1600;&   ", "Pointer control", "FSUI!FSIX!NSPT", "(b11,2b12)"),
    "FSPT": ("2600;&   ", "Spatial pointers", "*NAME!ORNT!USAG!MASK", "(B(40),3b11)"),
    "VRID": ("1600;&   ", "Vector record", "RCNM!RCID!RVER!RUIN", "(b11,b14,b12,b11)"),
    "VRPC": ("1600;&   ", "Pointer control", "VPUI!VPIX!NVPT", "(b11,2b12)"),
    "VRPT": ("2600;&   ", "Pointers", "*NAME!ORNT!USAG!TOPI!MASK", "(B(40),4b11)"),
    "SGCC": ("1600;&   ", "Coordinate control", "CCUI!CCIX!CCNC", "(b11,2b12)"),
    "SG2D": ("2500;&   ", "Coordinates", "*YCOO!XCOO", "(2b24)"),
    "SG3D": ("2500;&   ", "Soundings", "*YCOO!XCOO!VE3D", "(3b24)"),
}  # fmt: skip
_UNDER = {"DSID": "0001", "DSSI": "DSID", "DSPM": "0001", "FRID": "0001", "FOID": "FRID",
          "ATTF": "FRID", "FSPC": "FRID", "FSPT": "FRID", "VRID": "0001", "VRPC": "VRID",
          "VRPT": "VRID", "SGCC": "VRID", "SG2D": "VRID", "SG3D": "VRID"}  # fmt: skip


def _table(name: str, code: str, acronym: str) -> dict[str, int]:
    """Return the numbers of classes or attributes by their six letters."""
    found = importlib.util.find_spec("pyogrio")
    assert found is not None
    assert found.submodule_search_locations
    path = Path(found.submodule_search_locations[0]) / "gdal_data" / name
    with path.open(newline="", encoding="utf-8") as file:
        return {row[acronym]: int(row[code]) for row in csv.DictReader(file) if row[acronym]}


CLASS_CODES = _table("s57objectclasses.csv", "Code", "Acronym")
ATTRIBUTE_CODES = _table("s57attributes.csv", "Code", "Acronym")


def record(fields: Sequence[tuple[str, bytes]], leader: bytes = b" D     ") -> bytes:
    """Return an ISO 8211 record of these fields."""
    directory, area = b"", b""
    for tag, body in fields:
        directory += f"{tag}{len(body) + 1:06d}{len(area):06d}".encode()
        area += body + END_FIELD
    base_count = 24 + len(directory) + 1
    total_count = base_count + len(area)
    shown = total_count if total_count < 100_000 else 0
    head = f"{shown:05d}".encode() + leader + f"{base_count:05d}   6604".encode()
    return head + directory + END_FIELD + area


def _description() -> bytes:
    """Return the record that says how the others are written."""
    pairs = "".join(f"{above}{tag}" for tag, above in _UNDER.items())
    control = b"0000;&   " + END_PART + pairs.encode()
    fields = [("0000", control)]
    for tag, (controls, name, members, form) in _FIELDS.items():
        body = END_PART.join((f"{controls}{name}".encode(), members.encode(), form.encode()))
        fields.append((tag, body))
    made = record(fields, b"3LE1 09")
    return made[:17] + b" ! 6604" + made[24:]


@dataclass(slots=True)
class _Drawn:
    """One feature as it stands on the desk: its record number and the vectors it hangs on."""

    record_id: int
    version: int
    primitive: int
    class_code: int
    pointers: list[tuple[int, int, int, int]]


@dataclass(slots=True)
class CellWriter:
    """A cell that is being drawn. ``comf`` and ``somf`` divide coordinates and depths."""

    name: str = "ZZ5TEST"
    edition: int = 1
    scale: int = 20_000
    band: int = 5
    issued: str = "20260101"
    depth_datum: int = 23
    height_datum: int = 17
    comf: int = 10_000_000
    somf: int = 10
    agency: int = 1
    depth_unit: int = 1
    updated: int = 0
    _records: list[bytes] = field(default_factory=list)
    _counts: dict[int, int] = field(default_factory=dict)
    _next: dict[int, int] = field(default_factory=dict)
    _features: dict[int, _Drawn] = field(default_factory=dict)
    _versions: dict[tuple[int, int], int] = field(default_factory=dict)

    def point(self, kind: str, at: Position, /, fid: int | None = None, **attributes: Value) -> int:
        """Draw a point object; return the number of its identifier."""
        node = self._vector(NODE_ISOLATED, [("SG2D", self._places([at]))])
        return self._feature(kind, 1, [(NODE_ISOLATED, node, 255, 255)], attributes, fid)

    def soundings(
        self, rows: Sequence[tuple[float, float, float]], fid: int | None = None, **given: Value
    ) -> int:
        """Draw soundings: latitude, longitude, depth in metres, downwards positive."""
        body = b"".join(
            struct.pack("<iii", *self._whole(lat, lon), round(depth_m * self.somf))
            for lat, lon, depth_m in rows
        )
        node = self._vector(NODE_ISOLATED, [("SG3D", body)])
        return self._feature("SOUNDG", 1, [(NODE_ISOLATED, node, 255, 255)], given, fid)

    def line(
        self, kind: str, places: Sequence[Position], /, fid: int | None = None, **given: Value
    ) -> int:
        """Draw a line; one of four places or more has two edges, the second drawn backwards."""
        pointers = [(EDGE, *one, 255) for one in self._edges(places)]
        return self._feature(kind, 2, pointers, given, fid)

    def area(
        self,
        kind: str,
        ring: Sequence[Position],
        /,
        holes: Sequence[Sequence[Position]] = (),
        fid: int | None = None,
        **given: Value,
    ) -> int:
        """Draw an area with holes; rings are given without their last vertex."""
        pointers = [(EDGE, *one, 1) for one in self._edges([*ring, ring[0]])]
        for hole in holes:
            pointers += [(EDGE, *one, 2) for one in self._edges([*hole, hole[0]])]
        return self._feature(kind, 3, pointers, given, fid)

    def bare(self, kind: str, /, fid: int | None = None, **given: Value) -> int:
        """Draw an object without geometry."""
        return self._feature(kind, 255, [], given, fid)

    def delete(self, fid: int) -> None:
        """Strike an object out."""
        self._put(FEATURE, [("FRID", self._feature_head(fid, DELETE)), ("FOID", self._foid(fid))])
        del self._features[fid]

    def modify(self, fid: int, /, **given: Value) -> None:
        """Change attributes of an object; None strikes one out."""
        head = [("FRID", self._feature_head(fid, MODIFY)), ("FOID", self._foid(fid))]
        struck = {name: STRUCK_OUT if one is None else one for name, one in given.items()}
        self._put(FEATURE, [*head, ("ATTF", _attributes(struck))])

    def move(self, fid: int, at: Position) -> None:
        """Put a point object elsewhere."""
        self.redraw(fid, MODIFY, 1, [at])

    def redraw(
        self, fid: int, what: int, index: int, places: Sequence[Position], count: int = 0
    ) -> None:
        """Insert, delete or modify vertices of an object's first vector, counted from 1."""
        kind, number = self._features[fid].pointers[0][:2]
        count = count or len(places)
        body = [("SGCC", struct.pack("<BHH", what, index, count))]
        if places:
            body.append(("SG2D", self._places(places)))
        head = self._vector_head(kind, number, MODIFY)
        self._put(kind, [("VRID", head), *body])

    def base(self) -> bytes:
        """Return the base cell, and begin with the first update."""
        return self._file(1, 0)

    def update(self, number: int | None = None, edition: int | None = None) -> bytes:
        """Return what was done since as an update, and begin with the next."""
        self.updated = self.updated + 1 if number is None else number
        return self._file(2, self.updated, edition)

    def _file(self, purpose: int, number: int, edition: int | None = None) -> bytes:
        """Return everything drawn since the file before as one file."""
        shown = self.edition if edition is None else edition
        texts = (f"{self.name}.{number:03d}", str(shown), str(number))
        ident = struct.pack("<BIBB", 10, 1, purpose, self.band)
        ident += b"".join(one.encode() + END_PART for one in texts)
        ident += self.issued.encode() * 2 + b"03.1" + struct.pack("<B", 1) + END_PART
        ident += b"2.0" + END_PART + struct.pack("<BH", purpose, self.agency) + END_PART
        counts = [self._counts.get(one, 0) for one in (0, 1, 2, 3, NODE_ISOLATED, NODE_CONNECTED)]
        structure = struct.pack("<3B8I", 2, 1, 1, *counts, self._counts.get(EDGE, 0), 0)
        written = [record([("0001", _number(1)), ("DSID", ident), ("DSSI", structure)])]
        if purpose == 1:
            written.append(record([("0001", _number(2)), ("DSPM", self._parameters())]))
        at = len(written) + 1
        for index, one in enumerate(self._records):
            written.append(one.replace(b"\0\0\x1e", _number(at + index) + END_FIELD, 1))
        self._records.clear()
        self._counts.clear()
        return _description() + b"".join(written)

    def _parameters(self) -> bytes:
        """Return scale, datums, units and divisors."""
        body = struct.pack("<BIBBBI", 20, 1, 2, self.height_datum, self.depth_datum, self.scale)
        body += struct.pack("<4B", self.depth_unit, 1, 1, 1)
        return body + struct.pack("<II", self.comf, self.somf) + END_PART

    def _whole(self, lat: float, lon: float) -> tuple[int, int]:
        """Return a position in whole numbers, as it is written."""
        return round(lat * self.comf), round(lon * self.comf)

    def _places(self, places: Sequence[Position]) -> bytes:
        """Return positions as they are written."""
        return b"".join(struct.pack("<ii", *self._whole(*one)) for one in places)

    def _edges(self, places: Sequence[Position]) -> list[tuple[int, int]]:
        """Draw the edges of a line; return the number and direction of each."""
        if len(places) < 4:
            return [(self._edge(places), 1)]
        half = len(places) // 2
        back = list(reversed(places[half:]))
        return [(self._edge(places[: half + 1]), 1), (self._edge(back), 2)]

    def _edge(self, places: Sequence[Position]) -> int:
        """Draw one edge between two nodes of its own."""
        ends = (places[0], places[-1])
        nodes = [self._vector(NODE_CONNECTED, [("SG2D", self._places([one]))]) for one in ends]
        names = b"".join(
            struct.pack("<BIBBBB", NODE_CONNECTED, node, 255, 255, topology, 255)
            for topology, node in enumerate(nodes, start=1)
        )
        fields = [("VRPT", names)]
        if len(places) > 2:
            fields.append(("SG2D", self._places(places[1:-1])))
        return self._vector(EDGE, fields)

    def _vector(self, kind: int, fields: list[tuple[str, bytes]]) -> int:
        """Draw a vector record and return its number."""
        number = self._number_of(kind)
        self._put(kind, [("VRID", self._vector_head(kind, number, INSERT)), *fields])
        return number

    def _feature(
        self,
        kind: str,
        primitive: int,
        pointers: list[tuple[int, int, int, int]],
        attributes: Attributes,
        fid: int | None,
    ) -> int:
        """Draw a feature record on its vectors."""
        number = self._number_of(FEATURE)
        fid = number if fid is None else fid
        self._features[fid] = _Drawn(number, 0, primitive, CLASS_CODES[kind], pointers)
        fields = [("FRID", self._feature_head(fid, INSERT)), ("FOID", self._foid(fid))]
        fields.append(("ATTF", _attributes(attributes)))
        if pointers:
            names = b"".join(struct.pack("<BIBBB", *one, 255) for one in pointers)
            fields.append(("FSPT", names))
        self._put(FEATURE, fields)
        group = 0 if kind.startswith("M_") else 1 if kind.startswith("C_") else 2
        self._counts[group] = self._counts.get(group, 0) + 1
        return fid

    def _feature_head(self, fid: int, what: int) -> bytes:
        """Return the head of a feature's record, its version one higher."""
        drawn = self._features[fid]
        drawn.version += 1
        members = (FEATURE, drawn.record_id, drawn.primitive, 2, drawn.class_code, drawn.version)
        return struct.pack("<BIBBHHB", *members, what)

    def _vector_head(self, kind: int, number: int, what: int) -> bytes:
        """Return the head of a vector record, its version one higher."""
        version = self._versions[kind, number] = self._versions.get((kind, number), 0) + 1
        return struct.pack("<BIHB", kind, number, version, what)

    def _foid(self, fid: int) -> bytes:
        """Return the identifier of an object."""
        return struct.pack("<HIH", self.agency, fid, 1)

    def _number_of(self, kind: int) -> int:
        """Return the next record number of a kind."""
        number = self._next[kind] = self._next.get(kind, 0) + 1
        return number

    def _put(self, kind: int, fields: list[tuple[str, bytes]]) -> None:
        """Keep a record for the file that is being made."""
        if kind != FEATURE:
            self._counts[kind] = self._counts.get(kind, 0) + 1
        self._records.append(record([("0001", b"\0\0"), *fields]))


def _number(index: int) -> bytes:
    """Return a record's number in its file."""
    return struct.pack("<H", index % 65_536)


def _attributes(given: Attributes) -> bytes:
    """Return attributes as they are written: a list with commas, None as an empty value."""
    parts = []
    for name, value in given.items():
        if value is None:
            text = ""
        elif isinstance(value, str | int | float):
            text = str(value)
        else:
            text = ",".join(value)
        parts.append(struct.pack("<H", ATTRIBUTE_CODES[name]) + text.encode("latin-1") + END_PART)
    return b"".join(parts)
