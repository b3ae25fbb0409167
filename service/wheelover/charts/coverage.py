"""What a chart cell says that it covers, small enough for a list."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from wheelover.core.types.cells import Cell

MOST_VERTICES = 400
_COVERED = 1

Document = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """``outline`` is a GeoJSON geometry, None for a cell that covers nothing; the box is of all.

    The box holds west, south, east and north, degrees: of the coverage and of every object. The
    outline is drawn with fewer vertices where it has many.
    """

    outline: Document | None
    box_deg: tuple[float, float, float, float]
    simplified: bool


def coverage_of(cell: Cell) -> Coverage:
    """Return what a cell covers (M_COVR with CATCOV 1) and the box around everything in it."""
    chosen = [
        index
        for index, name in enumerate(cell.classes)
        if name == "M_COVR" and cell.attributes[index].get("CATCOV") == _COVERED
    ]
    areas = [one for one in cell.geometries[chosen] if one is not None]
    covered = shapely.union_all(shapely.make_valid(np.array(areas, dtype=object)))
    outline, simplified = _fewer(covered)
    return Coverage(
        outline=None if outline.is_empty else _geojson(outline),
        box_deg=_box(cell),
        simplified=simplified,
    )


def _fewer(shape: shapely.Geometry) -> tuple[shapely.Geometry, bool]:
    """Return a shape with at most so many vertices, and whether any were left out."""
    step_deg = 1e-5
    made = shape
    while shapely.get_num_coordinates(made) > MOST_VERTICES and step_deg < 1.0:
        made = shapely.simplify(shape, step_deg)
        step_deg *= 4.0
    return made, made is not shape


def _geojson(shape: shapely.Geometry) -> Document:
    """Return the areas of a shape as a GeoJSON geometry."""
    parts = [
        one for one in shapely.get_parts(shapely.get_parts(shape)) if one.geom_type == "Polygon"
    ]
    return {
        "type": "MultiPolygon",
        "coordinates": [
            [_ring(part.exterior), *(_ring(one) for one in part.interiors)] for part in parts
        ],
    }


def _ring(ring: shapely.LinearRing) -> list[list[float]]:
    """Return the positions of a ring, to 1e-7 degree."""
    places: list[list[float]] = np.round(shapely.get_coordinates(ring), 7).tolist()
    return places


def _box(cell: Cell) -> tuple[float, float, float, float]:
    """Return the box around every object and sounding of a cell."""
    west, south, east, north = shapely.total_bounds(cell.geometries)
    if cell.soundings.count:
        lon_deg, lat_deg = cell.soundings.lon_deg, cell.soundings.lat_deg
        west, east = np.nanmin([west, lon_deg.min()]), np.nanmax([east, lon_deg.max()])
        south, north = np.nanmin([south, lat_deg.min()]), np.nanmax([north, lat_deg.max()])
    if np.isnan(west):
        return (0.0, 0.0, 0.0, 0.0)
    return float(west), float(south), float(east), float(north)
