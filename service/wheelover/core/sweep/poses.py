"""The hull in each pose of a run, and the convex pieces that neighbouring poses sweep."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Floats, Ints, require_finite, side_by_side
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import signed_change_deg, sin_cos_deg
from wheelover.core.sweep.hull_loop import hulls_loop
from wheelover.core.types.manoeuvre import Motion

MOST_STEP_DEG = 20.0
"""Two rows of a motion may not be farther apart in heading: what lies between is not known."""

_UNEVEN_RATIO = 1.5
"""Largest share found in simulated turns of 25 to 120 rows: 1.39 (tests/core/test_sweep.py)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """What the hull covers between neighbouring rows of a run, n pieces, in the plane.

    They are convex; ``vertex_m`` has their corners, shape (n, k, 2), those of fewer corners filled
    up with their last. ``middle_m`` lies inside each and no part of it is farther
    away than ``radius_m``. ``bulge_m`` bounds how far the hull may reach outside between the two
    rows: a corner goes along a curve, the piece has its chord. ``spare_m`` bounds how far the piece
    may reach where the hull does not, most of all inside the turn.
    """

    vertex_m: Floats
    middle_m: Floats
    radius_m: Floats
    bulge_m: Floats
    spare_m: Floats

    @property
    def hulls(self) -> Any:
        """Return them as shapely polygons, shape (n,)."""
        return self.hulls_of(np.arange(len(self.radius_m)))

    def hulls_of(self, which: Ints) -> Any:
        """Return some of them as shapely polygons."""
        return shapely.polygons(self.vertex_m[which])


_LAST: dict[int, tuple[Motion, Floats, Pieces]] = {}
_KEPT = 256
"""Runs asked about last: clearance, window and water of a turn ask for the same pieces."""


def require_run(motion: Motion) -> None:
    """Refuse a motion that no hull can be moved along.

    Raises
    ------
    OutOfDomain
        When it has no row, columns of different lengths, undefined numbers, times that do not
        increase, or rows farther apart than ``MOST_STEP_DEG`` in heading.
    """
    columns = {
        name: getattr(motion, name) for name in ("time_s", "east_m", "north_m", "heading_deg")
    }
    shapes = {np.shape(column) for column in columns.values()}
    if len(shapes) != 1 or len(next(iter(shapes))) != 1 or motion.time_s.size == 0:
        raise OutOfDomain(
            f"a motion needs columns of one length with at least one row; given {sorted(shapes)}"
        )
    for name, column in columns.items():
        require_finite(f"{name} of the motion", column)
    if bool(np.any(np.diff(motion.time_s) <= 0.0)):
        raise OutOfDomain("the times of a motion must increase from row to row")
    turned = np.abs(signed_change_deg(motion.heading_deg[:-1], motion.heading_deg[1:]))
    if bool(np.any(turned > MOST_STEP_DEG)):
        raise OutOfDomain(
            f"the heading changes by {np.max(turned):.1f} degrees between two rows of the motion; "
            f"at most {MOST_STEP_DEG:g} are bridged: give more rows"
        )


def outlines_m(motion: Motion, outline_m: Floats) -> Floats:
    """Return an outline in every pose of a run.

    Parameters
    ----------
    motion : Motion
        The run, n rows.
    outline_m : ndarray, shape (k, 2)
        Forward of midships and to starboard.

    Returns
    -------
    ndarray, shape (n, k, 2)
        East and north, from where the motion counts.
    """
    sine, cosine = (one[:, None] for one in sin_cos_deg(motion.heading_deg))
    forward, starboard = outline_m[:, 0], outline_m[:, 1]
    return side_by_side(
        motion.east_m[:, None] + forward * sine + starboard * cosine,
        motion.north_m[:, None] + forward * cosine - starboard * sine,
    )


