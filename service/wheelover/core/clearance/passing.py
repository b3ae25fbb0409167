"""Pieces of the track, what passes them, and the search for dangers near a place."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from wheelover.core.arrays import Floats, Ints
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.types.chart import PointHazards
from wheelover.core.types.plan import Piece, Whereabouts
from wheelover.core.types.track import Arc, LegLine
from wheelover.core.units import NM_M

LEAST_SEARCH_M = 2.0 * NM_M
"""Dangers within this distance are listed even where no limit asks for more."""

ON_TRACK_M = 0.0005
"""A danger nearer than this lies on the track."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackPiece:
    """One piece of the planned track: a stretch of a leg, or an arc.

    ``leg_limits_m`` holds the clearance asked for by the leg, or by both legs of a turn, None
    where one asks for none. ``opens`` and ``closes`` say that the track begins or ends with this
    piece, so that a danger beyond that end lies astern or ahead. ``corner_side`` is the outer side
    of a corner without an arc at the far end of the leg, ``corner_before_side`` the same at its
    near end.
    """

    piece: Piece
    leg: LegLine | None = None
    from_m: float = 0.0
    to_m: float = 0.0
    arc: Arc | None = None
    leg_limits_m: tuple[float | None, ...] = (None,)
    opens: bool = False
    closes: bool = False
    corner_before_side: Whereabouts | None = None
    corner_side: Whereabouts | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """Nearest points of one piece of the track to m dangers, in columns of shape (m,)."""

    hazard: Ints
    distance_m: Floats
    lat_deg: Floats
    lon_deg: Floats
    side: tuple[Whereabouts, ...]


NO_PASSING = Passing(
    hazard=np.empty(0, dtype=np.int64),
    distance_m=np.empty(0),
    lat_deg=np.empty(0),
    lon_deg=np.empty(0),
    side=(),
)
"""A piece that no danger is near to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchIndex:
    """The dangers as earth-centred vectors, and a tree that finds those near a place."""

    points_m: Floats
    tree: cKDTree
    search_m: Floats


def search_index(
    pieces: tuple[TrackPiece, ...], hazards: PointHazards, plan_limit_m: float | None
) -> SearchIndex:
    """Return the search tree and how far around each danger the track must be looked for.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The track; the largest limit on any piece counts for dangers without one of their own.
    hazards : PointHazards
        The dangers. The uncertainty of a position widens its search.
    plan_limit_m : float or None
        The plan's limit.
    """
    on_legs_m = [m for piece in pieces for m in piece.leg_limits_m if m is not None]
    general_m = max([*on_legs_m, plan_limit_m or 0.0])
    own_m = hazards.min_clearance_m
    wanted_m = np.where(np.isnan(own_m), general_m, own_m)
    points_m, tree = tree_of(hazards)
    return SearchIndex(
        points_m=points_m,
        tree=tree,
        search_m=np.maximum(wanted_m + hazards.position_uncertainty_m, LEAST_SEARCH_M),
    )


def tree_of(hazards: PointHazards) -> tuple[Floats, cKDTree]:
    """Return the dangers as earth-centred vectors of shape (n, 3), and their search tree."""
    points_m = earth_centred_m(hazards.lat_deg, hazards.lon_deg)
    return points_m, cKDTree(points_m)


def pairs_found(found: Iterable[object]) -> tuple[Ints, Ints]:
    """Return the lists of the search tree as two columns: which list, and what is in it."""
    lists = [np.sort(np.asarray(one, dtype=np.int64)) for one in found]
    which = np.repeat(np.arange(len(lists), dtype=np.int64), [len(one) for one in lists])
    return which, np.concatenate([*lists, np.empty(0, dtype=np.int64)])
