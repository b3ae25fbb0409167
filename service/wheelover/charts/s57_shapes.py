"""Geometry of the objects of a chart cell, put together from its nodes and edges."""

import struct
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from wheelover.charts.s57_records import (
    DEEP_PLACE,
    EDGE,
    NODE_CONNECTED,
    NODE_ISOLATED,
    PLACE,
    VECTOR_POINTER,
    DataSet,
    Feature,
    Vector,
)
from wheelover.core.arrays import Floats, Ints
from wheelover.core.errors import UnreadableFile
from wheelover.core.types.cells import Geometries, Soundings

POINT, LINE, AREA = 1, 2, 3
UNIT_PER_DEG = 10_000_000
"""Positions are whole numbers of this part of a degree, which is 1 cm."""

MOST_VERTICES = 6_000_000

_BACKWARDS, _INTERIOR = 2, 2
_BEGINS, _ENDS = 1, 2


@dataclass(slots=True, kw_only=True)
class _Drawing:
    """Shapes of one type under way: the object of each, and pieces of positions as written."""

    of: list[int] = field(default_factory=list)
    rings: list[bytes] = field(default_factory=list)
    ring_of: list[int] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class Shapes:
    """Geometries by object and soundings, and what was odd about some."""

    geometries: Geometries
    soundings: Soundings
    remarks: list[str]


def shapes_of(data: DataSet, features: Sequence[Feature], names: Sequence[str]) -> Shapes:
    """Return the geometries of objects, exact to 1e-7 degree.

    Parameters
    ----------
    data : DataSet
        The cell.
    features : sequence of Feature
        The objects.
    names : sequence of str
        What each is called in messages.

    Raises
    ------
    UnreadableFile
        For an object whose vectors are not there, or a position that is none on Earth.
    """
    return _Assembly(data, features, names).made()


