"""The dangers about a place, in its plane: points and short straight pieces of edges."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, as_floats, numbered, side_by_side
from wheelover.core.geo.angles import normal_longitude_deg
from wheelover.core.geo.ellipsoid import A_M, E2
from wheelover.core.geo.plane import to_plane_m
from wheelover.core.types.chart import Hazards, Paths, Points

_OFF_M = 0.01
"""A piece of an edge may leave its chord by this."""

_LEAST_RADIUS_M = A_M * (1.0 - E2)
_LONGEST_M = 5000.0
_NEAR_POLE_DEG = 89.0
_NO_STRIP_DEG = 80.0
_ROUGH_SHARE, _ROUGH_M = 0.04, 30.0
"""How far a place in degrees times metres may be off: below 80 degrees and within 15 NM."""

_TURNS_DEG = (-360.0, 0.0, 360.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """Parts of dangers in a plane, m of them: straight pieces of edges, and points (no length)."""

    hazard: Ints
    start_m: Floats
    end_m: Floats

    @property
    def count(self) -> int:
        """Return how many parts there are."""
        return len(self.hazard)

    def rows(self, which: Ints | Bools) -> "Parts":
        """Return the parts of the given numbers."""
        return Parts(
            hazard=self.hazard[which], start_m=self.start_m[which], end_m=self.end_m[which]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edges:
    """Edges in degrees from a middle, (m, 2) north and east: start, and how far each goes."""

    hazard: Ints
    start_deg: Floats
    run_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cuts:
    """Pieces of edges: the places between them, and of each piece the number of its first."""

    hazard: Ints
    first: Ints
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
        Where in that anything matters at all; edges that lie elsewhere are left out.

    Returns
    -------
    Parts
        All that is nearer than its reach; of edges also some beyond.

    Notes
    -----
    Edges are straight in longitude and latitude [RFC7946]_ and are cut so short that none leaves
    its chord in the plane by more than 1 cm (below 89 degrees of latitude).
    """
    points = hazards.points
    if points.count == 0 and hazards.paths.count == 0:
        places_m = np.empty((0, 2))
        return Parts(hazard=np.empty(0, np.int64), start_m=places_m, end_m=places_m)
    # The widest reach first: of a million points few lie in its band of latitude.
    widest_deg = half_box_deg(middle_deg[0], as_floats(np.max(reach_m, initial=0.0)))
    near = _points_about(points, middle_deg, reach_m, widest_deg[0])
    edges = _edges_about(hazards, middle_deg, reach_m, widest_deg, strip)
    # Both are brought into the plane at once.
    place_m = to_plane_m(
        middle_deg,
        np.concatenate([points.lat_deg[near], edges.lat_deg]),
        np.concatenate([points.lon_deg[near], edges.lon_deg]),
    )
    point_m, edge_m = place_m[: near.size], place_m[near.size :]
    within = np.hypot(point_m[:, 0], point_m[:, 1]) <= reach_m[points.hazard[near]]
    near, point_m, first = near[within], point_m[within], edges.first
    return Parts(
        hazard=np.concatenate([points.hazard[near], edges.hazard]),
        start_m=np.concatenate([point_m, edge_m[first]]),
        end_m=np.concatenate([point_m, edge_m[first + 1]]),
    )


def half_box_deg(middle_lat_deg: float, reach_m: Floats) -> tuple[Floats, Floats]:
    """Return half the height and width in degrees of boxes that hold circles about a place."""
    north_deg = np.degrees(reach_m / _LEAST_RADIUS_M)
    farthest_deg = np.minimum(np.abs(middle_lat_deg) + north_deg, 90.0)
    # A circle near a pole spans more longitude than its radius at that latitude; twice is enough.
    width_m = np.maximum(np.cos(np.radians(farthest_deg)) * _LEAST_RADIUS_M, 1e-3)
    east_deg = np.degrees(reach_m / width_m) * 1.001
    return north_deg, np.where(farthest_deg > _NEAR_POLE_DEG, 360.0, np.minimum(east_deg, 360.0))


def _points_about(
    points: Points, middle_deg: tuple[float, float], reach_m: Floats, band_deg: Floats
) -> Ints:
    """Return the points of dangers that may be nearer to a place than their reach."""
    near = np.flatnonzero(np.abs(points.lat_deg - middle_deg[0]) <= band_deg)
    _, east_deg = half_box_deg(middle_deg[0], reach_m[points.hazard[near]])
    off_deg = np.abs(np.mod(points.lon_deg[near] - middle_deg[1] + 180.0, 360.0) - 180.0)
    return near[off_deg <= east_deg]


