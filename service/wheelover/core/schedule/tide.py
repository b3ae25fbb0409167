"""Heights of tide, their least and greatest in a time, and when they are enough.

Between two heights of a table the tide only rises or only falls, along half a cosine or a straight
line. Of harmonic constants the heights are computed, and those of high and low water are the table.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.schedule import harmonic
from wheelover.core.types.tide import Harmonics, Tide

AROUND_S = 90_000.0
"""Windows of a tide from harmonic constants are looked for so long before and after a passing."""

_HALVINGS = 10
"""Half a tide halved so often is half a minute, in which the height changes evenly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Extremes:
    """The least and the greatest height of tide in a time, and when each stands."""

    least_m: float
    least_at_s: float
    greatest_m: float
    greatest_at_s: float


def heights_m(tide: Tide, at_s: ArrayLike) -> Floats:
    """Return the height of tide at times, in metres above chart datum.

    Parameters
    ----------
    tide : Tide
        The table, or the harmonic constants.
    at_s : array_like, shape (n,)
        Times, seconds since 1970 UTC.

    Returns
    -------
    ndarray, shape (n,)
        nan before the first height of a table and after its last.

    Notes
    -----
    Half a cosine between high and low water is the common rule of the trade [TideCosine]_; it holds
    where the tide rises and falls evenly, and only between high and low waters.
    """
    (when,) = columns(at_s)
    if tide.harmonics is not None:
        return harmonic.heights_m(tide.harmonics, when)
    times, given = _table(tide)
    known = (when >= times[0]) & (when <= times[-1])
    row = np.clip(np.searchsorted(times, when, side="right") - 1, 0, len(times) - 2)
    part = (np.clip(when, times[0], times[-1]) - times[row]) / (times[row + 1] - times[row])
    if tide.between == "cosine":
        part = (1.0 - np.cos(np.pi * part)) / 2.0
    found = given[row] + (given[row + 1] - given[row]) * part
    return np.asarray(np.where(known, found, np.nan))


def extremes(tide: Tide, from_s: float, to_s: float) -> Extremes | None:
    """Return the least and greatest height in a time; None where a table does not cover it.

    Parameters
    ----------
    tide : Tide
        The table, or the harmonic constants.
    from_s, to_s : float
        Seconds since 1970 UTC, in order.
    """
    if tide.harmonics is not None:
        inside, _ = harmonic.turns_of_tide(tide.harmonics, from_s, to_s)
    else:
        times, _ = _table(tide)
        inside = times[(times > from_s) & (times < to_s)]
    when = np.concatenate([[from_s], inside, [to_s]])
    found = heights_m(tide, when)
    if bool(np.isnan(found).any()):
        return None
    low, high = int(np.argmin(found)), int(np.argmax(found))
    return Extremes(
        least_m=float(found[low]),
        least_at_s=float(when[low]),
        greatest_m=float(found[high]),
        greatest_at_s=float(when[high]),
    )


def times_of_at_least(
    tide: Tide, needed_m: float, passing: tuple[float, float] | None = None
) -> tuple[tuple[float, float], ...] | None:
    """Return when the tide is at least so high, from and to each time.

    Parameters
    ----------
    tide : Tide
        The table, or the harmonic constants.
    needed_m : float
        Height above chart datum.
    passing : tuple of (float, float) or None
        From when to when she passes. A table is looked through from end to end; a tide from
        harmonic constants, which has none, from 25 h before to 25 h after.

    Returns
    -------
    tuple of (float, float) or None
        Seconds since 1970 UTC, in order; the ends of what is looked through bound the first and
        the last. None for harmonic constants where it is not known when she passes.
    """
    if tide.harmonics is not None:
        if passing is None:
            return None
        times, given = _around(tide.harmonics, passing)
        return _spans(times, given, needed_m, _harmonic_part(tide.harmonics, times, needed_m))
    times, given = _table(tide)
    first, then = given[:-1], given[1:]
    part = np.divide(needed_m - first, then - first, out=np.zeros_like(first), where=then != first)
    part = np.clip(part, 0.0, 1.0)
    if tide.between == "cosine":
        part = np.arccos(1.0 - 2.0 * part) / np.pi
    return _spans(times, given, needed_m, part)


def _spans(
    times_s: Floats, given_m: Floats, needed_m: float, part_ratio: Floats
) -> tuple[tuple[float, float], ...]:
    """Return when it is high enough, from where between two turns it becomes or ceases to be so."""
    first, then = given_m[:-1], given_m[1:]
    rises = then > first
    # Where both ends are high enough the part at which it becomes so is none or all of it.
    start = times_s[:-1] + np.where(rises, part_ratio, 0.0) * np.diff(times_s)
    end = times_s[:-1] + np.where(rises | (then == first), 1.0, part_ratio) * np.diff(times_s)
    spans: list[tuple[float, float]] = []
    for row in np.flatnonzero(np.maximum(first, then) >= needed_m).tolist():
        if spans and start[row] <= spans[-1][1]:
            spans[-1] = (spans[-1][0], float(end[row]))
        else:
            spans.append((float(start[row]), float(end[row])))
    return tuple(spans)


def _around(harmonics: Harmonics, passing: tuple[float, float]) -> tuple[Floats, Floats]:
    """Return high and low waters around a passing, between the ends of what is looked through."""
    from_s, to_s = passing[0] - AROUND_S, passing[1] + AROUND_S
    times, _ = harmonic.turns_of_tide(harmonics, from_s, to_s)
    times = np.concatenate([[from_s], times, [to_s]])
    return times, harmonic.heights_m(harmonics, times)


def _harmonic_part(harmonics: Harmonics, times_s: Floats, needed_m: float) -> Floats:
    """Return at which part between each two turns of the tide a height is passed, by halving.

    All of it where a rising tide stays below or a falling one above, none of it the other way.
    """
    given = harmonic.heights_m(harmonics, times_s)
    rises = given[1:] > given[:-1]
    low, high = times_s[:-1], times_s[1:]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        before = (harmonic.heights_m(harmonics, middle) < needed_m) == rises
        low, high = np.where(before, middle, low), np.where(before, high, middle)
    ends_m = harmonic.heights_m(harmonics, np.concatenate([low, high])).reshape(2, -1)
    over_m = ends_m[1] - ends_m[0]
    part = np.divide(needed_m - ends_m[0], over_m, out=np.zeros_like(low), where=over_m != 0.0)
    found = low + np.clip(part, 0.0, 1.0) * (high - low)
    return np.asarray((found - times_s[:-1]) / np.diff(times_s))


def _table(tide: Tide) -> tuple[Floats, Floats]:
    """Return the times and heights of a table in columns."""
    rows = np.array([(one.at_s, one.height_m) for one in tide.heights], dtype=np.float64)
    return rows[:, 0], rows[:, 1]
