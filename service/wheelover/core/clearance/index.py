"""Dangers ready to be looked for: what depends on them alone is made once and stays."""

from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
import scipy

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.inside import Areas, areas_of
from wheelover.core.clearance.leg_stretches import bow_bound_m
from wheelover.core.clearance.passing import LEAST_SEARCH_M
from wheelover.core.clearance.stretches import EdgeStretches, edge_stretches
from wheelover.core.geo import edges as straight_edges
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.near_points import Sought
from wheelover.core.geo.point_grid import PointGrid, point_grid
from wheelover.core.margins import Margins
from wheelover.core.types.chart import Hazards, Paths, Points


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeTree:
    """Stretches of edges with their chords and the search tree of their middles.

    ``bow_m`` bounds how far a stretch leaves its chord, and ``half_m`` is the largest distance of
    any stretch from its middle.
    """

    stretches: EdgeStretches
    starts_m: Floats
    middles_m: Floats
    ends_m: Floats
    bow_m: Floats
    tree: "scipy.spatial.cKDTree"
    half_m: float


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
    """Edges of dangers, and how far around each stretch of them the track is looked for."""

    lines: EdgeTree
    search_m: Floats


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
        edges=None
        if lines is None
        else EdgeIndex(lines=lines, search_m=search_m[lines.stretches.hazard]),
        areas=where.areas,
    )


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
    asked_m = np.where(np.isnan(margins.limit_m), 0.0, margins.limit_m)
    general_m = np.max(asked_m, axis=0, initial=0.0)[margins.columns_of(hazards)]
    wanted_m = np.where(np.isnan(own_m), general_m, own_m)
    return np.maximum(wanted_m + hazards.position_uncertainty_m, LEAST_SEARCH_M)


def vertex_index(hazards: Hazards, search_m: Floats) -> PointIndex | None:
    """Return both ends of every stretch of an edge as points of its danger; None without edges.

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
        stretches = lines.stretches
        ends = [
            straight_edges.positions_on(stretches.edges, np.full(stretches.count, share))
            for share in (0.0, 1.0)
        ]
        points = Points(
            hazard=np.concatenate([stretches.hazard, stretches.hazard]),
            lat_deg=np.concatenate([lat for lat, _ in ends]),
            lon_deg=np.concatenate([lon for _, lon in ends]),
        )
        known = points, point_grid(points.lat_deg, points.lon_deg, points.hazard)
        _VERTICES[hazards] = known
    points, grid = known
    return _looked_for(points, grid, (np.zeros(1), np.full(1, np.nan), search_m, np.zeros(1)))


def _looked_for(points: Points, grid: PointGrid, asked_m: tuple[Floats, ...]) -> PointIndex:
    """Return points of a grid with what is asked for around their dangers, as ``Sought`` says."""
    widest_m = float(np.max(asked_m[2]))
    # What all dangers have alike is said once: those of a million do not fit a processor's cache.
    if all(_alike(one) for one in asked_m):
        asked_m = tuple(one[:1] for one in asked_m)
    columns = np.column_stack(np.broadcast_arrays(*asked_m))
    return PointIndex(
        points=points,
        sought=Sought(grid=grid, asked_m=np.ascontiguousarray(columns), widest_m=widest_m),
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
    return EdgeTree(
        stretches=stretches,
        starts_m=np.ascontiguousarray(ends[0]),
        middles_m=np.ascontiguousarray(ends[1]),
        ends_m=np.ascontiguousarray(ends[2]),
        bow_m=np.ascontiguousarray(bow_m),
        tree=scipy.spatial.cKDTree(ends[1]),
        half_m=float(np.max(half_m + bow_m, initial=0.0)),
    )
