"""Dangers that a clearing line leaves on its clear side: there she must not rely on it."""

from collections.abc import Callable

import numpy as np

from wheelover.core.aids.clearing_plane import PLACES_M, Danger, Scene
from wheelover.core.aids.tangents import across_m
from wheelover.core.arrays import Bools, Floats, Ints

Reaches = Callable[[Floats, Floats], Bools]
"""Whether places, with what is kept off each, reach to the clear side of a line."""

_LEAST_M = 1e-6


def past_bearing(mark_m: Floats, direction_rad: float, side: int) -> Reaches:
    """Return what tells of a bearing: clear water lies clockwise of it where ``side`` is 1."""

    def reaches(places_m: Floats, off_m: Floats) -> Bools:
        run_m, right_m = across_m(mark_m, direction_rad, places_m)
        return np.asarray((run_m > -off_m) & (side * right_m > -off_m + _LEAST_M))

    return reaches


def past_range(mark_m: Floats, set_m: float, side: int, *, less: bool) -> Reaches:
    """Return what tells of a range that must not be less, or not more, with the danger's side.

    What lies behind the circle, seen from the track, is not to be reached without entering it.
    """

    def reaches(places_m: Floats, off_m: Floats) -> Bools:
        away = places_m - mark_m
        away_m = np.hypot(away[:, 0], away[:, 1])
        if not less:
            return np.asarray(away_m - off_m < set_m - _LEAST_M)
        behind = (away[:, 1] * side > 0.0) & (np.abs(away[:, 0]) + off_m <= set_m)
        return np.asarray((away_m + off_m > set_m + _LEAST_M) & ~behind)

    return reaches


def left_out(
    scene: Scene, danger: Danger, rows: Ints, unsure_m: float, reaches: Reaches
) -> tuple[int, ...]:
    """Return the other dangers on that side, beside rows of the track, that a line leaves out.

    Parameters
    ----------
    scene : Scene
        The track and all dangers near it.
    danger : Danger
        That which the line leads past.
    rows : ndarray of int
        Places of the track.
    unsure_m : float
        How unsure the place of the mark is.
    reaches
        Whether a place lies on the clear side of the line.
    """
    found = scene.around.number[_rows(scene, danger, rows, unsure_m, reaches)]
    return tuple(np.unique(found).tolist())


def _rows(scene: Scene, danger: Danger, rows: Ints, unsure_m: float, reaches: Reaches) -> Ints:
    """Return the places of other dangers beside rows of the track that a line leaves out."""
    around = scene.around
    off_m = around.off_m + unsure_m
    ahead = scene.track_m[rows, 0]
    along, right = around.places_m[:, 0], around.places_m[:, 1]
    beside = (along >= np.min(ahead) - off_m) & (along <= np.max(ahead) + off_m)
    beside &= (around.number != danger.number) & (right * danger.side > -_LEAST_M)
    some = np.flatnonzero(beside)
    return some[reaches(around.places_m[some], off_m[some])]


def without_left_out(
    scene: Scene, danger: Danger, good: Bools, unsure_m: float, reaches: Reaches
) -> Bools:
    """Return which rows of the track are good and have no danger beside them that is left out.

    Those beside the danger itself stay as they are: what is left out there is told.
    """
    every = np.arange(good.size)
    found = _rows(scene, danger, every, unsure_m, reaches)
    if found.size == 0:
        return good
    reach_m = scene.around.off_m[found] + unsure_m + PLACES_M
    apart_m = np.abs(scene.track_m[:, :1] - scene.around.places_m[found, 0][None, :])
    kept = good & ~np.any(apart_m <= reach_m[None, :], axis=1)
    kept[danger.rows] = good[danger.rows]
    return np.asarray(kept)
