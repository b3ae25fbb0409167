"""Where official charts cover the water: there their own land counts, and no coastline."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.types.cells import Cell
from wheelover.core.types.coast import UsedStretch

_COVERED = "1"
_SAMPLES_COUNT = 9


def official_cover(cells: Sequence[Cell]) -> Any | None:
    """Return the water that cells say they cover, None where none does.

    Parameters
    ----------
    cells : sequence of Cell
        Of each the areas M_COVR with CATCOV 1 [S57A]_ count.

    Returns
    -------
    shapely geometry or None
        Longitude and latitude in degrees, prepared for many questions.
    """
    areas = [
        area
        for cell in cells
        for code, said, area in zip(cell.classes, cell.attributes, cell.geometries, strict=True)
        if code == "M_COVR" and area is not None and _says_covered(said.get("CATCOV"))
    ]
    if not areas:
        return None
    cover = shapely.union_all(shapely.make_valid(np.array(areas, dtype=object)))
    shapely.prepare(cover)
    return cover


def _says_covered(category: object) -> bool:
    """Return whether a category of coverage says that there are data."""
    return isinstance(category, (str, int, float)) and str(category).split(".")[0] == _COVERED


def used_stretches(
    cover: Any | None, lines_deg: Floats, along_m: Floats
) -> tuple[UsedStretch, ...]:
    """Return from where to where along a piece of the track cells count, and where the coastline.

    Parameters
    ----------
    cover : shapely geometry or None
        What official charts cover.
    lines_deg : ndarray, shape (v, 2)
        Longitude and latitude of places along the piece, close to one another.
    along_m : ndarray, shape (v,)
        How far along it they are, ascending.

    Notes
    -----
    Between places the piece is taken as straight in longitude and latitude: with places 5 NM apart
    the edge of the coverage is found to a few metres along the track.
    """
    whole = (float(along_m[0]), float(along_m[-1]))
    inside: list[tuple[float, float]] = []
    if cover is not None:
        for low in range(len(along_m) - 1):
            inside += _inside(cover, lines_deg[low : low + 2], along_m[low : low + 2])
    stretches: list[UsedStretch] = []
    at_m = whole[0]
    for from_m, to_m in _joined(inside):
        if from_m > at_m:
            stretches.append(UsedStretch(from_m=at_m, to_m=from_m, source="coastline"))
        stretches.append(UsedStretch(from_m=from_m, to_m=to_m, source="cells"))
        at_m = to_m
    if at_m < whole[1] or not stretches:
        stretches.append(UsedStretch(from_m=at_m, to_m=whole[1], source="coastline"))
    return tuple(stretches)


def _inside(cover: Any, ends_deg: Floats, along_m: Floats) -> list[tuple[float, float]]:
    """Return from where to where a straight part of a piece lies inside the coverage."""
    start, change = ends_deg[0], ends_deg[1] - ends_deg[0]
    if abs(change[0]) > 180.0:
        # The part crosses 180 degrees: it is looked at from both sides.
        change = change - np.array([np.copysign(360.0, change[0]), 0.0])
    found = []
    squared = max(float(change @ change), 1e-300)
    for turned in (-360.0, 0.0, 360.0):
        begin = start + np.array([turned, 0.0])
        part = shapely.LineString([begin, begin + change])
        for one in shapely.get_parts(shapely.intersection(part, cover)):
            places = shapely.get_coordinates(one)
            if len(places) < 2:
                continue
            shares = np.sort((places - begin) @ change / squared)
            length_m = along_m[1] - along_m[0]
            found.append(
                (
                    float(along_m[0] + np.clip(shares[0], 0.0, 1.0) * length_m),
                    float(along_m[0] + np.clip(shares[-1], 0.0, 1.0) * length_m),
                )
            )
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
