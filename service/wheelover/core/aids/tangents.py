"""Tangents from a mark to a danger: the lines of clearing bearings, in a plane about the place.

Directions turn clockwise from the first axis of the plane, as bearings do from north.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Tangents:
    """Both tangents from a mark to all of a danger, radians.

    ``low_rad`` has the danger on its clockwise side and ``high_rad`` on the other. They are nan
    where there are none: the mark lies in the danger with its margin, or has it all around.
    """

    low_rad: float
    high_rad: float


NO_TANGENTS = Tangents(low_rad=float("nan"), high_rad=float("nan"))


def tangents(mark_m: Floats, places_m: Floats, radius_m: float) -> Tangents:
    """Return the extreme tangents from a mark to circles about the places of a danger.

    Parameters
    ----------
    mark_m : ndarray, shape (2,)
        Where the mark is in the plane.
    places_m : ndarray, shape (n, 2)
        Vertices of the danger.
    radius_m : float
        Its margin and the uncertainty of its position.

    Notes
    -----
    The tangent to one circle lies off the line to its middle by the angle whose sine is the radius
    over the distance (plane trigonometry); of several the outermost counts [ClearingBearing]_.

    Examples
    --------
    Half a mile at four miles: 7.181 degrees (plane trigonometry).

    >>> found = tangents(np.array([0.0, 0.0]), np.array([[4.0, 0.0]]), 0.5)
    >>> round(float(np.degrees(found.high_rad)), 3)
    7.181
    """
    away_m = places_m - mark_m
    distance_m = np.hypot(away_m[:, 0], away_m[:, 1])
    if bool(np.any(distance_m <= radius_m)):
        return NO_TANGENTS
    direction_rad = np.arctan2(away_m[:, 1], away_m[:, 0])
    # Told from the middle of the danger, so that no jump at half a circle comes between.
    middle_rad = float(np.arctan2(np.sin(direction_rad).sum(), np.cos(direction_rad).sum()))
    off_rad = np.remainder(direction_rad - middle_rad + np.pi, 2.0 * np.pi) - np.pi
    half_rad = np.arcsin(radius_m / distance_m)
    low, high = float(np.min(off_rad - half_rad)), float(np.max(off_rad + half_rad))
    if high - low >= np.pi:
        return NO_TANGENTS
    return Tangents(low_rad=middle_rad + low, high_rad=middle_rad + high)


def across_m(mark_m: Floats, direction_rad: float, places_m: Floats) -> tuple[Floats, Floats]:
    """Return how far places lie along a line from a mark, and clockwise beside it, metres."""
    away_m = places_m - mark_m
    ahead = np.array([np.cos(direction_rad), np.sin(direction_rad)])
    beside = np.array([-np.sin(direction_rad), np.cos(direction_rad)])
    return away_m @ ahead, away_m @ beside


def least_and_most_m(mark_m: Floats, vertices_m: Floats, edges_m: Floats) -> tuple[float, float]:
    """Return how near and how far a danger is from a mark.

    Parameters
    ----------
    mark_m : ndarray, shape (2,)
        The mark.
    vertices_m : ndarray, shape (n, 2)
        Vertices of the danger; the farthest place of it is one of them.
    edges_m : ndarray, shape (k, 2, 2)
        Its edges; the nearest place may lie on one.
    """
    away_m = vertices_m - mark_m
    far_m = np.hypot(away_m[:, 0], away_m[:, 1])
    near_m = float(np.min(far_m))
    if edges_m.size:
        start, run = edges_m[:, 0], edges_m[:, 1] - edges_m[:, 0]
        length = np.maximum(np.einsum("ij,ij->i", run, run), 1e-12)
        share = np.clip(np.einsum("ij,ij->i", mark_m - start, run) / length, 0.0, 1.0)
        foot = start + share[:, None] * run - mark_m
        near_m = min(near_m, float(np.min(np.hypot(foot[:, 0], foot[:, 1]))))
    return near_m, float(np.max(far_m))
