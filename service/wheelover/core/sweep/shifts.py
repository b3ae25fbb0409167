"""By how much a convex piece may be moved along a line before it comes too near to something.

The distance between two convex shapes, one of which is moved along a line, is a convex function of
the way [BoydVandenberghe]_: it is below a margin on one interval, or nowhere. With corners P of the
piece and ends Q of the other, the piece moved by s touches it when the place (s, 0) lies in the
convex hull of all Q - P; it is too near when that place is within the margin of it. The ends of the
interval are then among the places where the x-axis meets circles about the corners of that hull
and lines beside its edges: no search is needed.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.sweep.shift_loop import intervals_loop


@dataclass(frozen=True, slots=True, kw_only=True)
class Shifts:
    """Closed intervals of the way moved, m of them, on which a part of something is too near."""

    part: Ints
    low_m: Floats
    high_m: Floats


def too_near(
    vertex_m: Floats,
    bulge_m: Floats,
    part_m: Floats,
    margin_m: Floats,
    within_m: tuple[float, float],
) -> Shifts:
    """Return on which shifts along the x-axis pieces are within margins of straight parts.

    Parameters
    ----------
    vertex_m : ndarray, shape (n, k, 2)
        Corners of convex pieces in order around each; some may be repeated.
    bulge_m : ndarray, shape (n,)
        What is added to the margin for each piece.
    part_m : ndarray, shape (m, 2, 2)
        Ends of the parts; a point has both in one place.
    margin_m : ndarray, shape (m,)
        How near is too near to each.
    within_m : tuple of float
        The least and the largest shift that matter; intervals wholly outside are left out.

    Returns
    -------
    Shifts
        One interval for each piece and part that meet; on its ends the distance is the margin.
    """
    rows = intervals_loop(
        np.ascontiguousarray(vertex_m), bulge_m, np.ascontiguousarray(part_m), margin_m, *within_m
    )
    return Shifts(
        part=rows[:, 0].astype(np.int64), low_m=rows[:, 1].copy(), high_m=rows[:, 2].copy()
    )
