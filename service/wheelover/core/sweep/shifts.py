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

_PAIRS_AT_ONCE = 20_000


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
    point = np.all(part_m[part, 0] == part_m[part, 1], axis=1)
    low_m, high_m = np.full(piece.size, np.inf), np.full(piece.size, -np.inf)
    for ends, which in ((1, np.flatnonzero(point)), (2, np.flatnonzero(~point))):
        for start in range(0, which.size, _PAIRS_AT_ONCE):
            rows = which[start : start + _PAIRS_AT_ONCE]
            apart_m = part_m[part[rows], None, :ends] - vertex_m[piece[rows], :, None]
            near_m = margin_m[part[rows]] + bulge_m[piece[rows]]
            low_m[rows], high_m[rows] = _interval(apart_m, near_m)
    met = np.flatnonzero((high_m >= within_m[0]) & (low_m <= within_m[1]))
    return Shifts(part=part[met], low_m=low_m[met], high_m=high_m[met])


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


def _interval(apart_m: Floats, near_m: Floats) -> tuple[Floats, Floats]:
    """Return where the x-axis is within distances of convex hulls, crossed over where nowhere.

    ``apart_m`` holds the places whose hull it is, shape (p, k, e, 2): corners of the piece seen
    from the ends of the part.
    """
    near = near_m[:, None, None]
    meets = [_on_circles(apart_m, near), _on_sides(apart_m, np.roll(apart_m, -1, axis=1), near)]
    if apart_m.shape[2] == 2:
        meets.append(_on_sides(apart_m[:, :, :1], apart_m[:, :, 1:], near))
    low_m = np.min([np.min(low, axis=(1, 2)) for low, _ in meets], axis=0)
    high_m = np.max([np.max(high, axis=(1, 2)) for _, high in meets], axis=0)
    return low_m, high_m


def _on_circles(middle_m: Floats, radius_m: Floats) -> tuple[Floats, Floats]:
    """Return where the x-axis enters and leaves circles, crossed over where it meets none."""
    squared = radius_m**2 - middle_m[..., 1] ** 2
    half_m = np.sqrt(np.maximum(squared, 0.0))
    half_m[squared < 0.0] = -np.inf
    return middle_m[..., 0] - half_m, middle_m[..., 0] + half_m


def _on_sides(from_m: Floats, to_m: Floats, off_m: Floats) -> tuple[Floats, Floats]:
    """Return where the x-axis meets the lines beside edges, at a distance on either side.

    Edges along the axis meet it nowhere else than the circles about their ends do.
    """
    run_m = to_m - from_m
    length_m = np.hypot(run_m[..., 0], run_m[..., 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        aside_x, aside_y = off_m * run_m[..., 1] / length_m, -off_m * run_m[..., 0] / length_m
        shares = [-(from_m[..., 1] + side * aside_y) / run_m[..., 1] for side in (-1.0, 1.0)]
        places_m = [
            from_m[..., 0] + side * aside_x + share * run_m[..., 0]
            for side, share in zip((-1.0, 1.0), shares, strict=True)
        ]
    meets = [(share >= 0.0) & (share <= 1.0) for share in shares]
    low_m = np.minimum(
        *(np.where(met, at, np.inf) for met, at in zip(meets, places_m, strict=True))
    )
    high_m = np.maximum(
        *(np.where(met, at, -np.inf) for met, at in zip(meets, places_m, strict=True))
    )
    return low_m, high_m