def _edges_about(
    hazards: Hazards, middle_deg: tuple[float, float], reach_m: Floats,
    widest_deg: tuple[Floats, Floats], strip: Strip | None,
) -> _Cuts:  # fmt: skip
    """Return short pieces of the edges that cross the boxes about a place."""
    edges = _edges_in_band(hazards.paths, middle_deg, *widest_deg)
    half_deg = side_by_side(*half_box_deg(middle_deg[0], reach_m[edges.hazard]))
    enter, leave = _inside_box(edges, half_deg)
    inside = enter <= leave
    if strip is not None:
        inside &= _in_strip(edges, middle_deg[0], strip)
    # Of an edge that lies outside, enter and leave may be without bound.
    enter, leave, run_deg = enter[inside], leave[inside], edges.run_deg[inside]
    return _cut(
        _Edges(
            hazard=edges.hazard[inside],
            start_deg=edges.start_deg[inside] + enter[:, None] * run_deg,
            run_deg=(leave - enter)[:, None] * run_deg,
        ),
        middle_deg,
    )


def _in_strip(edges: _Edges, middle_lat_deg: float, strip: Strip) -> Bools:
    """Return which edges may come into a strip, from where their ends are roughly."""
    if abs(middle_lat_deg) > _NO_STRIP_DEG:
        return np.ones(edges.hazard.size, np.bool_)
    ends_deg = np.stack([edges.start_deg, edges.start_deg + edges.run_deg])
    one_m = np.radians(_LEAST_RADIUS_M)
    north_m = ends_deg[..., 0] * one_m
    east_m = ends_deg[..., 1] * (one_m * np.cos(np.radians(middle_lat_deg)))
    east, north = strip.along_ratio
    roughly_m = _ROUGH_SHARE * np.max(np.abs(east_m) + np.abs(north_m), axis=0, initial=0.0)
    slack_m = strip.margin_m[edges.hazard] + roughly_m + _ROUGH_M
    inside = np.ones(edges.hazard.size, np.bool_)
    for place_m, low_m, high_m in (
        (east_m * east + north_m * north, strip.low_m[0], strip.high_m[0]),
        (east_m * north - north_m * east, strip.low_m[1], strip.high_m[1]),
    ):
        inside &= np.min(place_m, axis=0) <= high_m + slack_m
        inside &= np.max(place_m, axis=0) >= low_m - slack_m
    return inside


def _edges_in_band(
    paths: Paths, middle_deg: tuple[float, float], band_deg: Floats, widest_deg: Floats
) -> _Edges:
    """Return the edges that reach into the latitudes about a place, at each turn of longitude."""
    begin, path = _edge_starts(paths)
    lat, lon = paths.lat_deg, paths.lon_deg
    hazard = paths.hazard[path]
    end = np.minimum(begin + 1, paths.starts[path + 1] - 1)
    low, high = np.minimum(lat[begin], lat[end]), np.maximum(lat[begin], lat[end])
    near = (low <= middle_deg[0] + band_deg) & (high >= middle_deg[0] - band_deg)
    begin, end, hazard = begin[near], end[near], hazard[near]
    start_deg = side_by_side(
        lat[begin] - middle_deg[0], np.mod(lon[begin] - middle_deg[1] + 180.0, 360.0) - 180.0
    )
    run_deg = side_by_side(lat[end] - lat[begin], lon[end] - lon[begin])
    west_deg = start_deg[:, 1] + np.minimum(run_deg[:, 1], 0.0) - widest_deg
    east_deg = start_deg[:, 1] + np.maximum(run_deg[:, 1], 0.0) + widest_deg
    rows = [
        np.flatnonzero((west_deg + turn_deg <= 0.0) & (east_deg + turn_deg >= 0.0))
        for turn_deg in _TURNS_DEG
    ]
    if rows[1].size == hazard.size and not (rows[0].size or rows[2].size):
        # Away from 180 degrees all lie about the place as they are.
        return _Edges(hazard=hazard, start_deg=start_deg + 0.0, run_deg=run_deg)
    turns = [
        start_deg[these] + np.array([0.0, turn_deg])
        for these, turn_deg in zip(rows, _TURNS_DEG, strict=True)
    ]
    near = np.concatenate(rows)
    return _Edges(hazard=hazard[near], start_deg=np.concatenate(turns), run_deg=run_deg[near])


