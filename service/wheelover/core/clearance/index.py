"""Points and edges of dangers as earth-centred vectors, with trees that find what is near."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from wheelover.core.arrays import Floats
from wheelover.core.clearance.inside import Areas, areas_of
from wheelover.core.clearance.passing import LEAST_SEARCH_M, TrackPiece
from wheelover.core.clearance.stretches import STRETCH_M, EdgeStretches, edge_stretches
from wheelover.core.geo import edges as straight_edges
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.types.chart import Hazards, Points


@dataclass(frozen=True, slots=True, kw_only=True)
class PointIndex:
    """Points of dangers, how far around each the track is looked for, and their search tree."""

    points: Points
    points_m: Floats
    search_m: Floats
    tree: cKDTree


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeIndex:
    """Stretches of edges with their chords and the search tree of their middles.

    ``bow_m`` bounds how far a stretch leaves its chord, and ``half_m`` is the largest distance of
    any stretch from its middle.
    """

    stretches: EdgeStretches
    starts_m: Floats
    ends_m: Floats
    bow_m: Floats
    search_m: Floats
    tree: cKDTree
    half_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """The dangers ready to be looked for; points or edges are None where there are none."""

    hazards: Hazards
    points: PointIndex | None
    edges: EdgeIndex | None
    areas: Areas


def surroundings_of(hazards: Hazards, search_m: Floats) -> Surroundings:
    """Return the dangers ready to be looked for around pieces of the track.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    search_m : ndarray, shape (n,)
        How far around each danger the track is looked for, metres.

    Raises
    ------
    InvalidChart
        When the edges are longer in sum than can be measured.
    """
    return Surroundings(
        hazards=hazards,
        points=point_index(hazards.points, search_m) if hazards.points.count else None,
        edges=_edge_index(hazards, search_m) if hazards.paths.count else None,
        areas=areas_of(hazards.paths),
    )


def search_wide_m(
    pieces: tuple[TrackPiece, ...], hazards: Hazards, plan_limit_m: float | None
) -> Floats:
    """Return how far around each danger the track must be looked for, shape (n,).

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The track; the largest limit on any piece counts for dangers without one of their own.
    hazards : Hazards
        The dangers. The uncertainty of a position widens its search.
    plan_limit_m : float or None
        The plan's limit.
    """
    on_legs_m = [m for piece in pieces for m in piece.leg_limits_m if m is not None]
    general_m = max([*on_legs_m, plan_limit_m or 0.0])
    own_m = hazards.min_clearance_m
    wanted_m = np.where(np.isnan(own_m), general_m, own_m)
    return np.maximum(wanted_m + hazards.position_uncertainty_m, LEAST_SEARCH_M)


def point_index(points: Points, search_m: Floats) -> PointIndex:
    """Return points with their search tree; ``search_m`` holds one distance for each danger."""
    points_m = earth_centred_m(points.lat_deg, points.lon_deg)
    return PointIndex(
        points=points,
        points_m=points_m,
        search_m=search_m[points.hazard],
        tree=cKDTree(points_m),
    )


def _edge_index(hazards: Hazards, search_m: Floats) -> EdgeIndex:
    """Return the stretches of all edges with their search tree."""
    stretches = edge_stretches(hazards.paths)
    ends = [
        earth_centred_m(*straight_edges.positions_on(stretches.edges, np.full(stretches.count, u)))
        for u in (0.0, 0.5, 1.0)
    ]
    half_m = np.linalg.norm(ends[2] - ends[0], axis=1) / 2.0
    bow_m = bow_bound_m(ends[0], ends[1], ends[2])
    return EdgeIndex(
        stretches=stretches,
        starts_m=ends[0],
        ends_m=ends[2],
        bow_m=bow_m,
        search_m=search_m[stretches.hazard],
        tree=cKDTree(ends[1]),
        half_m=float(np.max(half_m + bow_m, initial=STRETCH_M / 2.0)),
    )


def bow_bound_m(starts_m: Floats, middles_m: Floats, ends_m: Floats) -> Floats:
    """Return a bound on how far short curves leave their chords, from their middles, shape (n,)."""
    return np.asarray(
        1.25 * np.linalg.norm(middles_m - (starts_m + ends_m) / 2.0, axis=1) + 1.0,
        dtype=np.float64,
    )
