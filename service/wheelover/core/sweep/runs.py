"""Runs whose hulls are looked at together: their pieces behind one another, and where each is."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.poses import Pieces, pieces_of
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A run: midships over the ground from where it starts, where that is, what its legs ask.

    ``asked`` is what the leg asks, or both legs of a turn.
    """

    motion: Motion
    start: Position
    asked: tuple[LegAsked, ...] = (LegAsked(),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """Runs in columns, n of them, with p pieces of the water that the hull covers.

    ``first`` holds the number of the first piece of each run, and p. ``time_s`` is when each piece
    begins. ``lat_deg`` and ``lon_deg`` are where each run starts, the middle of its plane;
    ``first_m`` is its first place there, shape (n, 2), and ``first_lat_deg`` and ``first_lon_deg``
    the same on the chart. ``swept_m`` is how far from the start the hull comes, and ``low_m`` and
    ``high_m`` are the least and largest east and north that it may reach, shape (n, 2).
    """

    pieces: Pieces
    first: Ints
    time_s: Floats
    lat_deg: Floats
    lon_deg: Floats
    first_m: Floats
    first_lat_deg: Floats
    first_lon_deg: Floats
    swept_m: Floats
    low_m: Floats
    high_m: Floats


def in_columns(runs: Sequence[Run], loa_m: float, beam_m: float) -> Runs:
    """Return runs in columns.

    Parameters
    ----------
    runs : sequence of Run
        The runs, at least one.
    loa_m, beam_m : float
        The hull, of which the box around it counts.

    Raises
    ------
    InvalidShip
        When a dimension is not above zero.
    OutOfDomain
        For a motion that no hull can be moved along.
    """
    each = pieces_of([one.motion for one in runs], hull_box_m(loa_m, beam_m))
    pieces = together(each)
    count = [one.count for one in each]
    first = np.concatenate([[0], np.cumsum(count)])
    starts = first[:-1]
    far_m = np.hypot(*pieces.middle_m.T) + pieces.radius_m + pieces.bulge_m
    around_m = (pieces.radius_m + pieces.bulge_m)[:, None]
    lat_deg = np.array([one.start.lat_deg for one in runs], np.float64)
    lon_deg = np.array([one.start.lon_deg for one in runs], np.float64)
    first_m = np.array([(one.motion.east_m[0], one.motion.north_m[0]) for one in runs], np.float64)
    first_lat_deg, first_lon_deg = from_plane_deg((lat_deg, lon_deg), first_m)
    return Runs(
        pieces=pieces,
        first=first,
        time_s=np.concatenate(
            [one.motion.time_s[:steps] for one, steps in zip(runs, count, strict=True)]
        ),
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        first_m=first_m,
        first_lat_deg=first_lat_deg,
        first_lon_deg=first_lon_deg,
        swept_m=np.maximum.reduceat(far_m, starts),
        low_m=np.minimum.reduceat(pieces.middle_m - around_m, starts),
        high_m=np.maximum.reduceat(pieces.middle_m + around_m, starts),
    )


def together(each: Sequence[Pieces]) -> Pieces:
    """Return the pieces of several runs behind one another."""
    if len(each) == 1:
        return each[0]
    return Pieces(
        vertex_m=np.concatenate([one.vertex_m for one in each]),
        middle_m=np.concatenate([one.middle_m for one in each]),
        radius_m=np.concatenate([one.radius_m for one in each]),
        bulge_m=np.concatenate([one.bulge_m for one in each]),
        spare_m=np.concatenate([one.spare_m for one in each]),
    )
