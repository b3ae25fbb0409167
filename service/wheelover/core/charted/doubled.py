"""Depth contours that need not be told, for the shallow water that they bound is told already."""

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Ints
from wheelover.core.charted.contour import shallower
from wheelover.core.charted.ground import GRID_DEG
from wheelover.core.charted.overlap import Objects
from wheelover.core.charted.surroundings import Surroundings, pairs_with
from wheelover.core.types.cells import Geometries


def without_doubled_contours(
    objects: Objects, around: Surroundings, of: Ints, wanted_m: float
) -> Ints:
    """Return objects without the contours that lie in depth areas which are dangers themselves.

    A contour of which a part lies in no depth area, or only in areas charted as deep enough, is
    kept whole: nothing else tells of the shallow water there.

    Parameters
    ----------
    objects : Objects
        What the cells chart, each where no larger scale does.
    around : Surroundings
        With their depth areas.
    of : ndarray, shape (n,)
        Numbers of objects, contours among them.
    wanted_m : float
        The contour wanted, metres: depth areas whose shallow end is less, or unknown, are dangers.
    """
    contours = np.array([objects.classes[row] == "DEPCNT" for row in of], np.bool_)
    shallow = np.array(
        [shallower(None if np.isnan(one) else one, wanted_m) for one in around.shallow_m.tolist()],
        np.bool_,
    )
    if not bool(np.any(contours)) or not bool(np.any(shallow)):
        return of
    rows = np.flatnonzero(contours)
    doubled = _covered(around.depths[shallow], objects.geometries[of[rows]])
    return np.delete(of, rows[doubled])


def _covered(areas: Geometries, lines: Geometries) -> Bools:
    """Return which lines lie in areas with all of their length, to the grid of charts."""
    found = np.zeros(lines.size, np.bool_)
    by_one, _ = pairs_with(areas, lines, "covers")
    found[by_one] = True
    left = np.flatnonzero(~found)
    line, area = pairs_with(areas, lines[left])
    for number in np.unique(line).tolist():
        row = left[number]
        together = shapely.union_all(areas[area[line == number]])
        outside = shapely.difference(lines[row], together)
        # Where a cell was cut, line and area may end a rounding apart.
        places = shapely.points(shapely.get_coordinates(_with_middles(outside)))
        found[row] = bool(np.all(shapely.distance(places, together) <= GRID_DEG))
    return found


def _with_middles(lines: shapely.Geometry) -> shapely.Geometry:
    """Return lines with a vertex in the middle of each edge."""
    pieces = []
    for part in shapely.get_parts(lines):
        at = shapely.get_coordinates(part)
        both = np.empty((max(2 * len(at) - 1, 0), 2))
        both[::2], both[1::2] = at, (at[1:] + at[:-1]) / 2.0
        pieces.append(shapely.linestrings(both))
    return shapely.multilinestrings(pieces)
