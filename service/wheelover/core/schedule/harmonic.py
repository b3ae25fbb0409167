"""Heights of tide from harmonic constants: at times, at high and low water, and between.

The constants are the user's, with Greenwich phase lags; astronomical arguments and the slow changes
of the moon's orbit come from utide. Weather is in none of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.errors import Fault, InvalidConditions
from wheelover.core.types.tide import Constituent, Harmonics

OTHER_NAMES = {
    "LAM2": "LDA2",
    "LAMBDA2": "LDA2",
    "M1": "NO1",
    "RHO": "RHO1",
    "2MK3": "MO3",
}
"""Names that publishers give to constituents of the same speed."""

_DAY_S = 86_400.0
_BLOCK_S = 7.0 * _DAY_S
"""Amplitudes follow the moon's orbit from week to week."""

_STEP_S = 600.0
_HALVINGS = 14
_ORDINAL_1970 = 719_163.0
_LEAST_LATITUDE_DEG = 5.0
_PERIHELION = 5
"""The library counts SA from the perihelion; tables of constants count it from the equinox."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waves:
    """The constituents of one week as they run: amplitude, speed, and phase at ``at_s``."""

    at_s: float
    mean_level_m: float
    amplitude_m: Floats
    speed_rad_per_s: Floats
    phase_rad: Floats


def heights_m(harmonics: Harmonics, at_s: ArrayLike) -> Floats:
    """Return heights of tide above chart datum.

    Parameters
    ----------
    harmonics : Harmonics
        The constants.
    at_s : array_like, shape (n,)
        Times, seconds since 1970 UTC.

    Notes
    -----
    Mean level and the sum of f H cos(V + u - g) [Schureman]_, with nodal corrections by satellites
    [Foreman1977]_ for the middle of the week. The steps from week to week are below 2 mm for a
    range of 10 m (tests/core/schedule/test_harmonic.py).
    """
    (when,) = columns(at_s)
    block = np.floor(when / _BLOCK_S)
    if when.size and block.min() == block.max():
        return _heights_of(_waves(harmonics, int(block[0])), when)
    found = np.empty_like(when)
    for one in np.unique(block):
        here = block == one
        found[here] = _heights_of(_waves(harmonics, int(one)), when[here])
    return found


def turns_of_tide(harmonics: Harmonics, from_s: float, to_s: float) -> tuple[Floats, Floats]:
    """Return when between two times the tide turns, and the heights of high and low water then.

    Parameters
    ----------
    harmonics : Harmonics
        The constants.
    from_s, to_s : float
        Seconds since 1970 UTC, in order.
    """
    days = range(int(from_s // _DAY_S), int(to_s // _DAY_S) + 1)
    times = np.concatenate([_turns_of_day(harmonics, day) for day in days])
    times = times[(times > from_s) & (times < to_s)]
    return times, heights_m(harmonics, times)


def require_known(constituents: Sequence[Constituent]) -> None:
    """Raise for a constituent that is not known by its name, or given twice.

    Raises
    ------
    InvalidConditions
        Its pointers count from the harmonics.
    """
    numbers = _numbers()
    faults = []
    seen: dict[int, str] = {}
    for index, one in enumerate(constituents):
        pointer = f"/constituents/{index}/name"
        number = numbers.get(_plain(one.name))
        if number is None:
            message = (
                f"{one.name[:40]!r} is no constituent known here; names are those of the trade, "
                "such as M2, S2, N2, K1, O1, MS4"
            )
            faults.append(Fault(pointer=pointer, message=message))
        elif number in seen:
            message = f"{one.name[:40]!r} is given twice (as {seen[number][:40]!r} too)"
            faults.append(Fault(pointer=pointer, message=message))
        else:
            seen[number] = one.name
    if faults:
        raise InvalidConditions(faults[0].message, tuple(faults))


def _plain(name: str) -> str:
    """Return a constituent's name as the library knows it."""
    upper = name.strip().upper()
    return OTHER_NAMES.get(upper, upper)


@lru_cache(maxsize=1)
def _numbers() -> dict[str, int]:
    """Return the number of each constituent that the library knows, the mean level left out."""
    from utide import constit_index_dict  # noqa: PLC0415  loads slowly, and few plans need it

    return {name: int(number) for name, number in constit_index_dict.items() if name != "Z0"}


@lru_cache(maxsize=256)
def _waves(harmonics: Harmonics, block: int) -> Waves:
    """Return the constituents of a week."""
    from utide.astronomy import ut_astron  # noqa: PLC0415  as above
    from utide.harmonics import FUV, linearized_freqs  # noqa: PLC0415

    numbers = _numbers()
    rows = np.array([numbers[_plain(one.name)] for one in harmonics.constituents])
    at_s = (block + 0.5) * _BLOCK_S
    day = np.array([_ORDINAL_1970 + at_s / _DAY_S])
    latitude_deg = harmonics.lat_deg
    if abs(latitude_deg) < _LEAST_LATITUDE_DEG:
        # Its formula divides by the sine; so near the equator the library takes 5 degrees too.
        latitude_deg = -_LEAST_LATITUDE_DEG if latitude_deg < 0.0 else _LEAST_LATITUDE_DEG
    factor, nodal, argument = FUV(day, day, rows, latitude_deg, [False] * 4)
    per_hour = np.asarray(linearized_freqs(day), dtype=np.float64)[rows]
    places, paces = ut_astron(day)
    annual = rows == numbers["SA"]
    argument = argument + annual * places[_PERIHELION]
    per_hour = per_hour + annual * paces[_PERIHELION] / 24.0
    amplitude_m = np.array([one.amplitude_m for one in harmonics.constituents])
    lag_rad = np.radians([one.phase_deg for one in harmonics.constituents])
    return Waves(
        at_s=at_s,
        mean_level_m=harmonics.mean_level_m,
        amplitude_m=amplitude_m * np.asarray(factor[0], dtype=np.float64),
        speed_rad_per_s=2.0 * np.pi * per_hour / 3600.0,
        phase_rad=2.0 * np.pi * np.asarray(nodal[0] + argument[0], dtype=np.float64) - lag_rad,
    )


def _angles(waves: Waves, at_s: Floats) -> Floats:
    """Return where each constituent is in its period, a row for each time."""
    return np.asarray(waves.phase_rad + (at_s - waves.at_s)[:, None] * waves.speed_rad_per_s)


def _heights_of(waves: Waves, at_s: Floats) -> Floats:
    """Return heights of one week."""
    return np.asarray(waves.mean_level_m + np.cos(_angles(waves, at_s)) @ waves.amplitude_m)


def _slopes_of(waves: Waves, at_s: Floats) -> Floats:
    """Return how fast the tide falls, metres per second."""
    return np.asarray(np.sin(_angles(waves, at_s)) @ (waves.amplitude_m * waves.speed_rad_per_s))


@lru_cache(maxsize=1024)
def _turns_of_day(harmonics: Harmonics, day: int) -> Floats:
    """Return when the tide turns on a day since 1970."""
    waves = _waves(harmonics, int(day * _DAY_S // _BLOCK_S))
    grid = day * _DAY_S + np.arange(0.0, _DAY_S + 1.0, _STEP_S)
    falling = _slopes_of(waves, grid) > 0.0
    row = np.flatnonzero(falling[1:] != falling[:-1])
    low, high, first = grid[row], grid[row + 1], falling[row]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        before = (_slopes_of(waves, middle) > 0.0) == first
        low, high = np.where(before, middle, low), np.where(before, high, middle)
    found = (low + high) / 2.0
    found.flags.writeable = False
    return found
