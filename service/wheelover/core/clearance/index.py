"""Dangers ready to be looked for: what depends on them alone is made once and stays."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from weakref import WeakKeyDictionary

import numpy as np

from wheelover.core.arrays import Floats, Ints, Pool, Table
from wheelover.core.clearance.edge_grid import EdgeGrids, edge_grids
from wheelover.core.clearance.inside import Areas, areas_of
from wheelover.core.clearance.leg_stretches import bow_bound_m
from wheelover.core.clearance.passing import LEAST_SEARCH_M
from wheelover.core.clearance.stretches import EdgeStretches, edge_stretches
from wheelover.core.geo import edges as straight_edges
from wheelover.core.geo.angles import normal_longitude_deg
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.near_points import Sought
from wheelover.core.geo.point_grid import PointGrid, point_grid
from wheelover.core.margins import Margins
from wheelover.core.types.chart import Hazards, Paths, Points


class Marks:
    """Memory for the least bound of each edge, or each danger, that need not be cleared.

    What ``best_m`` holds is meant only where ``mark`` has the number of the ``epoch``.
    """

    def __init__(self, count: int) -> None:
        self.best_m: Floats = np.empty(count)
        self.mark: Ints = np.zeros(count, dtype=np.int64)
        self.epoch = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeTree:
    """Stretches of edges with their chords and the grids of their middles.

    ``edge_table`` has where each begins and how far it goes north and east, degrees. ``bow_m``
    bounds how far a stretch leaves its chord. ``owner`` numbers the dangers that have edges,
    ``each`` the stretches themselves.
    """

    stretches: EdgeStretches
    edge_table: Table
    starts_m: Floats
    middles_m: Floats
    ends_m: Floats
    bow_m: Floats
    grids: EdgeGrids
    owner: Ints
    each: Ints
    marks: Pool[Marks]


@dataclass(frozen=True, slots=True, kw_only=True)
class Located:
    """Where the dangers are; points or edges are None where there are none."""

    points: PointGrid | None
    edges: EdgeTree | None
    areas: Areas


@dataclass(frozen=True, slots=True, kw_only=True)
class PointIndex:
    """Points of dangers, how far around each danger the track is looked for, and their grid.

    ``sought`` holds what each danger asks for, or one for all where all ask for the same.
    """

    points: Points
    sought: Sought


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeIndex:
    """Edges of dangers, and how far around each stretch of them the track is looked for.

    ``widest_m`` is the largest of it.
    """

    lines: EdgeTree
    search_m: Floats
    widest_m: float

    def keys(self, *, each: bool) -> Ints:
        """Return the key of each stretch: the number of its danger, or its own."""
        return self.lines.each if each else self.lines.owner


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """The dangers and how far around each to look; None where there are no points or edges.

    ``own_m`` is the limit of each danger itself, nan for none, and ``columns`` says which of the
    limits of a piece each is asked to keep.
    """

    hazards: Hazards
    own_m: Floats
    columns: Ints
    points: PointIndex | None
    edges: EdgeIndex | None
    areas: Areas


Asked = tuple[object, ...]
"""What is asked of dangers, told apart from all else that may be: by it what was made is found."""

_Around = tuple[Floats, Ints, PointIndex | None, EdgeIndex | None]

_MOST_KEPT = 4
_AROUND: WeakKeyDictionary[Hazards, dict[Asked, _Around]] = WeakKeyDictionary()
_ENDS: WeakKeyDictionary[Hazards, dict[Asked, PointIndex | None]] = WeakKeyDictionary()
_LOCATED: WeakKeyDictionary[Hazards, Located] = WeakKeyDictionary()
_VERTICES: WeakKeyDictionary[Hazards, tuple[Points, PointGrid]] = WeakKeyDictionary()


def located(hazards: Hazards) -> Located:
    """Return where the dangers are, made at the first call and kept as long as they are.

    Raises
    ------
    InvalidChart
        When the edges are longer in sum than can be measured.
    """
    known = _LOCATED.get(hazards)
    if known is None:
        points = hazards.points
        known = Located(
            points=point_grid(points.lat_deg, points.lon_deg, points.hazard)
            if points.count
            else None,
            edges=_edge_tree(hazards.paths) if hazards.paths.count else None,
            areas=areas_of(hazards.paths),
        )
        _LOCATED[hazards] = known
    return known


def surroundings_of(
    hazards: Hazards,
    search_m: Floats,
    own_m: Floats | None = None,
    columns: Ints | None = None,
) -> Surroundings:
    """Return the dangers ready to be looked for around pieces of the track.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    search_m : ndarray, shape (n,)
        How far around each danger the track is looked for, metres.
    own_m : ndarray, shape (n,), or None
        The limit of each danger itself, nan for none; without it those that they have.
    columns : ndarray, shape (n,), or None
        Which of the limits of a piece each danger is asked to keep; the first, without it.

    Raises
    ------
    InvalidChart
        When the edges are longer in sum than can be measured.
    """
    where = located(hazards)
    points, lines = hazards.points, where.edges
    limits_m = hazards.min_clearance_m if own_m is None else own_m
    which = np.zeros(hazards.count, dtype=np.int64) if columns is None else columns
    return Surroundings(
        hazards=hazards,
        own_m=limits_m,
        columns=which,
        points=None
        if where.points is None
        else _looked_for(
            points,
            where.points,
            (
                hazards.position_uncertainty_m,
                limits_m,
                search_m,
                np.zeros(1) if columns is None else columns.astype(np.float64),
            ),
        ),
        edges=None if lines is None else _edges_looked_for(lines, search_m),
        areas=where.areas,
    )


def _edges_looked_for(lines: EdgeTree, search_m: Floats) -> EdgeIndex:
    """Return edges with how far around each to look."""
    of_edges_m = search_m[lines.stretches.hazard]
    return EdgeIndex(lines=lines, search_m=of_edges_m, widest_m=float(np.max(of_edges_m)))


def surroundings_for(
    hazards: Hazards,
    asked: Asked,
    search_m: Callable[[], Floats],
    own_m: Callable[[], Floats],
    columns: Callable[[], Ints],
) -> Surroundings:
    """Return the same, kept for what was asked last: columns of a million dangers take a while.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    asked : tuple
        All that the columns hang on besides the dangers.
    search_m, own_m, columns : callable
        Give what ``surroundings_of`` takes.
    """
    known = _AROUND.setdefault(hazards, {})
    found = known.get(asked)
    if found is None:
        made = surroundings_of(hazards, search_m(), own_m(), columns())
        found = known[asked] = (made.own_m, made.columns, made.points, made.edges)
        while len(known) > _MOST_KEPT:
            known.pop(next(iter(known)), None)
    own, column, points, edges = found
    # What is kept must not hold the dangers themselves: it would keep them for ever.
    return Surroundings(
        hazards=hazards,
        own_m=own,
        columns=column,
        points=points,
        edges=edges,
        areas=located(hazards).areas,
    )


def vertices_for(
    hazards: Hazards, asked: Asked, search_m: Callable[[], Floats]
) -> PointIndex | None:
    """Return the same as ``vertex_index``, kept for what was asked last.

    Parameters
    ----------
    hazards, asked, search_m
        As in ``surroundings_for``.
    """
    known = _ENDS.setdefault(hazards, {})
    found = known.get(asked)
    if found is None:
        found = known[asked] = vertex_index(hazards, search_m())
        while len(known) > _MOST_KEPT:
            known.pop(next(iter(known)), None)
    return found


def surroundings_wide(hazards: Hazards, margins: Margins, *, own: bool = True) -> Surroundings:
    """Return the dangers ready to be looked for as far as a track asks.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    margins : Margins
        What the pieces of the track ask.
    own : bool
        Whether limits that dangers have themselves count.
    """

    def own_m() -> Floats:
        return hazards.min_clearance_m if own else np.full(hazards.count, np.nan)

    most_m = most_asked_m(margins)
    return surroundings_for(
        hazards,
        ("track", own, most_m.tobytes()),
        lambda: search_wide_m(hazards, margins, own_m()),
        own_m,
        lambda: margins.columns_of(hazards),
    )


def most_asked_m(margins: Margins) -> Floats:
    """Return the largest limit that any piece asks of each class, zero for none."""
    asked_m = np.where(np.isnan(margins.limit_m), 0.0, margins.limit_m)
    return np.asarray(np.max(asked_m, axis=0, initial=0.0))


def search_wide_m(hazards: Hazards, margins: Margins, own_m: Floats) -> Floats:
    """Return how far around each danger the track must be looked for, shape (n,).

    Parameters
    ----------
    hazards : Hazards
        The dangers. The uncertainty of a position widens its search.
    margins : Margins
        What the track asks: the largest limit on any piece counts for dangers without one of their
        own.
    own_m : ndarray, shape (n,)
        Those, nan for none.
    """
    general_m = most_asked_m(margins)[margins.columns_of(hazards)]
    wanted_m = np.where(np.isnan(own_m), general_m, own_m)
    return np.maximum(wanted_m + hazards.position_uncertainty_m, LEAST_SEARCH_M)


def vertex_index(hazards: Hazards, search_m: Floats) -> PointIndex | None:
    """Return the ends of all stretches of edges as points of their dangers; None without edges.

    Their grid is made at the first call and kept as long as the dangers are.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    search_m : ndarray, shape (n,)
        How far around each danger to look, metres.
    """
    lines = located(hazards).edges
    if lines is None:
        return None
    known = _VERTICES.get(hazards)
    if known is None:
        points = _vertices(lines.stretches)
        known = points, point_grid(points.lat_deg, points.lon_deg, points.hazard)
        _VERTICES[hazards] = known
    points, grid = known
    return _looked_for(points, grid, (np.zeros(1), np.full(1, np.nan), search_m, np.zeros(1)))


_SAME_DEG = 1e-12


def _vertices(stretches: EdgeStretches) -> Points:
    """Return where stretches begin, and where they end but where another begins there."""
    (lat, lon), (end_lat, end_lon) = (
        straight_edges.positions_on(stretches.edges, np.full(stretches.count, share))
        for share in (0.0, 1.0)
    )
    goes_on = np.zeros(stretches.count, dtype=np.bool_)
    goes_on[:-1] = (
        (stretches.hazard[1:] == stretches.hazard[:-1])
        & (np.abs(lat[1:] - end_lat[:-1]) <= _SAME_DEG)
        & (np.abs(lon[1:] - end_lon[:-1]) <= _SAME_DEG)
    )
    last = np.flatnonzero(~goes_on)
    return Points(
        hazard=np.concatenate([stretches.hazard, stretches.hazard[last]]),
        lat_deg=np.concatenate([lat, end_lat[last]]),
        lon_deg=np.concatenate([lon, end_lon[last]]),
    )


def _looked_for(points: Points, grid: PointGrid, asked_m: tuple[Floats, ...]) -> PointIndex:
    """Return points of a grid with what is asked for around their dangers, as ``Sought`` says."""
    widest_m = float(np.max(asked_m[2]))
    # What all dangers have alike is said once: those of a million do not fit a processor's cache.
    if all(_alike(one) for one in asked_m):
        asked_m = tuple(one[:1] for one in asked_m)
    columns = np.column_stack(np.broadcast_arrays(*asked_m))
    return PointIndex(
        points=points,
        sought=Sought(
            grid=grid,
            asked_m=np.ascontiguousarray(columns),
            widest_m=widest_m,
            column_count=int(np.max(asked_m[3])) + 1,
        ),
    )


def _alike(values: Floats) -> bool:
    """Return whether all values are the same, or all unknown."""
    return bool(np.all(values == values[0]) or np.all(np.isnan(values)))


def _edge_tree(paths: Paths) -> EdgeTree:
    """Return the stretches of all edges with their search tree."""
    stretches = edge_stretches(paths)
    ends = [
        earth_centred_m(*straight_edges.positions_on(stretches.edges, np.full(stretches.count, u)))
        for u in (0.0, 0.5, 1.0)
    ]
    half_m = np.linalg.norm(ends[2] - ends[0], axis=1) / 2.0
    bow_m = bow_bound_m(ends[0], ends[1], ends[2])
    lines = stretches.edges
    lat, lon = straight_edges.positions_on(lines, np.full(stretches.count, 0.5))
    return EdgeTree(
        stretches=stretches,
        edge_table=np.stack([lines.lat_deg, lines.lon_deg, lines.north_deg, lines.east_deg], 1),
        starts_m=np.ascontiguousarray(ends[0]),
        middles_m=np.ascontiguousarray(ends[1]),
        ends_m=np.ascontiguousarray(ends[2]),
        bow_m=np.ascontiguousarray(bow_m),
        grids=edge_grids(lat, normal_longitude_deg(lon), ends[1], half_m + bow_m),
        owner=np.unique(stretches.hazard, return_inverse=True)[1],
        each=np.arange(stretches.count),
        marks=Pool(partial(Marks, stretches.count)),
    )
