"""The dangers about a place, in its plane: points and short straight pieces of edges."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, Table, as_floats, numbered, side_by_side
from wheelover.core.geo.angles import normal_longitude_deg
from wheelover.core.geo.ellipsoid import A_M, E2, meridian_radius_m, normal_radius_m
from wheelover.core.geo.plane import to_plane_m
from wheelover.core.sweep.parts_loop import edges_loop, points_loop
from wheelover.core.types.chart import Hazards, Paths
from wheelover.core.units import NM_M

_OFF_M = 0.01
"""A piece of an edge may leave its chord by this."""

_LEAST_RADIUS_M = A_M * (1.0 - E2)
_LONGEST_M = 5000.0
_NEAR_POLE_DEG = 89.0
_NO_STRIP_DEG = 80.0
_NO_STRIP_M = 15.0 * NM_M
"""Beyond these latitude and reach no strip is heeded (core/sweep/parts_loop.py)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """Parts of dangers in planes, m of them: straight pieces of edges, and points (no length).

    ``place`` numbers the place about which each was looked for, the middle of its plane, and
    ``margin_m`` is how near to the strip there it matters.
    """

    place: Ints
    hazard: Ints
    start_m: Floats
    end_m: Floats
    margin_m: Floats

    @property
    def count(self) -> int:
        """Return how many parts there are."""
        return len(self.hazard)

    def rows(self, which: Ints | Bools) -> "Parts":
        """Return the parts of the given numbers."""
        return Parts(
            place=self.place[which],
            hazard=self.hazard[which],
            start_m=self.start_m[which],
            end_m=self.end_m[which],
            margin_m=self.margin_m[which],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edges:
    """Edges in degrees from their places, (m, 2) north and east: start, and how far each goes."""

    row: Ints
    start_deg: Floats
    run_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cuts:
    """Pieces of edges: the places between them, and of each piece the number of its first.

    ``row`` says which path each piece is of, ``middle`` about which place each place lies.
    """

    row: Ints
    first: Ints
    middle: Ints
    lat_deg: Floats
    lon_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A rectangle in the plane beyond which nothing matters: x along a direction, y to starboard.

    ``along_ratio`` is the unit vector (east, north) of x, ``low_m`` and ``high_m`` hold the least
    and largest x and y, and ``margin_m`` how far around it each of n dangers still matters.
    """

    along_ratio: Floats
    low_m: tuple[float, float]
    high_m: tuple[float, float]
    margin_m: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Middles:
    """Places about which dangers are looked for, n of them.

    ``along_ratio``, ``low_m`` and ``high_m`` are those of a ``Strip`` about each, shape (n, 2).
    """

    lat_deg: Floats
    lon_deg: Floats
    along_ratio: Floats
    low_m: Floats
    high_m: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """Points or paths to look at, m of them: what place each is about, and its own number.

    Of them matters what is nearer to the place than ``reach_m`` and to its strip than ``margin_m``.
    """

    place: Ints
    number: Ints
    reach_m: Floats
    margin_m: Floats


def parts_about(
    hazards: Hazards,
    middle_deg: tuple[float, float],
    reach_m: Floats,
    strip: Strip | None = None,
) -> Parts:
    """Return what of the dangers lies about a place.

    Parameters
    ----------
    hazards : Hazards
        The dangers, n of them.
    middle_deg : tuple of float
        Latitude and longitude of the place.
    reach_m : ndarray, shape (n,)
        How far around the place each danger is looked for.
    strip : Strip or None
        Where in that anything matters at all; what lies elsewhere may be left out.

    Returns
    -------
    Parts
        All that matters and is nearer than its reach; of edges also some beyond.
    """
    margin_m = np.full(hazards.count, np.inf) if strip is None else strip.margin_m
    middles = Middles(
        lat_deg=as_floats(middle_deg[0]),
        lon_deg=as_floats(middle_deg[1]),
        along_ratio=np.array([[1.0, 0.0]]) if strip is None else strip.along_ratio[None],
        low_m=np.array([(-np.inf, -np.inf) if strip is None else strip.low_m]),
        high_m=np.array([(np.inf, np.inf) if strip is None else strip.high_m]),
    )

    def all_of(hazard: Ints) -> Sought:
        return Sought(
            place=np.zeros(hazard.size, np.int64),
            number=np.arange(hazard.size, dtype=np.int64),
            reach_m=reach_m[hazard],
            margin_m=margin_m[hazard],
        )

    return parts_of(hazards, middles, all_of(hazards.points.hazard), all_of(hazards.paths.hazard))


def parts_of(hazards: Hazards, middles: Middles, points: Sought, paths: Sought) -> Parts:
    """Return what of some points and paths of dangers lies about places.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    middles : Middles
        The places.
    points, paths : Sought
        Which of the points and paths of the dangers may lie about which place; the rows of one
        place follow one another.

    Returns
    -------
    Parts
        Those of points in the order of their rows, then those of paths in theirs.

    Notes
    -----
    Edges are straight in longitude and latitude [RFC7946]_ and are cut so short that none leaves
    its chord in the plane by more than 1 cm (below 89 degrees of latitude).
    """
    if points.number.size == 0 and paths.number.size == 0:
        none, places_m = np.empty(0, np.int64), np.empty((0, 2))
        return Parts(
            place=none, hazard=none, start_m=places_m, end_m=places_m, margin_m=np.empty(0)
        )
    planes = _planes(middles)
    lat, lon = (
        np.ascontiguousarray(one) for one in (hazards.points.lat_deg, hazards.points.lon_deg)
    )
    near = points_loop(lat, lon, points.place, points.number, _boxes(middles, points), planes)
    edges = _edges_about(hazards.paths, middles, paths, planes)
    # Both are brought into the plane at once.
    number = points.number[near]
    middle = np.concatenate([points.place[near], edges.middle])
    place_m = to_plane_m(
        (middles.lat_deg[middle], middles.lon_deg[middle]),
        np.concatenate([lat[number], edges.lat_deg]),
        np.concatenate([lon[number], edges.lon_deg]),
    )
    point_m, edge_m = place_m[: near.size], place_m[near.size :]
    within = np.hypot(point_m[:, 0], point_m[:, 1]) <= points.reach_m[near]
    near, number, point_m, first = near[within], number[within], point_m[within], edges.first
    return Parts(
        place=np.concatenate([points.place[near], paths.place[edges.row]]),
        hazard=np.concatenate(
            [hazards.points.hazard[number], hazards.paths.hazard[paths.number[edges.row]]]
        ),
        start_m=np.concatenate([point_m, edge_m[first]]),
        end_m=np.concatenate([point_m, edge_m[first + 1]]),
        margin_m=np.concatenate([points.margin_m[near], paths.margin_m[edges.row]]),
    )


def _planes(middles: Middles) -> Table:
    """Return places with their strips as the loops take them."""
    lat_rad = np.radians(middles.lat_deg)
    found = np.empty((lat_rad.size, 11))
    found[:, 0], found[:, 1] = middles.lat_deg, middles.lon_deg
    found[:, 2] = np.radians(meridian_radius_m(middles.lat_deg))
    found[:, 3] = np.radians(normal_radius_m(middles.lat_deg)) * np.cos(lat_rad)
    found[:, 10] = np.abs(np.tan(lat_rad)) / _LEAST_RADIUS_M
    found[:, 4:6], found[:, 6:8], found[:, 8:10] = (
        middles.along_ratio, middles.low_m, middles.high_m,
    )  # fmt: skip
    high = np.abs(middles.lat_deg) > _NO_STRIP_DEG
    found[high, 6:8], found[high, 8:10] = -np.inf, np.inf
    return found


def _boxes(middles: Middles, sought: Sought) -> Table:
    """Return boxes about places that hold what is sought, as the loops take them."""
    north_deg, east_deg = half_box_deg(middles.lat_deg[sought.place], sought.reach_m)
    margin_m = np.where(sought.reach_m > _NO_STRIP_M, np.inf, sought.margin_m)
    return side_by_side(north_deg, east_deg, margin_m)


def half_box_deg(middle_lat_deg: float | Floats, reach_m: Floats) -> tuple[Floats, Floats]:
    """Return half the height and width in degrees of boxes that hold circles about places."""
    north_deg = np.degrees(reach_m / _LEAST_RADIUS_M)
    farthest_deg = np.minimum(np.abs(middle_lat_deg) + north_deg, 90.0)
    # A circle near a pole spans more longitude than its radius at that latitude; twice is enough.
    width_m = np.maximum(np.cos(np.radians(farthest_deg)) * _LEAST_RADIUS_M, 1e-3)
    east_deg = np.degrees(reach_m / width_m) * 1.001
    return north_deg, np.where(farthest_deg > _NEAR_POLE_DEG, 360.0, np.minimum(east_deg, 360.0))


def _edges_about(paths: Paths, middles: Middles, sought: Sought, planes: Table) -> _Cuts:
    """Return short pieces of the edges that cross the boxes about places."""
    rows = edges_loop(
        np.ascontiguousarray(paths.lat_deg), np.ascontiguousarray(paths.lon_deg),
        np.ascontiguousarray(paths.starts), sought.place, sought.number, _boxes(middles, sought),
        planes,
    )  # fmt: skip
    row = rows[:, 0].astype(np.int64)
    return _cut(
        _Edges(row=row, start_deg=rows[:, 1:3], run_deg=rows[:, 3:5]), sought.place[row], middles
    )


def edge_starts(paths: Paths) -> tuple[Ints, Ints]:
    """Return the first vertex of every edge and its path; a single place is an edge to itself."""
    count = np.diff(paths.starts)
    path, place = numbered(np.where(count > 1, count - 1, count))
    return paths.starts[path] + place, path


def _cut(edges: _Edges, middle: Ints, middles: Middles) -> _Cuts:
    """Return edges, each about a place, cut into pieces that are as good as straight in its plane.

    A line straight in longitude and latitude bends by less than 2 tan(latitude) over the radius of
    the earth, and a piece of length s leaves its chord by s^2 / 8 times that.
    """
    lat_deg = middles.lat_deg[middle] + np.stack(
        [edges.start_deg[:, 0], (edges.start_deg + edges.run_deg)[:, 0]]
    )
    far_deg = np.minimum(np.max(np.abs(lat_deg), axis=0, initial=0.0), _NEAR_POLE_DEG)
    near_deg = np.min(np.abs(lat_deg), axis=0, initial=90.0)
    longest_m = np.sqrt(
        4.0 * _LEAST_RADIUS_M * _OFF_M / np.maximum(np.tan(np.radians(far_deg)), 1e-3)
    )
    length_m = (
        1.01
        * A_M
        * np.radians(
            np.hypot(edges.run_deg[:, 0], edges.run_deg[:, 1] * np.cos(np.radians(near_deg)))
        )
    )
    count = np.maximum(np.ceil(length_m / np.minimum(longest_m, _LONGEST_M)), 1.0).astype(np.int64)
    # Each edge brings one place more than pieces.
    edge, place = numbered(count + 1)
    share = place / count[edge]
    at_deg = edges.start_deg[edge] + share[:, None] * edges.run_deg[edge]
    first, middle = np.flatnonzero(place < count[edge]), middle[edge]
    return _Cuts(
        row=edges.row[edge[first]],
        first=first,
        middle=middle,
        lat_deg=middles.lat_deg[middle] + at_deg[:, 0],
        lon_deg=normal_longitude_deg(middles.lon_deg[middle] + at_deg[:, 1]),
    )
