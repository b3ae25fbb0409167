"""The edges of the coastline near a track, measured by ``core/clearance``."""

from dataclasses import replace
from typing import Any

import numpy as np

from wheelover.core.arrays import Ints
from wheelover.core.clearance.index import surroundings_of
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.of_track import passing_edges
from wheelover.core.clearance.passing import NO_PASSING, ON_TRACK_M, Passing
from wheelover.core.coast.chunks import ends_of
from wheelover.core.coast.near import Sought, edges_near
from wheelover.core.coast.segments import segments_of
from wheelover.core.types.chart import Hazards, Paths
from wheelover.core.types.coast import Coast
from wheelover.core.types.route import Position


def coast_hazards(coast: Coast, edge: Ints) -> Hazards:
    """Return edges of the coastline as dangers of class coast, one for each edge.

    Parameters
    ----------
    coast : Coast
        The shores.
    edge : ndarray, shape (k,)
        The numbers of the first vertices of the edges.
    """
    one, other = ends_of(coast, edge)
    number = np.arange(edge.size, dtype=np.int64)
    unknown = np.full(edge.size, np.nan)
    return Hazards(
        ids=tuple(f"coast/{vertex}" for vertex in edge.tolist()),
        names=(None,) * edge.size,
        kinds=("coast",) * edge.size,
        shapes=("LineString",) * edge.size,
        depth_m=unknown,
        position_uncertainty_m=np.zeros(edge.size),
        uncertainty_given=np.zeros(edge.size, dtype=np.bool_),
        min_clearance_m=unknown,
        paths=Paths(
            hazard=number,
            area=np.full(edge.size, -1, dtype=np.int64),
            starts=np.arange(edge.size + 1, dtype=np.int64) * 2,
            lat_deg=np.stack([one[:, 1], other[:, 1]], axis=1).ravel(),
            lon_deg=np.stack([one[:, 0], other[:, 0]], axis=1).ravel(),
        ),
    )


def passing_coast(
    track: TrackLines, coast: Coast, sought: Sought, cover: Any | None
) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points of pieces to the edges of the coastline that may matter.

    Parameters
    ----------
    track : TrackLines
        The pieces.
    coast : Coast
        The shores.
    sought : Sought
        What is wanted around each piece.
    cover : shapely geometry or None
        What official charts cover: there no shore counts.

    Returns
    -------
    passing : Passing
        ``hazard`` numbers edges, each once for each piece, in the order of pieces and along them.
    unmeasured : frozenset of int
        Numbers of the pieces whose nearest points could not be found, beside a pole.
    """
    edge, search_m = edges_near(coast, segments_of(track), sought, cover)
    if edge.size == 0:
        return NO_PASSING, frozenset()
    index = surroundings_of(coast_hazards(coast, edge), search_m).edges
    if index is None:
        raise AssertionError("dangers that are edges have an index of edges")
    passing, lost = passing_edges(track, index)
    within = passing.distance_m <= sought.reach_m[passing.piece]
    passing = passing.rows(np.flatnonzero(within))
    # Where shore and track cross, rounding leaves no distance.
    met = passing.distance_m < ON_TRACK_M
    passing = replace(passing, distance_m=np.where(met, 0.0, passing.distance_m))
    return passing.rows(np.lexsort((passing.along_m, passing.piece))), lost


def first_of_pieces(passing: Passing, rows: Ints) -> Ints:
    """Return of some rows the nearest of each piece, of equally near ones the first along it.

    Parameters
    ----------
    passing : Passing
        Nearest points of pieces.
    rows : ndarray
        Numbers of the rows that are looked at.
    """
    order = rows[np.lexsort((passing.along_m[rows], passing.distance_m[rows], passing.piece[rows]))]
    piece = passing.piece[order]
    return np.asarray(order[np.append(True, piece[1:] != piece[:-1])[: order.size]])


def on_coast(passing: Passing, row: int) -> Position:
    """Return the place of the coastline that is nearest.

    Parameters
    ----------
    passing : Passing
        Nearest points of pieces.
    row : int
        The number of one.
    """
    return Position(
        lat_deg=float(passing.danger_lat_deg[row]), lon_deg=float(passing.danger_lon_deg[row])
    )
