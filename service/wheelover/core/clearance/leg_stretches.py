"""The legs of a track, cut into stretches short enough to follow with a cubic."""

from dataclasses import dataclass, fields

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered, side_by_side
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.clearance.stretches import STRETCH_M, leg_stretch_m, pole_m
from wheelover.core.geo.cubic import Cubics, cubics_between
from wheelover.core.geo.line_loops import bounds_loop
from wheelover.core.legs import LegColumns, points_along

_FAR_FROM_POLES_DEG = 65.0
"""So far from the poles a stretch of ``STRETCH_M`` is short enough (``leg_stretch_m``)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LegStretches:
    """Stretches of the legs among the pieces of a track, s of them, in sailing order.

    ``piece`` numbers the piece each belongs to, ``low_m`` and ``high_m`` are its bounds along the
    leg. Positions of both ends have shape (s, 2).
    """

    piece: Ints
    low_m: Floats
    high_m: Floats
    lat_deg: Floats
    lon_deg: Floats
    curves: Cubics

    def of(self, pieces: Ints) -> "LegStretches":
        """Return the stretches of some pieces, ascending."""
        rows = np.flatnonzero(np.isin(self.piece, pieces))
        columns = {
            one.name: getattr(self, one.name)[rows] for one in fields(self) if one.name != "curves"
        }
        return LegStretches(curves=self.curves.rows(rows), **columns)


def leg_stretches(pieces: tuple[TrackPiece, ...], legs: LegColumns, number: Ints) -> LegStretches:
    """Return the legs among the pieces of a track in short stretches; arcs have none.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The track.
    legs : LegColumns
        The legs among them, k of them.
    number : ndarray, shape (k,)
        The number of the piece that each is.

    Raises
    ------
    OutOfDomain
        For a piece of a line of constant course that runs beyond a pole.
    """
    from_m = np.array([pieces[one].from_m for one in number.tolist()])
    to_m = np.array([pieces[one].to_m for one in number.tolist()])
    count = np.maximum(1.0, np.ceil((to_m - from_m) / STRETCH_M)).astype(np.int64)
    row, bound_m = _bounds(from_m, to_m, count)
    lat, lon, course = points_along(legs.rows(row), bound_m)
    finer = _finer(lat, row, from_m, to_m, count)
    if finer is not None:
        row, bound_m, count = finer
        lat, lon, course = points_along(legs.rows(row), bound_m)
    first = np.flatnonzero(row[:-1] == row[1:])
    last = first + 1
    curves = cubics_between((lat, lon, course), first, bound_m[last] - bound_m[first])
    return LegStretches(
        piece=number[row[first]],
        low_m=bound_m[first],
        high_m=bound_m[last],
        lat_deg=side_by_side(lat[first], lat[last]),
        lon_deg=side_by_side(lon[first], lon[last]),
        curves=curves,
    )


def bow_bound_m(starts_m: Floats, middles_m: Floats, ends_m: Floats) -> Floats:
    """Return a bound on how far short curves leave their chords, from their middles, shape (n,)."""
    return np.asarray(
        1.25 * np.linalg.norm(middles_m - (starts_m + ends_m) / 2.0, axis=1) + 1.0,
        dtype=np.float64,
    )


def _bounds(from_m: Floats, to_m: Floats, count: Ints) -> tuple[Ints, Floats]:
    """Return the bounds of equal stretches of pieces, and the number of the piece of each.

    Every piece has one bound more than it has stretches; the last is its end to the last digit.
    """
    total = int(np.sum(count)) + count.size
    row, bound_m = np.empty(total, dtype=np.int64), np.empty(total)
    bounds_loop(from_m, to_m, count, row, bound_m)
    return row, bound_m


def _finer(
    lat_deg: Floats, row: Ints, from_m: Floats, to_m: Floats, count: Ints
) -> tuple[Ints, Floats, Ints] | None:
    """Return the bounds cut shorter where a leg nears a pole: row, bound and count of each piece.

    None where no stretch has to be shorter.
    """
    if bool(np.all(np.abs(lat_deg) <= _FAR_FROM_POLES_DEG)):
        return None
    first = np.flatnonzero(row[:-1] == row[1:])
    nearest_m = pole_m(np.maximum(np.abs(lat_deg[first]), np.abs(lat_deg[first + 1])))
    length_m = ((to_m - from_m) / count)[row[first]]
    cuts = np.maximum(np.ceil(length_m / leg_stretch_m(nearest_m)), 1.0).astype(np.int64)
    if bool(np.all(cuts == 1)):
        return None
    which, within = numbered(cuts)
    coarse = numbered(count)[1]
    inner_m = from_m[row[first]][which] + (coarse[which] + within / cuts[which]) * length_m[which]
    of_piece = row[first][which]
    fine_count = np.bincount(of_piece, minlength=count.size)
    # The end of each piece goes behind its last stretch.
    behind = np.cumsum(fine_count)
    return (
        np.insert(of_piece, behind, np.arange(count.size)),
        np.insert(inner_m, behind, to_m),
        fine_count,
    )
