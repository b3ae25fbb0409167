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
    piece, part = _pairs(vertex_m, bulge_m, part_m, margin_m, within_m)
    rows = intervals_loop(
        np.ascontiguousarray(vertex_m),
        np.ascontiguousarray(bulge_m),
        np.ascontiguousarray(part_m),
        np.ascontiguousarray(margin_m),
        np.ascontiguousarray(piece),
        np.ascontiguousarray(part),
        *within_m,
    )
    return Shifts(
        part=part[rows[:, 0].astype(np.int64)], low_m=rows[:, 1].copy(), high_m=rows[:, 2].copy()
    )


def _pairs(
    vertex_m: Floats,
    bulge_m: Floats,
    part_m: Floats,
    margin_m: Floats,
    within_m: tuple[float, float],
) -> tuple[Ints, Ints]:
    """Return the pairs of piece and part whose bounding boxes say that they may meet."""
    from_m, to_m = vertex_m.min(axis=1), vertex_m.max(axis=1)
    part_low_m, part_high_m = np.min(part_m, axis=1), np.max(part_m, axis=1)
    # Most of what is about lies beside the way of all pieces together: that is told at once.
    widest_m = (margin_m + np.max(bulge_m, initial=0.0))[:, None]
    low_m = part_low_m - np.max(to_m, axis=0) - widest_m
    high_m = part_high_m - np.min(from_m, axis=0) + widest_m
    some = np.flatnonzero(
        (low_m[:, 1] <= 0.0)
        & (high_m[:, 1] >= 0.0)
        & (low_m[:, 0] <= within_m[1])
        & (high_m[:, 0] >= within_m[0])
    )
    near_m = bulge_m[:, None] + margin_m[some]
    low_m = part_low_m[some] - to_m[:, None] - near_m[..., None]
    high_m = part_high_m[some] - from_m[:, None] + near_m[..., None]
    across = (low_m[..., 1] <= 0.0) & (high_m[..., 1] >= 0.0)
    along = (low_m[..., 0] <= within_m[1]) & (high_m[..., 0] >= within_m[0])
    piece, part = np.nonzero(across & along)
    return piece, some[part]