def pieces_between(motion: Motion, outline_m: Floats) -> Pieces:
    """Return the pieces that the hull covers between neighbouring rows of a run.

    Parameters
    ----------
    motion : Motion
        The run, n rows; of a single row the hull in it is the only piece.
    outline_m : ndarray, shape (k, 2)
        A convex outline, forward of midships and to starboard.

    Raises
    ------
    OutOfDomain
        For a motion that no hull can be moved along.
    """
    last = _LAST.get(id(motion))
    if last is not None and last[0] is motion and np.array_equal(last[1], outline_m):
        return last[2]
    require_run(motion)
    corner_m = outlines_m(motion, outline_m)
    both_m = np.concatenate([corner_m[:-1], corner_m[1:]], axis=1)
    if len(corner_m) == 1:
        both_m = corner_m
    bulge_m = _bulge_m(motion, corner_m)
    pieces = _pieces(both_m, bulge_m, bulge_m + _opened_m(motion, outline_m))
    if len(_LAST) >= _KEPT:
        _LAST.clear()  # at once: several plans may be computed side by side
    _LAST[id(motion)] = (motion, outline_m, pieces)
    return pieces


def first_pose(motion: Motion, outline_m: Floats) -> Pieces:
    """Return the hull where a run begins, as the only piece."""
    first = Motion(**{name: getattr(motion, name)[:1] for name in Motion.__slots__})
    return _pieces(outlines_m(first, outline_m), np.zeros(1), np.zeros(1))


def _pieces(corner_m: Floats, bulge_m: Floats, spare_m: Floats) -> Pieces:
    """Return the convex hulls of n groups of places, shape (n, k, 2)."""
    vertex_m = np.empty_like(corner_m, order="C")
    hulls_loop(np.ascontiguousarray(corner_m), vertex_m)
    middle_m = np.mean(corner_m, axis=1)
    radius_m = np.max(np.linalg.norm(corner_m - middle_m[:, None], axis=2), axis=1)
    return Pieces(
        vertex_m=vertex_m,
        middle_m=middle_m,
        radius_m=radius_m,
        bulge_m=bulge_m,
        spare_m=spare_m,
    )


def _turned_rad(motion: Motion) -> Floats:
    """Return by how much the heading changes from each row to the next, without sign."""
    turned_deg = signed_change_deg(motion.heading_deg[:-1], motion.heading_deg[1:])
    return np.asarray(np.radians(np.abs(turned_deg)))


def _opened_m(motion: Motion, outline_m: Floats) -> Floats:
    """Return how far the convex hull of two poses may lie outside all poses between them.

    A place of it a share u of the way between body points a and b of the two poses lies u (1 - u)
    |b - a| times the change of heading from the same share of the way in the pose between; so at
    most a quarter of the largest distance in the outline, and what a chord leaves its curve by.
    """
    if motion.time_s.size == 1:
        return np.zeros(1)
    across_m = 2.0 * float(np.max(np.linalg.norm(outline_m, axis=1)))
    return across_m * _turned_rad(motion) / 4.0


def _bulge_m(motion: Motion, corner_m: Floats) -> Floats:
    """Return how far a corner may leave its chord between neighbouring rows.

    The sagitta of a path of acceleration a in a time t is a t^2 / 8. The acceleration is that of
    the second differences at either end, the larger; a circle about a fixed centre, of which a
    chord c spans the change of heading, has the sagitta c tan(change / 4) / 2, and that counts
    where there are no second differences or it is larger. Half as much again is for rows between
    which the rudder sets the turning going.
    """
    if len(corner_m) == 1:
        return np.zeros(1)
    step_s = np.diff(motion.time_s)[:, None]
    chord_m = np.diff(corner_m, axis=0)
    bend = np.tan(_turned_rad(motion) / 4.0) / 2.0
    circle_m = np.linalg.norm(chord_m, axis=2) * bend[:, None]
    pull = np.zeros((len(corner_m), corner_m.shape[1]))
    change = np.diff(chord_m / step_s[..., None], axis=0)
    pull[1:-1] = np.linalg.norm(change, axis=2) / ((step_s[:-1] + step_s[1:]) / 2.0)
    curve_m = np.maximum(pull[:-1], pull[1:]) * step_s**2 / 8.0
    return _UNEVEN_RATIO * np.asarray(np.max(np.maximum(circle_m, curve_m), axis=1))
