"""Points in bands of latitude, sorted by longitude within each: what is near is found by looking.

The grid depends on the points alone and stays in memory between plans.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.geo.ellipsoid import earth_centred_m

BANDS_PER_DEG = 20
"""Bands are 3 minutes wide: about as wide as what is looked for around a track."""

CELLS_PER_BAND = 360

_BAND_COUNT = 180 * BANDS_PER_DEG


@dataclass(frozen=True, slots=True, kw_only=True)
class PointGrid:
    """Points sorted by band and longitude, n of them.

    ``order`` holds the number of each sorted point among those given, ``owner`` the number of what
    it belongs to, ``places_m`` of shape (n, 3) its earth-centred place. Bands are cut into cells of
    a degree of longitude: from band ``first_band_index`` on, cell c of band b holds the sorted
    points from ``cell_starts[360 b + c]`` up to the next, so that few are searched for an edge.
    """

    order: Ints
    owner: Ints
    lon_deg: Floats
    places_m: Floats
    first_band_index: int
    cell_starts: Ints

    @property
    def bytes_count(self) -> int:
        """Return how much memory the grid takes."""
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
    cell = np.clip(lon_deg + 180.0, 0.0, CELLS_PER_BAND - 1.0).astype(np.int64)
    cells_count = (last - first + 1) * CELLS_PER_BAND
    counts = np.bincount((band - first) * CELLS_PER_BAND + cell, minlength=cells_count)
    return PointGrid(
        order=order,
        # Most dangers are one point each: then both columns are one.
        owner=order if bool(np.all(owner == np.arange(owner.size))) else owner[order],
        lon_deg=np.ascontiguousarray(lon_deg[order]),
        places_m=earth_centred_m(lat_deg[order], lon_deg[order]),
        first_band_index=first,
        cell_starts=np.concatenate([np.zeros(1, np.int64), np.cumsum(counts)]),
    )
