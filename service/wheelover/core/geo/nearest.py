"""Places on short curves in space: nearest to a given place, or where something changes sign."""

from collections.abc import Callable

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, Table

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

    Notes
    -----
    Bisection, or inverse quadratic steps where Chandrupatla's test says that they can be trusted
    [Chandrupatla1997]_; each curve is looked at until its own bracket is closed.
    """
    found = np.array(one_ratio, dtype=np.float64)
    rows = np.arange(found.size)
    one, two = np.minimum(one_ratio, other_ratio), np.maximum(one_ratio, other_ratio)
    bracket = np.stack([one, of(one, rows), two, of(two, rows), one, one])
    first = True
    while True:
        open_ = _still_open(bracket, rows, found)
        bracket, rows = bracket[:, open_], rows[open_]
        if not rows.size:
            return found
        share = np.full(rows.size, 0.5) if first else _next_share(bracket)
        first = False
        looked = bracket[0] + share * (bracket[2] - bracket[0])
        value = of(looked, rows)
        same = np.sign(value) == np.sign(bracket[1])
        x1, f1, x2, f2 = bracket[:4]
        bracket = np.stack([
            looked, value,
            np.where(same, x2, x1), np.where(same, f2, f1),
            np.where(same, x1, x2), np.where(same, f1, f2),
        ])  # fmt: skip


def _still_open(bracket: Table, rows: Ints, found_ratio: Floats) -> Bools:
    """Return which brackets are to be looked at again, and note what is found in the others."""
    x1, f1, x2, f2 = bracket[:4]
    nearer = np.abs(f1) < np.abs(f2)
    best, least = np.where(nearer, x1, x2), np.where(nearer, f1, f2)
    there = least == 0.0
    lost = ~there & ((np.sign(f1) == np.sign(f2)) | np.isnan(f1) & np.isnan(f2))
    closed = (np.abs(x2 - x1) < _ROOT_SHARE) & ~lost
    done = there | closed
    found_ratio[rows[done]] = best[done]
    return np.asarray(~(done | lost))


def _next_share(bracket: Table) -> Floats:
    """Return how far from the last look towards the other end of the bracket to look next."""
    x1, f1, x2, f2, x3, f3 = bracket
    across = (x1 - x2) / (x3 - x2)
    with np.errstate(divide="ignore", invalid="ignore"):
        up = (f1 - f2) / (f3 - f2)
    ahead = (x3 - x1) / (x2 - x1)
    bent = ((1 - np.sqrt(1 - across)) < up) & (up < np.sqrt(across))
    share = np.full(x1.size, 0.5)
    f1, f2, f3 = f1[bent], f2[bent], f3[bent]
    share[bent] = f1 / (f1 - f2) * f3 / (f3 - f2) - ahead[bent] * f1 / (f3 - f1) * f2 / (f2 - f3)
    least = 0.5 * _ROOT_SHARE / np.abs(x2 - x1)
    return np.clip(share, least, 1 - least)
