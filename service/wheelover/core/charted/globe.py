"""Shapes whose longitudes go on beyond 180 degrees, and the same between -180 and 180."""

from collections.abc import Iterator

import numpy as np
import shapely

_HALF = shapely.box(-180.0, -90.0, 180.0, 90.0)


def turned_to(area: shapely.Geometry) -> Iterator[tuple[float, shapely.Geometry]]:
    """Yield by how many degrees an area is to be turned to meet charts, and the area there, ready.

    Parameters
    ----------
    area : geometry
        Its longitudes may lie beyond 180 degrees.
    """
    west, _, east, _ = shapely.bounds(area)
    for by_deg in (-360.0, 0.0, 360.0):
        if west + by_deg <= 180.0 and east + by_deg >= -180.0:
            there = area
            if by_deg:
                there = shapely.transform(area, lambda places, by=by_deg: np.add(places, (by, 0.0)))
            shapely.prepare(there)
            yield by_deg, there


def on_the_globe(shape: shapely.Geometry) -> shapely.Geometry:
    """Return a shape between -180 and 180 degrees, cut there as GeoJSON asks [RFC7946]_.

    Parameters
    ----------
    shape : geometry
        Its longitudes may lie beyond 180 degrees.
    """
    if shapely.is_empty(shape):
        return shape
    west, _, east, _ = shapely.bounds(shape)
    if west >= -180.0 and east <= 180.0:
        return shape
    parts = [shapely.intersection(there, _HALF) for _, there in turned_to(shape)]
    return shapely.union_all(parts)
