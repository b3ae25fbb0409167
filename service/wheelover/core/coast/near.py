"""Those edges of the coastline that may be the nearest to a piece of the track.

A rough look bounds how far each is at least and at most; what cannot matter is left out, and the
few that are left are measured exactly by ``core/clearance``.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Floats, Ints, numbered
from wheelover.core.clearance.near_edges import between_chords
from wheelover.core.coast.chunks import (
    COLUMN_COUNT,
    is_seam,
    row_of,
)
from wheelover.core.coast.segments import Chords, Segments, chords_of
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.nearest import dot
from wheelover.core.types.coast import Coast

_MINUTE_M = 1842.0
_DEGREE_M = 111_700.0
_MOST_PAIRS = 1_500_000
_DOUBT_M = 1.0
_CROWDED = 8.0
_BOW_PER_M = 2e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """What is wanted of the coast around each piece of a track, in columns of shape (p,).

    ``reach_m`` is how far around it to look; ``by_side`` says that the nearest of each side is
    wanted, not only that of all. So are those by up to ``more_m`` farther off than the nearest.
    """

    reach_m: Floats
    by_side: Bools
    more_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bounds:
    """Bounds on the distance of things from segments, and on which side they surely lie."""

    least_m: Floats
    most_m: Floats
    port: Bools
    starboard: Bools

    def rows(self, which: Ints) -> "_Bounds":
        """Return the bounds of the given numbers."""
        return _Bounds(
            least_m=self.least_m[which],
            most_m=self.most_m[which],
            port=self.port[which],
            starboard=self.starboard[which],
        )


def edges_near(
    coast: Coast, segments: Segments, sought: Sought, covered: object | None = None
) -> tuple[Ints, Floats]:
    """Return the edges that may be the nearest to a piece, or be crossed by it.

    Parameters
    ----------
    coast : Coast
        The shores.
    segments : Segments
        The pieces.
    sought : Sought
        What is wanted around each.
    covered : shapely geometry or None
        Where the coastline does not count: edges wholly in it are left out.

    Returns
    -------
    edge : ndarray, shape (k,)
        The numbers of the first vertices of the edges, ascending.
    search_m : ndarray, shape (k,)
        How far around each the track must be looked for.
    """
    found = [
        _edges_near(coast, segments.rows(which), sought, covered)
        for which in _portions(coast, segments, sought)
    ]
    edge = np.concatenate([one for one, _ in found]) if found else np.empty(0, np.int64)
    most_m = np.concatenate([one for _, one in found]) if found else np.empty(0)
    unique, inverse = np.unique(edge, return_inverse=True)
    search_m = np.zeros(unique.size)
    np.maximum.at(search_m, inverse, most_m)
    return unique, search_m


def _portions(coast: Coast, segments: Segments, sought: Sought) -> list[Ints]:
    """Return the segments in portions, none with more to look at than fits; pieces stay whole."""
    if segments.piece.size == 0:
        return []
    low, high, _, wide = _cells_about(segments, sought.reach_m[segments.piece])
    # Chunks gather on shores: half the columns may hold none, others many times as many.
    in_rows = np.append(0, coast.cell_starts[COLUMN_COUNT::COLUMN_COUNT])
    held = (in_rows[high + 1] - in_rows[low]) * np.minimum(wide * _CROWDED / COLUMN_COUNT, 1.0)
    order = np.argsort(segments.piece, kind="stable")
    piece = segments.piece[order]
    # A piece goes where its first segment does.
    portion = (np.cumsum(held[order]) // _MOST_PAIRS)[np.searchsorted(piece, piece)]
    return np.split(order, np.flatnonzero(np.diff(portion)) + 1)


def _cells_about(segments: Segments, reach_m: Floats) -> tuple[Ints, Ints, Ints, Ints]:
    """Return the rows of cells about segments, their first column, and how many columns."""
    middle, half_deg, south, north = _spans(segments, reach_m)
    left = np.floor((middle - half_deg + 180.0) / (360.0 / COLUMN_COUNT)).astype(np.int64)
    right = np.floor((middle + half_deg + 180.0) / (360.0 / COLUMN_COUNT)).astype(np.int64)
    return (
        row_of(south),
        row_of(north),
        np.asarray(left % COLUMN_COUNT),
        np.minimum(right - left + 1, COLUMN_COUNT),
    )


def _spans(segments: Segments, reach_m: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return boxes about segments: middle and half width in longitude, south and north."""
    up_deg = (reach_m + segments.bow_m) / _MINUTE_M / 60.0 * 1.01
    south = np.min(segments.lat_deg, axis=1) - up_deg
    north = np.max(segments.lat_deg, axis=1) + up_deg
    most_deg = np.minimum(np.maximum(np.abs(south), np.abs(north)), 89.99)
    change = (segments.lon_deg[:, 1] - segments.lon_deg[:, 0] + 180.0) % 360.0 - 180.0
    half_deg = np.abs(change) / 2.0 + up_deg / np.cos(np.radians(most_deg))
    middle = segments.lon_deg[:, 0] + change / 2.0
    return middle, np.minimum(half_deg, 180.0), south, north


