"""Pieces of the track, and what passes them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.arrays import Floats, Ints
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
    """Nearest points of one piece of the track to m dangers, in columns of shape (m,).

    ``along_m`` is where on the piece the nearest point lies, counted in the direction of the track;
    ``lat_deg`` and ``lon_deg`` are its position, ``danger_lat_deg`` and ``danger_lon_deg`` that of
    the point of the danger nearest to it.
    """

    hazard: Ints
    distance_m: Floats
    along_m: Floats
    lat_deg: Floats
    lon_deg: Floats
    danger_lat_deg: Floats
    danger_lon_deg: Floats
    side: tuple[Whereabouts, ...]

    def rows(self, which: Ints) -> "Passing":
        """Return the rows of the given numbers."""
        return Passing(
            hazard=self.hazard[which],
            distance_m=self.distance_m[which],
            along_m=self.along_m[which],
            lat_deg=self.lat_deg[which],
            lon_deg=self.lon_deg[which],
            danger_lat_deg=self.danger_lat_deg[which],
            danger_lon_deg=self.danger_lon_deg[which],
            side=tuple(self.side[row] for row in which),
        )

    def of(self, hazard: Ints) -> "Passing":
        """Return the rows under the dangers that their parts belong to."""
        return replace(self, hazard=hazard[self.hazard])


NO_PASSING = Passing(
    hazard=np.empty(0, dtype=np.int64),
    distance_m=np.empty(0),
    along_m=np.empty(0),
    lat_deg=np.empty(0),
    lon_deg=np.empty(0),
    danger_lat_deg=np.empty(0),
    danger_lon_deg=np.empty(0),
    side=(),
)
"""A piece that no danger is near to."""


def joined(passings: list[Passing]) -> Passing:
    """Return the rows of several passings of one piece behind one another."""
    some = [one for one in passings if one.hazard.size]
    if len(some) == 1:
        return some[0]
    if not some:
        return NO_PASSING
    return Passing(
        hazard=np.concatenate([one.hazard for one in some]),
        distance_m=np.concatenate([one.distance_m for one in some]),
        along_m=np.concatenate([one.along_m for one in some]),
        lat_deg=np.concatenate([one.lat_deg for one in some]),
        lon_deg=np.concatenate([one.lon_deg for one in some]),
        danger_lat_deg=np.concatenate([one.danger_lat_deg for one in some]),
        danger_lon_deg=np.concatenate([one.danger_lon_deg for one in some]),
        side=tuple(side for one in some for side in one.side),
    )


def nearest_of_each(passing: Passing) -> Passing:
    """Return the nearest row of each danger; where it is crossed, the crossing sailed first.

    What lies on the track has no distance from it: rounding leaves none.
    """
    rows = passing.rows(first_of_each(passing.hazard, passing.distance_m, passing.along_m))
    return replace(rows, distance_m=np.where(rows.distance_m < ON_TRACK_M, 0.0, rows.distance_m))


def first_of_each(key: Ints, distance_m: Floats, along_m: Floats) -> Ints:
    """Return the rows with the least distance for each key, of crossings the first along."""
    order = np.lexsort((along_m, np.where(distance_m < ON_TRACK_M, 0.0, distance_m), key))
    _, first = np.unique(key[order], return_index=True)
    return np.asarray(order[first], dtype=np.int64)


def pairs_found(found: Iterable[object]) -> tuple[Ints, Ints]:
    """Return the lists of the search tree as two columns: which list, and what is in it."""
    lists = [np.sort(np.asarray(one, dtype=np.int64)) for one in found]
    which = np.repeat(np.arange(len(lists), dtype=np.int64), [len(one) for one in lists])
    return which, np.concatenate([*lists, np.empty(0, dtype=np.int64)])