class _Assembly:
    """The work on one cell."""

    def __init__(self, data: DataSet, features: Sequence[Feature], names: Sequence[str]) -> None:
        self._vectors = data.vectors
        self._divisor = data.parameters.place_divisor
        self._depth_divisor = data.parameters.depth_divisor
        self._features = features
        self._names = names
        self._edges: dict[int, bytes] = {}
        self._vertex_count = 0
        self._points, self._lines, self._areas = _Drawing(), _Drawing(), _Drawing()
        self._deep: list[bytes] = []
        self._deep_of: list[int] = []
        self.remarks: list[str] = []

    def made(self) -> Shapes:
        """Return everything."""
        for index, feature in enumerate(self._features):
            if feature.primitive == POINT:
                self._point(index, feature)
            elif feature.primitive == LINE:
                self._line(index, feature)
            elif feature.primitive == AREA:
                self._area(index, feature)
        geometries = np.full(len(self._features), None, dtype=object)
        self._put_points(geometries)
        self._put_lines(geometries)
        self._put_areas(geometries)
        return Shapes(geometries=geometries, soundings=self._soundings(), remarks=self.remarks)

    def _fault(self, index: int, what: str) -> UnreadableFile:
        """Return the error of an object."""
        return UnreadableFile(f"object {self._names[index]}: {what}")

    def _vector(self, index: int, kind: int, number: int) -> Vector:
        """Return a vector that an object hangs on."""
        found = self._vectors.get((kind, number))
        if found is None:
            raise self._fault(index, f"the vector {kind}/{number} it hangs on is not in the cell")
        self._vertex_count += (len(found.places) + len(found.deep_places)) // PLACE + 2
        if self._vertex_count > MOST_VERTICES:
            raise self._fault(index, f"the shapes of the cell have over {MOST_VERTICES} vertices")
        return found

    def _pointers(self, index: int, feature: Feature) -> list[tuple[int, int, int, int, int]]:
        """Return what an object hangs on: kind, number, direction, side, mask."""
        if not feature.pointers:
            raise self._fault(index, "it has no geometry although it should")
        return list(struct.iter_unpack("<BIBBB", feature.pointers))

    def _point(self, index: int, feature: Feature) -> None:
        """Take the positions of a point object, or its soundings."""
        for kind, number, *_ in self._pointers(index, feature):
            if kind not in (NODE_ISOLATED, NODE_CONNECTED):
                raise self._fault(index, f"a point hangs on a vector of kind {kind}")
            vector = self._vector(index, kind, number)
            if vector.deep_places:
                self._deep.append(vector.deep_places)
                self._deep_of += [index] * (len(vector.deep_places) // DEEP_PLACE)
            elif vector.places:
                self._points.of.append(index)
                self._points.rings.append(vector.places[:PLACE])
            else:
                raise self._fault(index, f"the node {number} it hangs on has no position")

    def _edge(self, index: int, number: int, direction: int) -> bytes:
        """Return the positions of an edge in the direction it is used."""
        vector = self._vector(index, EDGE, number)
        places = self._edges.get(number)
        if places is None:
            places = self._edges[number] = self._ends(index, number, vector)
        if direction == _BACKWARDS:
            return np.frombuffer(places, "<i8")[::-1].tobytes()
        return places

    def _ends(self, index: int, number: int, vector: Vector) -> bytes:
        """Return the positions of an edge with those of the nodes at its ends."""
        ends = {_BEGINS: b"", _ENDS: b""}
        for kind, node, _, _, topology, _ in struct.iter_unpack("<BIBBBB", vector.pointers):
            if topology in ends:
                ends[topology] = self._vector(index, kind, node).places[:PLACE]
        if len(vector.pointers) != 2 * VECTOR_POINTER or not all(ends.values()):
            raise self._fault(index, f"the edge {number} does not begin and end at nodes")
        return ends[_BEGINS] + vector.places + ends[_ENDS]

    def _line(self, index: int, feature: Feature) -> None:
        """Take the pieces of a line; edges that follow one another are one piece."""
        piece = b""
        for kind, number, direction, *_ in self._pointers(index, feature):
            if kind != EDGE:
                raise self._fault(index, f"a line hangs on a vector of kind {kind}")
            edge = self._edge(index, number, direction)
            if piece and piece[-PLACE:] == edge[:PLACE]:
                piece += edge[PLACE:]
                continue
            self._keep_line(index, piece)
            piece = edge
        self._keep_line(index, piece)

    def _keep_line(self, index: int, piece: bytes) -> None:
        """Keep one piece of a line."""
        if piece:
            self._lines.of.append(index)
            self._lines.rings.append(piece)

    def _area(self, index: int, feature: Feature) -> None:
        """Take the rings of an area, those outside first."""
        outer: list[bytes] = []
        inner: list[bytes] = []
        for kind, number, direction, side, _ in self._pointers(index, feature):
            if kind != EDGE:
                raise self._fault(index, f"an area hangs on a vector of kind {kind}")
            wanted = inner if side == _INTERIOR else outer
            wanted.append(self._edge(index, number, direction))
        rings, closed = _rings(outer)
        holes, holes_closed = _rings(inner)
        if not closed or not rings:
            self.remarks.append(
                f"the edges of the area {self._names[index]} do not close; it is kept as lines"
            )
            for piece in outer + inner:
                self._keep_line(index, piece)
            return
        if not holes_closed:
            self.remarks.append(
                f"a hole of the area {self._names[index]} does not close; it is filled"
            )
        for number, ring in enumerate(rings + holes):
            self._areas.of.append(index)
            self._areas.rings.append(ring)
            self._areas.ring_of.append(number if number < len(rings) else -1)

    def _positions(self, drawing: _Drawing) -> Floats:
        """Return all positions of shapes as longitude and latitude, degrees, shape (n, 2)."""
        whole = np.frombuffer(b"".join(drawing.rings), "<i4").reshape(-1, 2)
        unit = self._in_units(whole[:, ::-1].astype(np.int64))
        wrong = (np.abs(unit) > np.array([180, 90]) * UNIT_PER_DEG).any(axis=1)
        if wrong.any():
            sizes = np.array([len(one) // PLACE for one in drawing.rings])
            ring = int(np.searchsorted(np.cumsum(sizes), wrong.argmax(), side="right"))
            raise self._fault(drawing.of[ring], "a position is not on Earth")
        return unit / UNIT_PER_DEG

    def _in_units(self, whole: Ints) -> Ints:
        """Return coordinates of the file in units of 1e-7 degree."""
        if UNIT_PER_DEG % self._divisor == 0:
            return whole * (UNIT_PER_DEG // self._divisor)
        scaled: Ints = np.rint(whole * (UNIT_PER_DEG / self._divisor)).astype(np.int64)
        return scaled

    def _put_points(self, geometries: Geometries) -> None:
        """Make the points."""
        if not self._points.of:
            return
        places = self._positions(self._points)
        order = np.array(self._points.of)
        single, starts, counts = np.unique(order, return_index=True, return_counts=True)
        geometries[single] = shapely.points(places[starts])
        for index in single[counts > 1]:
            geometries[index] = shapely.multipoints(places[order == index])

    def _put_lines(self, geometries: Geometries) -> None:
        """Make the lines."""
        if not self._lines.of:
            return
        places = self._positions(self._lines)
        offsets = _offsets(self._lines.rings)
        lines = shapely.from_ragged_array(shapely.GeometryType.LINESTRING, places, (offsets,))
        of = np.array(self._lines.of)
        single, starts, counts = np.unique(of, return_index=True, return_counts=True)
        geometries[single] = lines[starts]
        for index in single[counts > 1]:
            geometries[index] = shapely.multilinestrings(lines[of == index])

    def _put_areas(self, geometries: Geometries) -> None:
        """Make the areas."""
        if not self._areas.of:
            return
        places = self._positions(self._areas)
        offsets = _offsets(self._areas.rings)
        of = np.array(self._areas.of)
        starts = np.flatnonzero(np.array(self._areas.ring_of) == 0)
        areas = shapely.from_ragged_array(
            shapely.GeometryType.POLYGON,
            places,
            (offsets, np.append(starts, len(of)).astype(np.int64)),
        )
        geometries[of[starts]] = areas
        several = np.unique(of[np.array(self._areas.ring_of) > 0])
        rings = shapely.from_ragged_array(shapely.GeometryType.LINESTRING, places, (offsets,))
        for index in several:
            here = np.flatnonzero(of == index)
            outside = np.array([self._areas.ring_of[one] >= 0 for one in here])
            geometries[index] = _several(rings[here[outside]], rings[here[~outside]])
        self._look_at(geometries, of[starts])

    def _look_at(self, geometries: Geometries, indices: Ints) -> None:
        """Say of areas whether their edges cross."""
        crossed = indices[~shapely.is_valid(geometries[indices])]
        if len(crossed):
            some = ", ".join(self._names[one] for one in crossed[:3])
            self.remarks.append(f"the edges of {len(crossed)} areas cross or touch: {some}")

    def _soundings(self) -> Soundings:
        """Return the soundings in columns."""
        whole = np.frombuffer(b"".join(self._deep), "<i4").reshape(-1, 3).astype(np.int64)
        drawing = _Drawing(of=self._deep_of, rings=[])
        drawing.rings = [one.tobytes() for one in whole[:, :2].astype("<i4")]
        places = self._positions(drawing) if len(whole) else np.empty((0, 2))
        return Soundings(
            of=np.array(self._deep_of, dtype=np.int64),
            lat_deg=np.ascontiguousarray(places[:, 1]),
            lon_deg=np.ascontiguousarray(places[:, 0]),
            depth_m=np.round(whole[:, 2] / self._depth_divisor, 6),
        )


def _offsets(rings: Sequence[bytes]) -> Ints:
    """Return where each piece begins, and the end of the last."""
    sizes = np.array([len(one) // PLACE for one in rings], dtype=np.int64)
    return np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)


def _rings(edges: list[bytes]) -> tuple[list[bytes], bool]:
    """Return the rings that edges make in their order, and whether all of them close."""
    rings: list[bytes] = []
    waiting = list(edges)
    closed = True
    while waiting:
        ring = waiting.pop(0)
        while ring[:PLACE] != ring[-PLACE:]:
            following = _following(waiting, ring[-PLACE:])
            if following is None:
                break
            ring += following[PLACE:]
        if ring[:PLACE] == ring[-PLACE:] and len(ring) >= 4 * PLACE:
            rings.append(ring)
        else:
            closed = False
    return rings, closed


def _following(waiting: list[bytes], place: bytes) -> bytes | None:
    """Take the first edge that begins, or else ends, at a place out of those that wait."""
    for index, edge in enumerate(waiting):
        if edge[:PLACE] == place:
            return waiting.pop(index)
    for index, edge in enumerate(waiting):
        if edge[-PLACE:] == place:
            return np.frombuffer(waiting.pop(index), "<i8")[::-1].tobytes()
    return None


def _several(outside: Geometries, holes: Geometries) -> shapely.Geometry:
    """Return an area of several parts, each hole in the part that contains it."""
    parts = [shapely.Polygon(one) for one in outside]
    of_part: list[list[shapely.Geometry]] = [[] for _ in parts]
    for hole in holes:
        inside = shapely.Polygon(hole).representative_point()
        home = next((n for n, part in enumerate(parts) if part.covers(inside)), 0)
        of_part[home].append(hole)
    made = [shapely.Polygon(outside[n], of_part[n]) for n in range(len(parts))]
    return shapely.multipolygons(made)
