"""Lines parallel to legs, to be drawn: index lines, limits, and lines inside a bend."""

from collections.abc import Sequence

import numpy as np

from wheelover.core.arrays import Floats, numbered
from wheelover.core.geo import geodesic
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.track import LegLine
from wheelover.core.units import NM_M

_STEP_M = 2.0 * NM_M


def parallels(
    stretches: Sequence[tuple[LegLine, float, float, float]],
) -> list[tuple[Floats, Floats]]:
    """Return lines beside stretches of legs as latitudes and longitudes of their vertices.

    Parameters
    ----------
    stretches : sequence
        Leg, from where and to where along it, and how far off, starboard positive, metres.
    """
    if not stretches:
        return []
    from_m, to_m, off_m = np.array([one[1:] for one in stretches], np.float64).T
    count = np.maximum(1.0, np.ceil(np.abs(to_m - from_m) / _STEP_M)).astype(np.int64) + 1
    row, place = numbered(count)
    along_m = from_m[row] + place * ((to_m - from_m) / (count - 1))[row]
    legs = in_columns([one[0] for one in stretches]).rows(row)
    lat, lon, course = points_along(legs, along_m)
    lat, lon, _ = geodesic.direct(lat, lon, course + 90.0, off_m[row])
    ends = np.cumsum(count)[:-1]
    return list(zip(np.split(lat, ends), np.split(lon, ends), strict=True))
