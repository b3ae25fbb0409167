"""The open coastline as it takes away room to turn round."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Floats
from wheelover.core.coast.chunks import ends_of
from wheelover.core.coast.cover import official_cover
from wheelover.core.coast.inside import on_land
from wheelover.core.coast.near import Sought, edges_near
from wheelover.core.coast.segments import Segments
from wheelover.core.geo.plane import to_plane_m
from wheelover.core.types.cells import Cell
from wheelover.core.types.chart import Chart
from wheelover.core.types.coast import Coast

_BOW_M = 20.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shore:
    """The coastline, and what official charts cover: there it does not count."""

    coast: Coast
    cover: Any | None

    def lines_m(
        self, middle_deg: tuple[float, float], lat_deg: Floats, lon_deg: Floats, reach_m: float
    ) -> list[Any]:
        """Return the shores near places in the plane about a place, as lines.

        Parameters
        ----------
        middle_deg : tuple of float
            Latitude and longitude of the middle of the plane.
        lat_deg, lon_deg : ndarray, shape (n,)
            The places, in the order of the leg.
        reach_m : float
            How far about them all shores are wanted.
        """
        last = np.minimum(np.arange(lat_deg.size) + 1, lat_deg.size - 1)
        segments = Segments(
            piece=np.zeros(lat_deg.size, dtype=np.int64),
            lat_deg=np.stack([lat_deg, lat_deg[last]], axis=1),
            lon_deg=np.stack([lon_deg, lon_deg[last]], axis=1),
            bow_m=np.full(lat_deg.size, _BOW_M),
        )
        # All within the reach are wanted, not the nearest alone.
        sought = Sought(
            reach_m=np.array([reach_m]), by_side=np.zeros(1, dtype=np.bool_), more_m=reach_m
        )
        edge, _ = edges_near(self.coast, segments, sought, self.cover)
        if edge.size == 0:
            return []
        one, other = ends_of(self.coast, edge)
        ends_m = [to_plane_m(middle_deg, end[:, 1], end[:, 0]) for end in (one, other)]
        return list(shapely.linestrings(np.stack(ends_m, axis=1)))

    def dry(self, lat_deg: Floats, lon_deg: Floats) -> Bools:
        """Return which places are land of the coastline, where it counts."""
        dry = on_land(self.coast, lat_deg, lon_deg)
        if self.cover is not None and bool(dry.any()):
            dry &= ~np.asarray(shapely.contains_xy(self.cover, lon_deg, lat_deg))
        return dry


def shore_of(chart: Chart, cells: Sequence[Cell]) -> Shore | None:
    """Return the coastline that a plan is held against, None where it is not.

    Parameters
    ----------
    chart : Chart
        With the coastline.
    cells : sequence of Cell
        Charts; inside their coverage the coastline does not count.
    """
    if chart.coast is None:
        return None
    return Shore(coast=chart.coast, cover=official_cover(cells))
