"""Which marks lie near which leg: a rough look that leaves few to be measured on the ellipsoid."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.arrays import Floats, Ints, numbered
from wheelover.core.clearance.passing import pairs_found
from wheelover.core.geo.cubic import direction
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import NM_M

_STEP_M = 2.0 * NM_M


@dataclass(frozen=True, slots=True, kw_only=True)
class NearMarks:
    """Pairs of a leg and a mark near it, in columns of shape (p,), leg by leg.

    ``leg`` numbers the legs and ``mark`` the marks. ``along_m`` is about where the mark is abeam,
    from the leg's first waypoint, and ``across_m`` about how far off, starboard positive: good to
    some metres within ten miles.
    """

    leg: Ints
    mark: Ints
    along_m: Floats
    across_m: Floats

    def rows(self, which: Ints) -> "NearMarks":
        """Return the pairs of the given numbers."""
        return NearMarks(
            leg=self.leg[which],
            mark=self.mark[which],
            along_m=self.along_m[which],
            across_m=self.across_m[which],
        )

    def of_leg(self, leg: int) -> "NearMarks":
        """Return the pairs of one leg."""
        return self.rows(np.arange(*np.searchsorted(self.leg, [leg, leg + 1])))


_NO_INTS, _NO_FLOATS = np.empty(0, np.int64), np.empty(0)
NO_PAIRS = NearMarks(leg=_NO_INTS, mark=_NO_INTS, along_m=_NO_FLOATS, across_m=_NO_FLOATS)


def near_marks(legs: Sequence[PlannedLeg], marks: MarkSet, reach_m: float) -> NearMarks:
    """Return the marks that may lie within a distance of the planned stretch of each leg.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        The legs; those without a track have no marks near them. ``leg`` counts in this sequence.
    marks : MarkSet
        The marks.
    reach_m : float
        How far off a mark may be.

    Notes
    -----
    A look at places every two miles along the legs, in space; none within reach is left out.
    """
    laid = [number for number, leg in enumerate(legs) if leg.path is not None and leg.room]
    if not laid or not marks.marks:
        return NO_PAIRS
    lines = in_columns([legs[one].path for one in laid])  # type: ignore[misc]
    from_m = np.array([legs[one].track_from_m for one in laid])
    to_m = np.array([legs[one].track_to_m for one in laid])
    count = np.maximum(1.0, np.ceil((to_m - from_m) / _STEP_M)).astype(np.int64) + 1
    row, place = numbered(count)
    along_m = from_m[row] + place * ((to_m - from_m) / (count - 1))[row]
    lat, lon, course = points_along(lines.rows(row), along_m)
    wide_m = float(np.hypot(reach_m, _STEP_M / 2.0)) + 50.0
    found = marks.near(lat, lon, wide_m)
    place_of, mark = pairs_found(found)
    if mark.size == 0:
        return NO_PAIRS
    return _nearest_of_each(
        np.array(laid, dtype=np.int64)[row[place_of]],
        mark,
        along_m[place_of],
        marks.places_m[mark] - earth_centred_m(lat, lon)[place_of],
        (lat[place_of], lon[place_of], course[place_of]),
    )


def _nearest_of_each(
    leg: Ints, mark: Ints, along_m: Floats, away_m: Floats, seen: tuple[Floats, Floats, Floats]
) -> NearMarks:
    """Return of each leg and mark the look from the place nearest to it."""
    order = np.lexsort((np.einsum("ij,ij->i", away_m, away_m), mark, leg))
    new = np.append(True, (np.diff(leg[order]) != 0) | (np.diff(mark[order]) != 0))
    rows = order[new[: order.size]]
    lat, lon, course = (one[rows] for one in seen)
    away_m = away_m[rows]
    return NearMarks(
        leg=leg[rows],
        mark=mark[rows],
        along_m=along_m[rows] + np.einsum("ij,ij->i", away_m, direction(lat, lon, course)),
        across_m=np.einsum("ij,ij->i", away_m, direction(lat, lon, course + 90.0)),
    )
