"""Clearance as the service measures it."""

import numpy as np

from tests.bench.hits import SEARCH_M, Hits, least_of_each
from wheelover.core.arrays import Floats
from wheelover.core.clearance.index import Surroundings, surroundings_of
from wheelover.core.clearance.of_points import near_track, track_lines
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.types.chart import Hazards, Points


def index_of(lat_deg: Floats, lon_deg: Floats) -> Surroundings:
    """Return point dangers ready to be looked for; made once and kept."""
    count = lat_deg.size
    unknown = np.full(count, np.nan)
    hazards = Hazards(
        ids=tuple(f"H{number}" for number in range(count)),
        names=(None,) * count,
        kinds=(None,) * count,
        shapes=("Point",) * count,
        depth_m=unknown,
        position_uncertainty_m=np.zeros(count),
        uncertainty_given=np.zeros(count, dtype=np.bool_),
        min_clearance_m=unknown,
        points=Points(hazard=np.arange(count, dtype=np.int64), lat_deg=lat_deg, lon_deg=lon_deg),
    )
    return surroundings_of(hazards, np.full(count, SEARCH_M))


def ours(pieces: tuple[TrackPiece, ...], index: Surroundings) -> Hits:
    """Return the least distance of each danger within the searched distance of the track.

    The track comes as it was laid: making lines in space of its legs and arcs counts as well.
    """
    assert index.points is not None
    near, _ = near_track(track_lines(pieces), index.points, np.zeros((len(pieces), 1)))
    hazard = index.hazards.points.hazard[near.point]
    return least_of_each(hazard, near.distance_m, index.hazards.count)
