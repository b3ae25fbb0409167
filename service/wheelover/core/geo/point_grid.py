"""Points in bands of latitude, sorted by longitude within each: what is near is found by looking.

The grid depends on the points alone and stays in memory between plans.
"""

from dataclasses import dataclass
from functools import partial

import numpy as np

from wheelover.core.arrays import Floats, Ints, Pool
from wheelover.core.geo.ellipsoid import earth_centred_m

BANDS_PER_DEG = 60
"""Bands are a minute wide: a half of what is looked for around a track on each side."""

CELLS_PER_DEG = 1.0 / 3.0
CELLS_PER_BAND = 120

_BAND_COUNT = 180 * BANDS_PER_DEG


_LAP_M = 32_768.0
_LAPS = 1 << 20


class Scratch:
    """Memory for one question at a time, that need not be cleared for the next.

    ``best_m`` takes for each sorted point how far something is at most, counted from ``zero_m``:
    that is lower for each question, so what is left from earlier ones lies ``_LAP_M`` and more
    above it. ``seen`` takes the number of a row, which tells itself whether it is meant.
    """

    def __init__(self, count: int) -> None:
        self.best_m: Floats = np.zeros(count)
        self.seen: Ints = np.zeros(count, dtype=np.int64)
        self.zero_m = 0.0

    def begin(self) -> None:
        """Forget what is in it; after so many times that digits would get lost, by clearing."""
        self.zero_m -= _LAP_M
        if self.zero_m < -_LAPS * _LAP_M:
            self.best_m[:] = 0.0
            self.zero_m = -_LAP_M


@dataclass(frozen=True, slots=True, kw_only=True)
class PointGrid:
    """Points sorted by band and longitude, n of them.

    ``order`` holds the number of each sorted point among those given, ``owner`` the number of what
    it belongs to, ``places_m`` of shape (3, n) its earth-centred place. Bands are cut into cells of
    3 degrees of longitude: from band ``first_band_index`` on, cell c of band b holds the sorted
    points from ``cell_starts[120 b + c]`` up to the next, so that few are searched for an edge.
    """

    order: Ints
    owner: Ints
    lon_deg: Floats
    places_m: Floats
    first_band_index: int
    cell_starts: Ints
    scratches: Pool[Scratch]

    @property
    def bytes_count(self) -> int:
        """Return how much memory the grid takes, without scratches."""
        parts = [self.order, self.lon_deg, self.places_m, self.cell_starts]
        if self.owner is not self.order:
            parts.append(self.owner)
        return sum(one.nbytes for one in parts)


def point_grid(lat_deg: Floats, lon_deg: Floats, owner: Ints) -> PointGrid:
    """Return points sorted into bands.

    Parameters
    ----------
    lat_deg, lon_deg : ndarray, shape (n,)
        Positions in degrees, longitudes from -180 to 180, n at least 1.
    owner : ndarray, shape (n,)
        The number of what each point belongs to.
    """
    band = np.clip((lat_deg + 90.0) * BANDS_PER_DEG, 0.0, _BAND_COUNT - 1.0).astype(np.int64)
    # One key for both: it tells longitudes apart to 1e-9 degrees, and looks are wider than that.
    order = np.argsort(band * 512.0 + (lon_deg + 180.0))
    first, last = int(band.min()), int(band.max())
    cell = ((lon_deg + 180.0) * CELLS_PER_DEG).astype(np.int64).clip(0, CELLS_PER_BAND - 1)
    cells_count = (last - first + 1) * CELLS_PER_BAND
    counts = np.bincount((band - first) * CELLS_PER_BAND + cell, minlength=cells_count)
    return PointGrid(
        order=order,
        # Most dangers are one point each: then both columns are one.
        owner=order if bool(np.all(owner == np.arange(owner.size))) else owner[order],
        lon_deg=np.ascontiguousarray(lon_deg[order]),
        places_m=np.ascontiguousarray(earth_centred_m(lat_deg[order], lon_deg[order]).T),
        first_band_index=first,
        cell_starts=np.concatenate([np.zeros(1, np.int64), np.cumsum(counts)]),
        scratches=Pool(partial(Scratch, order.size)),
    )
