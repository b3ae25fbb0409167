"""The sum of water under the keel for many pieces of track at once, and what is solved from it.

Every term is rounded to the centimetre in the cautious direction before it is added, so that the
sum that is printed is the sum that is judged.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.depth.cautious import down_m, up_m
from wheelover.core.depth.formulas import Running, greatest_m, squats_m
from wheelover.core.depth.heel import deeper_by_heel_m, heel_in_turn_deg

LEAST_WATER_M = 0.01
"""Where no water is left formulas of squat are asked for this much, and answer without bound."""

MOST_SPEED_KN = 60.0
_SPEEDS_PER_KN = 10
_HEIGHTS_PER_M = 100
_HIGHEST_TIDE_M = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Pieces of track in columns of shape (n,).

    ``survey_m``, ``wave_m`` and ``wind_m`` are taken off; zero stands where one is not known.
    ``draught_m`` is the deepest, with what the density adds. ``width_m`` is nan in open water,
    ``radius_m`` where there is no turn or her heel in it cannot be known.
    """

    depth_m: Floats
    survey_m: Floats
    draught_m: Floats
    wave_m: Floats
    wind_m: Floats
    block_ratio: Floats
    lpp_m: Floats
    beam_m: Floats
    width_m: Floats
    radius_m: Floats
    bg_m: Floats
    gm_m: Floats

    def rows(self, which: Ints) -> "Pieces":
        """Return the pieces of the given numbers."""
        return Pieces(**{name: getattr(self, name)[which] for name in self.__slots__})


def running(pieces: Pieces, tide_m: Floats, speed_kn: Floats) -> Running:
    """Return the ship as she runs over each piece.

    Parameters
    ----------
    pieces : Pieces
        n pieces.
    tide_m, speed_kn : ndarray, shape (n,)
        Height of tide, and speed through the water.

    Notes
    -----
    The survey allowance is taken off the depth: the less water there is, the more she squats.
    """
    water_m = down_m(pieces.depth_m) + down_m(tide_m) - up_m(pieces.survey_m)
    return Running(
        block_ratio=pieces.block_ratio,
        lpp_m=pieces.lpp_m,
        beam_m=pieces.beam_m,
        draught_m=pieces.draught_m,
        depth_m=np.maximum(water_m, LEAST_WATER_M),
        width_m=pieces.width_m,
        speed_kn=speed_kn,
    )


def turn_heel_deg(pieces: Pieces, speed_kn: Floats) -> Floats:
    """Return the heel in each turn, zero where there is none.

    Parameters
    ----------
    pieces : Pieces
        n pieces.
    speed_kn : ndarray, shape (n,)
        Speed with which she comes into the turn.
    """
    turns = ~np.isnan(pieces.radius_m)
    found = heel_in_turn_deg(
        speed_kn,
        np.where(turns, pieces.radius_m, 1.0),
        np.where(turns, pieces.bg_m, 0.0),
        np.where(turns, pieces.gm_m, 1.0),
    )
    return np.asarray(np.where(turns, found, 0.0))


def static_ukc_m(pieces: Pieces, tide_m: Floats) -> Floats:
    """Return the clearance of the ship at rest: depth and tide, less draught.

    Parameters
    ----------
    pieces : Pieces
        n pieces.
    tide_m : ndarray, shape (n,)
        Height of tide.
    """
    return np.round(down_m(pieces.depth_m) + down_m(tide_m) - up_m(pieces.draught_m), 2)


def net_ukc_m(pieces: Pieces, tide_m: Floats, speed_kn: Floats) -> Floats:
    """Return what is left under the keel when every term that is known is taken off.

    Parameters
    ----------
    pieces : Pieces
        n pieces.
    tide_m, speed_kn : ndarray, shape (n,)
        Height of tide, and speed through the water.

    Returns
    -------
    ndarray, shape (n,)
        Metres; minus infinity at and above the critical speed, where no formula holds.
    """
    squat_m = up_m(greatest_m(squats_m(running(pieces, tide_m, speed_kn))))
    heel_m = up_m(deeper_by_heel_m(pieces.beam_m, turn_heel_deg(pieces, speed_kn)))
    off_m = squat_m + heel_m + up_m(pieces.survey_m) + up_m(pieces.wave_m) + up_m(pieces.wind_m)
    return np.round(static_ukc_m(pieces, tide_m) - off_m, 2)


def tide_needed_m(pieces: Pieces, speed_kn: Floats, required_m: Floats) -> Floats:
    """Return the least height of tide at which what is required is left, to the centimetre.

    Parameters
    ----------
    pieces : Pieces
        n pieces.
    speed_kn, required_m : ndarray, shape (n,)
        Speed through the water, and the clearance required.

    Returns
    -------
    ndarray, shape (n,)
        Metres above chart datum; nan where no tide looked at is high enough.
    """
    low = -(np.ceil(pieces.depth_m).astype(np.int64) + 1) * _HEIGHTS_PER_M
    high = np.full(low.shape, _HIGHEST_TIDE_M * _HEIGHTS_PER_M, dtype=np.int64)

    def enough(steps: Ints) -> Bools:
        return net_ukc_m(pieces, steps / _HEIGHTS_PER_M, speed_kn) >= required_m

    found = _first_that_holds(enough, low, high)
    return np.where(enough(high), found / _HEIGHTS_PER_M, np.nan)


def limiting_speed_kn(pieces: Pieces, tide_m: Floats, required_m: Floats) -> Floats:
    """Return the greatest speed at which what is required is left, to the tenth of a knot.

    Parameters
    ----------
    pieces : Pieces
        n pieces.
    tide_m, required_m : ndarray, shape (n,)
        Height of tide, and the clearance required.

    Returns
    -------
    ndarray, shape (n,)
        Knots through the water: nan where it is not left at rest, infinite where it is left at
        ``MOST_SPEED_KN``.
    """
    slow = np.zeros(tide_m.shape, dtype=np.int64)
    fast = np.full(tide_m.shape, round(MOST_SPEED_KN * _SPEEDS_PER_KN), dtype=np.int64)

    def too_fast(steps: Ints) -> Bools:
        return ~(net_ukc_m(pieces, tide_m, steps / _SPEEDS_PER_KN) >= required_m)

    first = _first_that_holds(too_fast, slow, fast)
    found = np.where(too_fast(fast), (first - 1) / _SPEEDS_PER_KN, np.inf)
    return np.where(too_fast(slow), np.nan, found)


def _first_that_holds(holds: Callable[[Ints], Bools], low: Ints, high: Ints) -> Ints:
    """Return the least whole number from which on something holds, at most ``high``."""
    low, high = low.copy(), high.copy()
    while bool((low < high).any()):
        middle = (low + high) // 2
        good = holds(middle)
        high = np.where(good, middle, high)
        low = np.where(good, low, np.minimum(middle + 1, high))
    return high
