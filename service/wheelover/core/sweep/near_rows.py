"""Rows of how near the hull comes to dangers, from what was found about runs."""

import itertools
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, tied_m
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.sweep.margins import Asked
from wheelover.core.sweep.runs import Runs
from wheelover.core.types.chart import Hazards
from wheelover.core.types.sweep import HullClearances


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Dangers near runs in rows (m,), with the piece nearest to each, and the distance.

    ``places_m`` holds the places on both in the plane of the run, shape (m, 2, 2).
    """

    run: Ints
    hazard: Ints
    piece: Ints
    distance_m: Floats
    places_m: Floats


def rows_of(
    found: Found, asked: Asked, hulls: Runs, hazards: Hazards, first: int, stop: int
) -> list[HullClearances]:
    """Return what was found about each run, nearest first.

    Parameters
    ----------
    found : Found
        The rows.
    asked : Asked
        Which limit counts in each.
    hulls : Runs
        The runs.
    hazards : Hazards
        The dangers.
    first, stop : int
        From which run up to which all has been looked at.
    """
    order = _in_order(found, hazards.ids)
    run, hazard, piece = found.run[order], found.hazard[order], found.piece[order]
    distance_m, limit_m, source = (
        found.distance_m[order], asked.limit_m[order], asked.limit_source[order],
    )  # fmt: skip
    clearance_m = distance_m - hazards.position_uncertainty_m[hazard]
    allowance_m = hulls.pieces.bulge_m[piece] + hulls.pieces.spare_m[piece]
    pose, at_s = piece - hulls.first[run], hulls.time_s[piece]
    places_m = found.places_m[order].transpose(1, 0, 2).reshape(-1, 2)
    both = np.concatenate([run, run])
    lat, lon = from_plane_deg((hulls.lat_deg[both], hulls.lon_deg[both]), places_m)
    lat, lon = lat.reshape(2, -1), lon.reshape(2, -1)
    bounds = np.searchsorted(run, np.arange(first, stop + 1)).tolist()
    return [
        HullClearances(
            ids=hazards.ids,
            hazard=hazard[start:end],
            distance_m=distance_m[start:end],
            clearance_m=clearance_m[start:end],
            allowance_m=allowance_m[start:end],
            pose=pose[start:end],
            at_s=at_s[start:end],
            lat_deg=lat[:, start:end],
            lon_deg=lon[:, start:end],
            limit_m=limit_m[start:end],
            limit_source=source[start:end],
        )
        for start, end in itertools.pairwise(bounds)
    ]


def _in_order(found: Found, ids: tuple[str, ...]) -> Ints:
    """Return rows by run and distance, and those as near by the id of their danger.

    The order in which dangers came in says nothing: of them in another the answer is the same.
    """
    near_m = tied_m(found.distance_m)
    order = np.lexsort((near_m, found.run))
    new = (np.diff(near_m[order]) != 0.0) | (np.diff(found.run[order]) != 0)
    bounds = np.concatenate([[0], np.flatnonzero(new) + 1, [order.size]])
    for group in np.flatnonzero(np.diff(bounds) > 1).tolist():
        start, stop = bounds[group : group + 2].tolist()
        order[start:stop] = sorted(order[start:stop], key=lambda one: ids[int(found.hazard[one])])
    return np.asarray(order, dtype=np.int64)
