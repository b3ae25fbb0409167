"""The hull in each pose of a run, and the convex pieces that neighbouring poses sweep."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Floats, Ints, numbered, require_finite, side_by_side
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
    def count(self) -> int:
        """Return how many there are."""
        return len(self.radius_m)

    @property
    def hulls(self) -> Any:
        """Return them as shapely polygons, shape (n,)."""
        return self.hulls_of(np.arange(self.count))

    def hulls_of(self, which: Ints) -> Any:
        """Return some of them as shapely polygons."""
        return shapely.polygons(self.vertex_m[which])

    def some(self, start: int, stop: int) -> "Pieces":
        """Return those from one number up to another."""
        return Pieces(
            vertex_m=self.vertex_m[start:stop],
            middle_m=self.middle_m[start:stop],
            radius_m=self.radius_m[start:stop],
            bulge_m=self.bulge_m[start:stop],
            spare_m=self.spare_m[start:stop],
        )


_LAST: dict[int, tuple[Motion, bytes, Pieces]] = {}
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
    return _outlines_m((motion.east_m, motion.north_m), motion.heading_deg, outline_m)


def _outlines_m(place_m: tuple[Floats, Floats], heading_deg: Floats, outline_m: Floats) -> Floats:
    """Return an outline at places east and north and on headings, shape (n, k, 2)."""
    sine, cosine = (one[:, None] for one in sin_cos_deg(heading_deg))
    forward, starboard = outline_m[:, 0], outline_m[:, 1]
    return side_by_side(
        place_m[0][:, None] + forward * sine + starboard * cosine,
        place_m[1][:, None] + forward * cosine - starboard * sine,
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
    return pieces_of((motion,), outline_m)[0]


def pieces_of(motions: Sequence[Motion], outline_m: Floats) -> list[Pieces]:
    """Return the pieces of each of several runs, as ``pieces_between`` returns those of one.

    Parameters
    ----------
    motions : sequence of Motion
        The runs.
    outline_m : ndarray, shape (k, 2)
        A convex outline, forward of midships and to starboard.

    Raises
    ------
    OutOfDomain
        For a motion that no hull can be moved along.
    """
    outline = outline_m.tobytes()
    known: dict[int, Pieces] = {}
    for motion in motions:
        last = _LAST.get(id(motion))
        if last is not None and last[0] is motion and last[1] == outline:
            known[id(motion)] = last[2]
    wanted = list({id(one): one for one in motions if id(one) not in known}.values())
    if wanted:
        made = _made(wanted, outline_m)
        if len(_LAST) + len(wanted) > _KEPT:
            _LAST.clear()  # at once: several plans may be computed side by side
        for motion, pieces in zip(wanted, made, strict=True):
            _LAST[id(motion)] = (motion, outline, pieces)
            known[id(motion)] = pieces
    return [known[id(motion)] for motion in motions]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Steps:
    """From row to row of runs: p steps, each with the number of its run and what changes in it.

    A run of a single row has one step, from that row to itself.
    """

    run: Ints
    step_s: Floats
    turned_rad: Floats
    before: Ints
    after: Ints


def _made(motions: Sequence[Motion], outline_m: Floats) -> list[Pieces]:
    """Return the pieces of runs, made anew."""
    if len(motions) == 1:
        require_run(motions[0])
    else:
        _require_runs(motions)
    place_m = (_column(motions, "east_m"), _column(motions, "north_m"))
    corner_m = _outlines_m(place_m, _column(motions, "heading_deg"), outline_m)
    count = np.array([one.time_s.size for one in motions])
    steps = _steps(motions, count)
    both_m = np.concatenate([corner_m[steps.before], corner_m[steps.after]], axis=1)
    bulge_m = _bulge_m(steps, corner_m)
    pieces = _pieces(both_m, bulge_m, bulge_m + _opened_m(steps, outline_m))
    ends = np.cumsum(np.maximum(count - 1, 1)).tolist()
    return [pieces.some(start, stop) for start, stop in zip([0, *ends], ends, strict=False)]


def _column(motions: Sequence[Motion], name: str) -> Floats:
    """Return a column of runs behind one another."""
    if len(motions) == 1:
        return np.asarray(getattr(motions[0], name), np.float64)
    return np.concatenate([getattr(one, name) for one in motions], dtype=np.float64)


def _steps(motions: Sequence[Motion], count: Ints) -> _Steps:
    """Return the steps from row to row of runs of so many rows."""
    run, place = numbered(np.maximum(count - 1, 1))
    before = (np.cumsum(count) - count)[run] + place
    after = before + (count[run] > 1)
    time_s, heading_deg = _column(motions, "time_s"), _column(motions, "heading_deg")
    step_s = time_s[after] - time_s[before]
    turned_deg = signed_change_deg(heading_deg[before], heading_deg[after])
    return _Steps(
        run=run,
        # In a single row nothing changes, however long.
        step_s=np.where(before == after, 1.0, step_s),
        turned_rad=np.asarray(np.radians(np.abs(turned_deg))),
        before=before,
        after=after,
    )


def _require_runs(motions: Sequence[Motion]) -> None:
    """Refuse motions of which a hull cannot be moved along one: the first of those says why."""
    names = ("time_s", "east_m", "north_m", "heading_deg")
    plain = all(
        len({getattr(one, name).shape for name in names}) == 1
        and one.time_s.ndim == 1
        and one.time_s.size
        for one in motions
    )
    if plain:
        count = np.array([one.time_s.size for one in motions])
        steps = _steps(motions, count)
        finite = all(np.isfinite(_column(motions, name)).all() for name in names)
        turned = np.degrees(steps.turned_rad)
        # Rounded otherwise than row by row: what is nearly too much is looked at by itself.
        if finite and (steps.step_s > 0.0).all() and (turned < MOST_STEP_DEG - 1e-9).all():
            return
    for motion in motions:
        require_run(motion)


def first_pose(motion: Motion, outline_m: Floats) -> Pieces:
    """Return the hull where a run begins, as the only piece."""
    first = Motion(**{name: getattr(motion, name)[:1] for name in Motion.__slots__})
    return _pieces(outlines_m(first, outline_m), np.zeros(1), np.zeros(1))


def _pieces(corner_m: Floats, bulge_m: Floats, spare_m: Floats) -> Pieces:
    """Return the convex hulls of n groups of places, shape (n, k, 2)."""
    vertex_m = np.empty_like(corner_m, order="C")
    hulls_loop(np.ascontiguousarray(corner_m), vertex_m)
    # Place by place, which is many times quicker than along a short axis.
    middle_m = corner_m[:, 0].copy()
    for place in range(1, corner_m.shape[1]):
        middle_m += corner_m[:, place]
    middle_m /= corner_m.shape[1]
    radius_m = np.max(_length_m(corner_m - middle_m[:, None]), axis=1)
    return Pieces(
        vertex_m=vertex_m,
        middle_m=middle_m,
        radius_m=radius_m,
        bulge_m=bulge_m,
        spare_m=spare_m,
    )


def _length_m(way_m: Floats) -> Floats:
    """Return how long ways east and north are, shape (..., 2)."""
    east, north = way_m[..., 0], way_m[..., 1]
    return np.sqrt(east * east + north * north)


def _opened_m(steps: _Steps, outline_m: Floats) -> Floats:
    """Return how far the convex hull of two poses may lie outside all poses between them.

    A place of it a share u of the way between body points a and b of the two poses lies u (1 - u)
    |b - a| times the change of heading from the same share of the way in the pose between; so at
    most a quarter of the largest distance in the outline, and what a chord leaves its curve by.
    """
    across_m = 2.0 * float(np.max(np.linalg.norm(outline_m, axis=1)))
    return across_m * steps.turned_rad / 4.0


def _bulge_m(steps: _Steps, corner_m: Floats) -> Floats:
    """Return how far a corner may leave its chord between neighbouring rows.

    The sagitta of a path of acceleration a in a time t is a t^2 / 8. The acceleration is that of
    the second differences at either end, the larger; a circle about a fixed centre, of which a
    chord c spans the change of heading, has the sagitta c tan(change / 4) / 2, and that counts
    where there are no second differences or it is larger. Half as much again is for rows between
    which the rudder sets the turning going.
    """
    step_s = steps.step_s[:, None]
    chord_m = corner_m[steps.after] - corner_m[steps.before]
    bend = np.tan(steps.turned_rad / 4.0) / 2.0
    circle_m = _length_m(chord_m) * bend[:, None]
    change = np.diff(chord_m / step_s[..., None], axis=0)
    pull = _length_m(change) / ((step_s[:-1] + step_s[1:]) / 2.0)
    pull[steps.run[1:] != steps.run[:-1]] = 0.0
    none = np.zeros((1, corner_m.shape[1]))
    ends = np.maximum(np.concatenate([none, pull]), np.concatenate([pull, none]))
    curve_m = ends * step_s**2 / 8.0
    return _UNEVEN_RATIO * np.asarray(np.max(np.maximum(circle_m, curve_m), axis=1))
