"""Where official charts cover the water: there their own land counts, and no coastline."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.charted.ground import GRID_DEG, coverage_of_cell
from wheelover.core.types.cells import Cell
from wheelover.core.types.coast import UsedStretch


def official_cover(cells: Sequence[Cell]) -> Any | None:
    """Return the water that cells cover, None where none does.

    Parameters
    ----------
    cells : sequence of Cell
        Of each counts what it covers and charts depths or land of.

    Returns
    -------
    shapely geometry or None
        Longitude and latitude in degrees, prepared for many questions.
    """
    areas = [area for area in map(coverage_of_cell, cells) if area is not None]
    if not areas:
        return None
    cover = shapely.union_all(areas, grid_size=GRID_DEG)
    shapely.prepare(cover)
    return cover


def used_stretches(cover: Any, line_deg: Floats, along_m: Floats) -> tuple[UsedStretch, ...]:
    """Return from where to where along a piece of the track cells count, and where the coastline.

    Parameters
    ----------
    cover : shapely geometry
        What official charts cover.
    line_deg : ndarray, shape (v, 2)
        Longitude and latitude of places along the piece, close to one another.
    along_m : ndarray, shape (v,)
        How far along it they are, ascending.

    Notes
    -----
    Between places the piece is taken as straight in longitude and latitude: with places 2 NM apart
    the edge of the coverage is found to a few metres along the track.
    """
    # Across 180 degrees the piece runs on; the coverage there is met from both sides.
    lon_deg = np.unwrap(line_deg[:, 0], period=360.0)
    inside: list[tuple[float, float]] = []
    for turned_deg in (-360.0, 0.0, 360.0):
        inside += _inside(cover, np.column_stack([lon_deg + turned_deg, line_deg[:, 1]]), along_m)
    stretches: list[UsedStretch] = []
    at_m, end_m = float(along_m[0]), float(along_m[-1])
    for from_m, to_m in _joined(inside):
        if from_m > at_m:
            stretches.append(UsedStretch(from_m=at_m, to_m=from_m, source="coastline"))
        stretches.append(UsedStretch(from_m=from_m, to_m=to_m, source="cells"))
        at_m = to_m
    if at_m < end_m or not stretches:
        stretches.append(UsedStretch(from_m=at_m, to_m=end_m, source="coastline"))
    return tuple(stretches)


def _inside(cover: Any, line_deg: Floats, along_m: Floats) -> list[tuple[float, float]]:
    """Return from where to where a piece lies inside the coverage."""
    whole = shapely.linestrings(line_deg)
    if not shapely.intersects(cover, whole):
        return []
    if shapely.contains(cover, whole):
        return [(float(along_m[0]), float(along_m[-1]))]
    found = []
    for low in range(len(along_m) - 1):
        start, change = line_deg[low], line_deg[low + 1] - line_deg[low]
        squared = max(float(change @ change), 1e-300)
        for one in shapely.get_parts(
            shapely.intersection(shapely.linestrings(line_deg[low : low + 2]), cover)
        ):
            shares = np.sort((shapely.get_coordinates(one) - start) @ change / squared)
            if shares.size > 1:
                bounds_m = along_m[low] + np.clip(shares, 0.0, 1.0) * np.diff(along_m)[low]
                found.append((float(bounds_m[0]), float(bounds_m[-1])))
    return found


def _joined(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return stretches in order, those that touch as one; what is shorter than 1 m is left out."""
    joined: list[tuple[float, float]] = []
    for from_m, to_m in sorted(stretches):
        if joined and from_m <= joined[-1][1] + 1.0:
            joined[-1] = (joined[-1][0], max(to_m, joined[-1][1]))
        else:
            joined.append((from_m, to_m))
    return [one for one in joined if one[1] - one[0] > 1.0]
