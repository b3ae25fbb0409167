"""The swing of floating marks about their moorings, where nobody states how sure their place is.

Common practice of the trade, not a rule: a chain is about three times as long as the water is deep,
so that a mark may lie that far from its charted place; where the depth is not known 50 m are taken.
"""

from dataclasses import replace
from weakref import WeakKeyDictionary

import numpy as np

from wheelover.core.arrays import Bools
from wheelover.core.types.chart import Hazards

CHAIN_DEPTHS_COUNT = 3.0
UNKNOWN_DEPTH_SWING_M = 50.0

_FLOATING = ("buoy", "buoys", "light float", "light vessel", "lightship")

_SWUNG: WeakKeyDictionary[Hazards, Hazards] = WeakKeyDictionary()
_STILL: WeakKeyDictionary[Hazards, bool] = WeakKeyDictionary()


def is_floating(kind: str | None) -> bool:
    """Return whether a danger's kind, as a person wrote it, is that of a floating mark.

    Examples
    --------
    >>> is_floating("Lateral buoy"), is_floating("light_float"), is_floating("beacon")
    (True, True, False)
    """
    if kind is None:
        return False
    words = " ".join(kind.lower().replace("_", " ").split())
    return any(words == one or words.endswith(f" {one}") for one in _FLOATING)


def swing_m(depth_m: float) -> float:
    """Return how far a floating mark may lie from its charted place, metres.

    Parameters
    ----------
    depth_m : float
        Depth of water at its place; nan, or nothing at all, where it is not known.

    Examples
    --------
    >>> swing_m(20.0), swing_m(float("nan"))
    (60.0, 50.0)
    """
    return CHAIN_DEPTHS_COUNT * depth_m if depth_m > 0.0 else UNKNOWN_DEPTH_SWING_M


def with_swing(hazards: Hazards) -> Hazards:
    """Return dangers with the swing of floating marks as the uncertainty that nobody stated.

    The same dangers give the same answer, so that what is kept with them stays good.

    Parameters
    ----------
    hazards : Hazards
        The dangers. Where an uncertainty was given it stays.
    """
    if hazards in _STILL:
        return hazards
    known = _SWUNG.get(hazards)
    if known is None:
        swings = _swinging(hazards)
        if not bool(np.any(swings)):
            _STILL[hazards] = True
            return hazards
        uncertainty_m = hazards.position_uncertainty_m.copy()
        for row in np.flatnonzero(swings).tolist():
            uncertainty_m[row] = swing_m(float(hazards.depth_m[row]))
        known = replace(hazards, position_uncertainty_m=uncertainty_m)
        _SWUNG[hazards] = known
        _STILL[known] = True
    return known


def assumed(hazards: Hazards) -> Bools:
    """Return by danger whether a swing was assumed for it, shape (n,)."""
    return np.asarray(~hazards.uncertainty_given & (hazards.position_uncertainty_m > 0.0))


def _swinging(hazards: Hazards) -> Bools:
    """Return which dangers are floating marks of no stated uncertainty."""
    floating = {kind for kind in set(hazards.kinds) if is_floating(kind)}
    if not floating:
        return np.zeros(hazards.count, dtype=np.bool_)
    is_one = np.array([kind in floating for kind in hazards.kinds], dtype=np.bool_)
    return np.asarray(is_one & ~hazards.uncertainty_given)