def _edges_near(
    coast: Coast, segments: Segments, sought: Sought, covered: object | None
) -> tuple[Ints, Floats]:
    """Return the edges near some segments, with the bound on their distance, as pairs."""
    segment, chunk = _chunks_about(coast, segments, sought.reach_m[segments.piece])
    chords = chords_of(segments)
    if covered is None:
        # Inside official coverage a chunk proves nothing: what it holds may not count.
        bounds = _of_chunks(coast, chords, segment, chunk)
        rows = np.flatnonzero(_may_matter(segments.piece[segment], bounds, sought))
        segment, chunk = segment[rows], chunk[rows]
    shore = _shore_of(coast, chunk, covered)
    segment, place, bounds = _of_edges(shore, chords, segment, chunk)
    rows = np.flatnonzero(_may_matter(segments.piece[segment], bounds, sought))
    segment, place, bounds = segment[rows], place[rows], bounds.rows(rows)
    bounds = _closer(shore, chords, segment, place, bounds)
    rows = np.flatnonzero(_may_matter(segments.piece[segment], bounds, sought))
    return shore.vertex[place[rows]], bounds.most_m[rows] + _DOUBT_M


def _chunks_about(coast: Coast, segments: Segments, reach_m: Floats) -> tuple[Ints, Ints]:
    """Return the chunks whose boxes meet those about segments, as pairs, each once."""
    low, high, left, wide = _cells_about(segments, reach_m)
    segment, place = numbered((high - low + 1) * wide)
    column = (left[segment] + place % wide[segment]) % COLUMN_COUNT
    cell = (low[segment] + place // wide[segment]) * COLUMN_COUNT + column
    of_cell, number = numbered(np.diff(coast.cell_starts)[cell])
    segment = segment[of_cell]
    chunk = coast.cell_chunks[coast.cell_starts[cell[of_cell]] + number].astype(np.int64)
    middle, half_deg, south, north = _spans(segments, reach_m)
    box = coast.box_deg[chunk]
    near = (box[:, 1] <= north[segment]) & (box[:, 3] >= south[segment])
    segment, chunk, box = segment[near], chunk[near], box[near].astype(np.float64)
    apart_deg = (box[:, 0] + box[:, 2]) / 2.0 - middle[segment]
    apart_deg = np.abs((apart_deg + 180.0) % 360.0 - 180.0)
    near = apart_deg <= half_deg[segment] + (box[:, 2] - box[:, 0]) / 2.0
    key = np.unique(segment[near] * coast.first.size + chunk[near])
    return key // coast.first.size, key % coast.first.size


def _of_chunks(coast: Coast, chords: Chords, segment: Ints, chunk: Ints) -> _Bounds:
    """Return bounds on the distance of chunks: each lies in a ball about the middle of its box."""
    unique, inverse = np.unique(chunk, return_inverse=True)
    box = coast.box_deg[unique].astype(np.float64)
    high_deg, wide_deg = box[:, 3] - box[:, 1], box[:, 2] - box[:, 0]
    near_deg = np.where(box[:, 1] * box[:, 3] < 0.0, 0.0, np.min(np.abs(box[:, 1::2]), axis=1))
    ball_m = np.hypot(high_deg, wide_deg * np.cos(np.radians(near_deg))) / 2.0 * _DEGREE_M
    middle_m = earth_centred_m((box[:, 1] + box[:, 3]) / 2.0, (box[:, 0] + box[:, 2]) / 2.0)
    apart_m, along_m, right_m = chords.look(segment, middle_m[inverse])
    # The first vertex lies on the shore itself, mostly nearer than the far side of the ball.
    vertex = coast.points_deg[coast.first[unique]].astype(np.float64)
    vertex_m = earth_centred_m(vertex[:, 1], vertex[:, 0])
    at_vertex_m, _, _ = chords.look(segment, vertex_m[inverse])
    doubt_m = ball_m[inverse] + chords.bow_m[segment] + _DOUBT_M
    beside = (along_m > doubt_m) & (along_m < chords.length_m[segment] - doubt_m)
    return _Bounds(
        least_m=apart_m - doubt_m,
        most_m=np.minimum(apart_m + doubt_m, at_vertex_m + chords.bow_m[segment] + _DOUBT_M),
        port=beside & (right_m < -doubt_m),
        starboard=beside & (right_m > doubt_m),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shore:
    """The vertices of some chunks, each chunk once, in columns of shape (v,).

    ``chunk`` holds the chunks, ascending, and ``starts`` where the vertices of each begin.
    ``length_m`` and ``counts`` are of the edge from a vertex to the next: how long it is, and
    whether it is a shore that counts.
    """

    chunk: Ints
    starts: Ints
    vertex: Ints
    place_m: Floats
    length_m: Floats
    counts: Bools


def _shore_of(coast: Coast, chunk: Ints, covered: object | None) -> _Shore:
    """Return the vertices of chunks; seams and what official charts cover do not count."""
    unique = np.unique(chunk)
    size = coast.edge_count[unique] + 1
    owner, number = numbered(size)
    vertex = coast.first[unique][owner] + number
    lon, lat = coast.points_deg[vertex].astype(np.float64).T
    place_m = earth_centred_m(lat, lon)
    run_m = np.diff(place_m, axis=0, append=place_m[-1:])
    counts = np.append(owner[1:] == owner[:-1], False)[: owner.size]
    ends = np.column_stack([lon, lat])
    counts &= ~is_seam(ends, np.roll(ends, -1, axis=0))
    if covered is not None:
        rows = np.flatnonzero(counts & shapely.contains_xy(covered, lon, lat))
        lines = shapely.linestrings(np.stack([ends[rows], ends[rows + 1]], axis=1))
        counts[rows[shapely.contains(covered, lines)]] = False
    return _Shore(
        chunk=unique,
        starts=np.append(0, np.cumsum(size)),
        vertex=vertex,
        place_m=place_m,
        length_m=np.sqrt(dot(run_m, run_m)) * 1.01,
        counts=counts,
    )


def _of_edges(
    shore: _Shore, chords: Chords, segment: Ints, chunk: Ints
) -> tuple[Ints, Ints, _Bounds]:
    """Return pairs of segment and edge, by the place of its first vertex, with their bounds."""
    of_shore = np.searchsorted(shore.chunk, chunk)
    pair, number = numbered(np.diff(shore.starts)[of_shore])
    place, segment = shore.starts[of_shore][pair] + number, segment[pair]
    apart_m, along_m, right_m = chords.look(segment, shore.place_m[place])
    # The next row of a pair holds the other end of an edge.
    rows = np.flatnonzero(shore.counts[place])
    other_m, segment, place = apart_m[rows + 1], segment[rows], place[rows]
    apart_m, along_m, right_m = apart_m[rows], along_m[rows], right_m[rows]
    bow_m, length_m = chords.bow_m[segment] + _DOUBT_M, shore.length_m[place]
    doubt_m = length_m + bow_m
    beside = (along_m > doubt_m) & (along_m < chords.length_m[segment] - doubt_m)
    bounds = _Bounds(
        least_m=(apart_m + other_m - length_m) / 2.0 - bow_m,
        most_m=np.minimum(apart_m, other_m) + bow_m,
        port=beside & (right_m < -doubt_m),
        starboard=beside & (right_m > doubt_m),
    )
    return segment, place, bounds


def _closer(shore: _Shore, chords: Chords, segment: Ints, place: Ints, bounds: _Bounds) -> _Bounds:
    """Return the bounds drawn closer: edges and segments are both near their chords."""
    start_m = chords.start_m[segment]
    end_m = start_m + chords.along_ratio[segment] * chords.length_m[segment][:, None]
    apart_m = between_chords(start_m, end_m, shore.place_m[place], shore.place_m[place + 1])
    # A straight edge in longitude and latitude bows from its chord by less than this share squared.
    bow_m = chords.bow_m[segment] + shore.length_m[place] ** 2 * _BOW_PER_M
    return _Bounds(
        least_m=np.maximum(bounds.least_m, apart_m - bow_m),
        most_m=np.minimum(bounds.most_m, apart_m + bow_m),
        port=bounds.port,
        starboard=bounds.starboard,
    )


def _may_matter(piece: Ints, bounds: _Bounds, sought: Sought) -> Bools:
    """Return which pairs may hold the nearest of a piece, or of a side of it, within its reach."""
    count = sought.reach_m.size
    nearest_m = _least_of_each(piece, bounds.most_m, count) + sought.more_m
    matters = bounds.least_m <= nearest_m[piece]
    for surely, other in ((bounds.port, bounds.starboard), (bounds.starboard, bounds.port)):
        best_m = _least_of_each(piece[surely], bounds.most_m[surely], count)
        matters |= sought.by_side[piece] & ~other & (bounds.least_m <= best_m[piece])
    # A chord is shorter than the way along the ground, by 1 part in 10,000 at 200 km.
    reach_m = sought.reach_m * 1.0001 + _DOUBT_M
    return np.asarray(matters & (bounds.least_m <= reach_m[piece]))


def _least_of_each(piece: Ints, most_m: Floats, count: int) -> Floats:
    """Return the least bound of each piece."""
    best_m = np.full(count, np.inf)
    np.minimum.at(best_m, piece, most_m)
    return best_m
