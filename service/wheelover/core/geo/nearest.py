"""Places on short curves in space: nearest to a given place, or where something changes sign."""

from collections.abc import Callable

import numpy as np

from wheelover.core.arrays import Floats, Ints

_STEPS = 12
_SETTLED_SHARE = 1e-12
_ROOT_SHARE = 1e-11

CurveAt = Callable[[Floats], tuple[Floats, Floats, Floats]]
"""Gives, for shares of the way, places on n curves with first and second derivatives, (n, 3)."""


def dot(one_m: Floats, other_m: Floats) -> Floats:
    """Return the products of vectors of shape (n, 3), row by row."""
    return np.asarray(np.einsum("ij,ij->i", one_m, other_m))


def share_along_chord(place_m: Floats, start_m: Floats, end_m: Floats) -> Floats:
    """Return the share of the way along chords at which they are nearest to places, in [0, 1]."""
    chord_m = end_m - start_m
    squared = np.maximum(dot(chord_m, chord_m), 1e-12)
    return np.clip(dot(place_m - start_m, chord_m) / squared, 0.0, 1.0)


def nearest_share(curve_at: CurveAt, place_m: Floats, first_ratio: Floats) -> Floats:
    """Return the share of the way at which each curve is nearest to its place, in [0, 1].

    The squared distance is driven down by Newton steps. A curve must be so short that it has one
    nearest place only; its ends count.

    Parameters
    ----------
    curve_at : callable
        The curves, n of them.
    place_m : ndarray, shape (n, 3)
        A place for each, earth-centred.
    first_ratio : ndarray, shape (n,)
        Where to begin.
    """
    share_ratio = first_ratio
    for _ in range(_STEPS):
        here_m, run_m, bend_m = curve_at(share_ratio)
        off_m = place_m - here_m
        straight = dot(run_m, run_m)
        steep = straight - dot(off_m, bend_m)
        # Beyond the centre of a curve's own bend the distance has no least: a short step instead.
        steep = np.maximum(np.where(steep > 0.2 * straight, steep, 2.0 * straight), 1e-12)
        following = np.clip(share_ratio + dot(off_m, run_m) / steep, 0.0, 1.0)
        settled = bool(np.all(np.abs(following - share_ratio) <= _SETTLED_SHARE))
        share_ratio = following
        if settled:
            break
    return share_ratio


def share_of_change(
    of: Callable[[Floats, Ints], Floats], one_ratio: Floats, other_ratio: Floats
) -> Floats:
    """Return the shares of the way at which something changes sign, between two on each curve.

    Parameters
    ----------
    of : callable
        What changes sign, for shares of the way and the numbers of the curves they are on.
    one_ratio, other_ratio : ndarray, shape (n,)
        The shares between which it does, n of them and not none. A sign that is gone at a second
        look was rounding: then the first of them, itself looked at, is the place.
    """

    def at(share_ratio: Floats, row_index: Floats) -> Floats:
        return of(share_ratio, row_index.astype(np.int64))

    # A start does not need it; scipy itself does not load it when it is asked for by its name.
    from scipy.optimize.elementwise import find_root  # noqa: PLC0415

    found = find_root(
        at,
        (np.minimum(one_ratio, other_ratio), np.maximum(one_ratio, other_ratio)),
        args=(np.arange(one_ratio.size, dtype=np.float64),),
        tolerances={"xatol": _ROOT_SHARE, "xrtol": 0.0, "fatol": 0.0, "frtol": 0.0},
    )
    return np.where(np.isfinite(found.x), found.x, one_ratio)
