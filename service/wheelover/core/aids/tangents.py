"""Tangents from a mark to a danger: the lines of clearing bearings, in a plane about the place.

Directions turn clockwise from the first axis of the plane, as bearings do from north.
"""

import numpy as np

from wheelover.core.arrays import Floats


def tangents(marks_m: Floats, places_m: Floats, radius_m: float | Floats) -> tuple[Floats, Floats]:
    """Return the extreme tangents from marks to circles about the places of a danger.

    Parameters
    ----------
    marks_m : ndarray, shape (m, 2)
        Where the marks are in the plane.
    places_m : ndarray, shape (n, 2)
        Vertices of the danger.
    radius_m : float or ndarray, shape (m,)
        Its margin and the uncertainty of its position, and of that of each mark.

    Returns
    -------
    low_rad, high_rad : ndarray, shape (m,)
        Directions of both tangents: the low one has the danger on its clockwise side, the high one
        on the other. They are nan where a mark lies in the danger with its margin, or has it all
        around.

    Notes
    -----
    The tangent to one circle lies off the line to its middle by the angle whose sine is the radius
    over the distance (plane trigonometry); of several the outermost counts [ClearingBearing]_.

    Examples
    --------
    Half a mile at four miles: 7.181 degrees (plane trigonometry).

    >>> _, high = tangents(np.array([[0.0, 0.0]]), np.array([[4.0, 0.0]]), 0.5)
    >>> np.degrees(high).round(3)
    array([7.181])
    """
    away_m = places_m[None, :, :] - marks_m[:, None, :]
    distance_m = np.hypot(away_m[..., 0], away_m[..., 1])
    off_m = np.broadcast_to(np.reshape(radius_m, (-1, 1)), distance_m.shape)
    clear = distance_m > off_m
    direction_rad = np.arctan2(away_m[..., 1], away_m[..., 0])
    # Told from the middle of the danger, so that no jump at half a circle comes between.
    middle_rad = np.arctan2(np.sin(direction_rad).sum(axis=1), np.cos(direction_rad).sum(axis=1))
    off_rad = np.remainder(direction_rad - middle_rad[:, None] + np.pi, 2.0 * np.pi) - np.pi
    half_rad = np.arcsin(np.divide(off_m, distance_m, out=np.zeros_like(distance_m), where=clear))
    low, high = np.min(off_rad - half_rad, axis=1), np.max(off_rad + half_rad, axis=1)
    found = np.all(clear, axis=1) & (high - low < np.pi)
    return (
        np.where(found, middle_rad + low, np.nan),
        np.where(found, middle_rad + high, np.nan),
    )


def across_m(mark_m: Floats, direction_rad: float, places_m: Floats) -> tuple[Floats, Floats]:
    """Return how far places lie along a line from a mark, and clockwise beside it, metres."""
    away_m = places_m - mark_m
    ahead = np.array([np.cos(direction_rad), np.sin(direction_rad)])
    beside = np.array([-np.sin(direction_rad), np.cos(direction_rad)])
    return away_m @ ahead, away_m @ beside


def least_and_most_m(marks_m: Floats, vertices_m: Floats, edges_m: Floats) -> tuple[Floats, Floats]:
    """Return how near and how far a danger is from marks, shape (m,).

    Parameters
    ----------
    marks_m : ndarray, shape (m, 2)
        The marks.
    vertices_m : ndarray, shape (n, 2)
        Vertices of the danger; the farthest place of it is one of them.
    edges_m : ndarray, shape (k, 2, 2)
        Its edges; the nearest place may lie on one.
    """
    away_m = vertices_m[None, :, :] - marks_m[:, None, :]
    far_m = np.hypot(away_m[..., 0], away_m[..., 1])
    near_m = np.min(far_m, axis=1)
    if edges_m.size:
        start, run = edges_m[:, 0], edges_m[:, 1] - edges_m[:, 0]
        length = np.maximum(np.einsum("ij,ij->i", run, run), 1e-12)
        to_mark = marks_m[:, None, :] - start[None, :, :]
        share = np.clip(np.einsum("mij,ij->mi", to_mark, run) / length, 0.0, 1.0)
        foot = to_mark - share[..., None] * run
        near_m = np.minimum(near_m, np.min(np.hypot(foot[..., 0], foot[..., 1]), axis=1))
    return near_m, np.max(far_m, axis=1)