def _edge_starts(paths: Paths) -> tuple[Ints, Ints]:
    """Return the first vertex of every edge and its path; a single place is an edge to itself."""
    count = np.diff(paths.starts)
    path, place = numbered(np.where(count > 1, count - 1, count))
    return paths.starts[path] + place, path


def _inside_box(edges: _Edges, half_deg: Floats) -> tuple[Floats, Floats]:
    """Return the shares of the way at which edges enter and leave boxes; crossed over outside."""
    with np.errstate(divide="ignore", invalid="ignore"):
        one = (-half_deg - edges.start_deg) / edges.run_deg
        other = (half_deg - edges.start_deg) / edges.run_deg
    still = edges.run_deg == 0.0
    beside = np.abs(edges.start_deg) > half_deg
    low = np.where(still, np.where(beside, np.inf, -np.inf), np.minimum(one, other))
    high = np.where(still, np.where(beside, -np.inf, np.inf), np.maximum(one, other))
    return np.maximum(np.max(low, axis=1), 0.0), np.minimum(np.min(high, axis=1), 1.0)


def _cut(edges: _Edges, middle_deg: tuple[float, float]) -> _Cuts:
    """Return edges cut into pieces that are as good as straight in the plane.

    A line straight in longitude and latitude bends by less than 2 tan(latitude) over the radius of
    the earth, and a piece of length s leaves its chord by s^2 / 8 times that.
    """
    lat_deg = middle_deg[0] + np.stack(
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
    first = np.flatnonzero(place < count[edge])
    return _Cuts(
        hazard=edges.hazard[edge[first]],
        first=first,
        lat_deg=middle_deg[0] + at_deg[:, 0],
        lon_deg=normal_longitude_deg(middle_deg[1] + at_deg[:, 1]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaEdges:
    """Edges of areas that reach into a band of latitude, for asking which areas hold a place."""

    hazard: Ints
    area: Ints
    from_deg: Floats
    to_deg: Floats


def area_edges(hazards: Hazards, middle_lat_deg: float, reach_m: float) -> AreaEdges:
    """Return the edges of areas that reach into the latitudes about a place.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    middle_lat_deg : float
        The latitude.
    reach_m : float
        How far north and south of it places will be asked about.
    """
    paths = hazards.paths
    begin, path = _edge_starts(paths)
    ring = (paths.area[path] >= 0) & (begin + 1 < paths.starts[path + 1])
    begin, path = begin[ring], path[ring]
    band_deg = float(np.degrees(reach_m / _LEAST_RADIUS_M))
    one, other = paths.lat_deg[begin], paths.lat_deg[begin + 1]
    near = (np.minimum(one, other) <= middle_lat_deg + band_deg) & (
        np.maximum(one, other) >= middle_lat_deg - band_deg
    )
    begin, path = begin[near], path[near]
    return AreaEdges(
        hazard=paths.hazard[path],
        area=paths.area[path],
        from_deg=side_by_side(paths.lat_deg[begin], paths.lon_deg[begin]),
        to_deg=side_by_side(paths.lat_deg[begin + 1], paths.lon_deg[begin + 1]),
    )


def dangers_holding(edges: AreaEdges, lat_deg: float, lon_deg: float) -> Ints:
    """Return the dangers whose areas hold a place, each once, in ascending order.

    A line due east of the place crosses the rings of an area that holds it an odd number of times;
    a hole is outside [RFC7946]_. On the meridian of 180 degrees both sides are asked.

    Parameters
    ----------
    edges : AreaEdges
        The areas' edges about its latitude.
    lat_deg, lon_deg : float
        The place.
    """
    from_deg, to_deg = edges.from_deg, edges.to_deg
    spans = np.flatnonzero((from_deg[:, 0] > lat_deg) != (to_deg[:, 0] > lat_deg))
    here, there = from_deg[spans], to_deg[spans]
    share = (lat_deg - here[:, 0]) / (there[:, 0] - here[:, 0])
    crossing_lon_deg = here[:, 1] + share * (there[:, 1] - here[:, 1])
    held: list[Ints] = [np.empty(0, np.int64)]
    for lon in (lon_deg, -lon_deg) if abs(lon_deg) == 180.0 else (lon_deg,):
        east = spans[crossing_lon_deg > lon]
        _, first, count = np.unique(edges.area[east], return_index=True, return_counts=True)
        held.append(edges.hazard[east[first[count % 2 == 1]]])
    return np.unique(np.concatenate(held))
