"""Pieces of the track, and what passes them."""

from collections.abc import Iterable
from dataclasses import dataclass, fields

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.first_loop import first_loop
from wheelover.core.types.clearance import Piece, Whereabouts
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.track import Arc, LegLine
from wheelover.core.units import NM_M

LEAST_SEARCH_M = 2.0 * NM_M
"""Dangers within this distance are listed even where no limit asks for more."""

ON_TRACK_M = 0.0005
"""A danger nearer than this lies on the track."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackPiece:
    """One piece of the planned track: a stretch of a leg, or an arc.

    ``asked`` holds what the leg asks of dangers, or both legs of a turn. ``opens`` and ``closes``
    say that the track begins or ends with this piece, so that a danger beyond that end lies astern
    or ahead. ``corner_side`` is the outer side of a corner without an arc at the far end of the
    leg, ``corner_before_side`` the same at its near end.
    """

    piece: Piece
    leg: LegLine | None = None
    from_m: float = 0.0
    to_m: float = 0.0
    arc: Arc | None = None
    asked: tuple[LegAsked, ...] = (LegAsked(),)
    opens: bool = False
    closes: bool = False
    corner_before_side: Whereabouts | None = None
    corner_side: Whereabouts | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """Nearest points of pieces of the track to dangers, in columns of shape (m,).

    ``piece`` numbers the pieces of the track and ``side`` the words of ``SIDES``. ``along_m`` is
    where on the piece the nearest point lies, counted in the direction of the track: on a leg from
    its first waypoint, on an arc the angle turned times the radius. ``danger_lat_deg`` and
    ``danger_lon_deg`` are the point of the danger nearest to it.
    """

    piece: Ints
    hazard: Ints
    distance_m: Floats
    along_m: Floats
    danger_lat_deg: Floats
    danger_lon_deg: Floats
    side: Ints

    def rows(self, which: Ints | slice) -> "Passing":
        """Return the rows of the given numbers."""
        return Passing(**{name: getattr(self, name)[which] for name in _COLUMNS})

    def of(self, hazard: Ints) -> "Passing":
        """Return the rows under the dangers that their parts belong to."""
        return self.with_columns(hazard=hazard[self.hazard])

    def with_columns(self, **others: Floats | Ints) -> "Passing":
        """Return the rows with others in place of some columns."""
        # What ``replace`` does, in a third of the time: it is asked for of few rows, often.
        columns = {name: getattr(self, name) for name in _COLUMNS}
        columns.update(others)
        return Passing(**columns)


_COLUMNS = tuple(one.name for one in fields(Passing))

NO_PASSING = Passing(
    piece=np.empty(0, dtype=np.int64),
    hazard=np.empty(0, dtype=np.int64),
    distance_m=np.empty(0),
    along_m=np.empty(0),
    danger_lat_deg=np.empty(0),
    danger_lon_deg=np.empty(0),
    side=np.empty(0, dtype=np.int64),
)
"""Nothing that any danger is near to."""


def joined(passings: list[Passing]) -> Passing:
    """Return the rows of several passings behind one another."""
    some = [one for one in passings if one.hazard.size]
    if len(some) == 1:
        return some[0]
    if not some:
        return NO_PASSING
    return Passing(
        **{name: np.concatenate([getattr(part, name) for part in some]) for name in _COLUMNS}
    )


def nearest_of_each(passing: Passing) -> Passing:
    """Return the nearest row of each piece and danger; where it is crossed, the first crossing.

    Rows come back in the order of pieces and dangers. What lies on the track has no distance from
    it: rounding leaves none.
    """
    key = passing.piece * (int(np.max(passing.hazard, initial=0)) + 1) + passing.hazard
    rows = passing.rows(first_of_each(key, passing.distance_m, passing.along_m))
    rows.distance_m[rows.distance_m < ON_TRACK_M] = 0.0
    return rows


def first_of_each(key: Ints, distance_m: Floats, along_m: Floats) -> Ints:
    """Return the rows with the least distance for each key, of crossings the first along."""
    first = np.empty(key.size, dtype=np.int64)
    order = np.argsort(key, kind="stable")
    count = first_loop(order, key, distance_m, along_m, ON_TRACK_M, first)
    return first[:count]


def pairs_found(found: Iterable[object]) -> tuple[Ints, Ints]:
    """Return the lists of the search tree as two columns: which list, and what is in it."""
    lists = [np.sort(np.asarray(one, dtype=np.int64)) for one in found]
    which = np.repeat(np.arange(len(lists), dtype=np.int64), [len(one) for one in lists])
    return which, np.concatenate([*lists, np.empty(0, dtype=np.int64)])
