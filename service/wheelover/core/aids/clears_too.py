"""Other dangers that a clearing line clears as well: one line often serves for several."""

from collections.abc import Callable

import numpy as np

from wheelover.core.aids.clearing_plane import PLACES_M, Danger, Scene
from wheelover.core.aids.tangents import across_m
from wheelover.core.arrays import Bools, Floats, Ints

Holds = Callable[[Floats, Floats], Bools]
"""Whether places, with what is kept off each, lie wholly on the danger's side of a line."""

_END_M = 1.0


def behind_bearing(mark_m: Floats, direction_rad: float, side: int) -> Holds:
    """Return what tells of a bearing: clear water lies clockwise of it where ``side`` is 1."""

    def holds(places_m: Floats, off_m: Floats) -> Bools:
        run_m, right_m = across_m(mark_m, direction_rad, places_m)
        return np.asarray((run_m > 0.0) & (side * right_m <= -off_m))

    return holds


def behind_range(mark_m: Floats, set_m: float, *, less: bool) -> Holds:
    """Return what tells of a range that must not be less, or not more.

    Edges of dangers are looked at in steps: between two places a straight edge may come nearer to
    the mark by the sagitta of a step.
    """
    sagitta_m = PLACES_M**2 / (8.0 * max(set_m, PLACES_M))

    def holds(places_m: Floats, off_m: Floats) -> Bools:
        away = places_m - mark_m
        away_m = np.hypot(away[:, 0], away[:, 1])
        if less:
            return np.asarray(away_m + off_m <= set_m)
        return np.asarray(away_m - off_m >= set_m + sagitta_m)

    return holds


def clears_too(
    scene: Scene, danger: Danger, rows: Ints, unsure_m: float, holds: Holds
) -> tuple[int, ...]:
    """Return the other dangers beside rows of the track that a line clears as well.

    A danger counts where all of it, with what is kept off it, lies on the danger's side of the
    line, and the line serves along all of the track that is beside it. One of which no margin is
    asked never counts: there is none that would be kept.

    Parameters
    ----------
    scene : Scene
        The track and all dangers near it.
    danger : Danger
        That which the line leads past.
    rows : ndarray of int
        The places of the track that it serves.
    unsure_m : float
        How unsure the place of the mark is.
    holds
        Whether places lie on the danger's side of the line.
    """
    around = scene.around
    if around.number.size == 0:
        return ()
    off_m = around.off_m + unsure_m
    along, right = around.places_m[:, 0], around.places_m[:, 1]
    good = holds(around.places_m, off_m) & (right * danger.side > 0.0)
    good &= (around.number != danger.number) & ~around.bare
    numbers, of = np.unique(around.number, return_inverse=True)
    whole = np.bincount(of, weights=~good, minlength=numbers.size) == 0.0
    low, high = np.full(numbers.size, np.inf), np.full(numbers.size, -np.inf)
    np.minimum.at(low, of, along - off_m)
    np.maximum.at(high, of, along + off_m)
    low_m, high_m = _served(scene, rows)
    whole &= (low >= low_m) & (high <= high_m)
    return tuple(numbers[whole].tolist())


def _served(scene: Scene, rows: Ints) -> tuple[float, float]:
    """Return the bounds along the course within which a line serves, open where the track ends."""
    ahead, leg = scene.track_m[:, 0], scene.leg
    first, last = int(rows[0]), int(rows[-1])
    opens = first == 0 and scene.along_m[0] <= leg.track_from_m + _END_M
    closes = last == ahead.size - 1 and scene.along_m[-1] >= leg.track_to_m - _END_M
    return (
        -np.inf if opens else float(ahead[first]),
        np.inf if closes else float(ahead[last]),
    )
