"""Heights of tide between those of a table, their least and greatest, and when they are enough.

Between two heights the tide only rises or only falls, along half a cosine or a straight line.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.types.tide import Tide


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
        The table.
    at_s : array_like, shape (n,)
        Times, seconds since 1970 UTC.

    Returns
    -------
    ndarray, shape (n,)
        nan before the first height of the table and after its last.

    Notes
    -----
    Half a cosine between high and low water is the common rule of the trade [TideCosine]_; it holds
    where the tide rises and falls evenly, and only between high and low waters.
    """
    (when,) = columns(at_s)
    times, given = _table(tide)
    known = (when >= times[0]) & (when <= times[-1])
    row = np.clip(np.searchsorted(times, when, side="right") - 1, 0, len(times) - 2)
    part = (np.clip(when, times[0], times[-1]) - times[row]) / (times[row + 1] - times[row])
    if tide.between == "cosine":
        part = (1.0 - np.cos(np.pi * part)) / 2.0
    found = given[row] + (given[row + 1] - given[row]) * part
    return np.asarray(np.where(known, found, np.nan))


def extremes(tide: Tide, from_s: float, to_s: float) -> Extremes | None:
    """Return the least and greatest height in a time; None where the table does not cover it.

    Parameters
    ----------
    tide : Tide
        The table.
    from_s, to_s : float
        Seconds since 1970 UTC, in order.
    """
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


def times_of_at_least(tide: Tide, needed_m: float) -> tuple[tuple[float, float], ...]:
    """Return when within its table the tide is at least so high, from and to each time.

    Parameters
    ----------
    tide : Tide
        The table.
    needed_m : float
        Height above chart datum.

    Returns
    -------
    tuple of (float, float)
        Seconds since 1970 UTC, in order; the table's ends bound the first and the last.
    """
    times, given = _table(tide)
    first, then = given[:-1], given[1:]
    part = np.divide(needed_m - first, then - first, out=np.zeros_like(first), where=then != first)
    part = np.clip(part, 0.0, 1.0)
    if tide.between == "cosine":
        part = np.arccos(1.0 - 2.0 * part) / np.pi
    rises = then > first
    # Where both ends are high enough the part at which it becomes so is none or all of it.
    start = times[:-1] + np.where(rises, part, 0.0) * np.diff(times)
    end = times[:-1] + np.where(rises | (then == first), 1.0, part) * np.diff(times)
    spans: list[tuple[float, float]] = []
    for row in np.flatnonzero(np.maximum(first, then) >= needed_m).tolist():
        if spans and start[row] <= spans[-1][1]:
            spans[-1] = (spans[-1][0], float(end[row]))
        else:
            spans.append((float(start[row]), float(end[row])))
    return tuple(spans)


def _table(tide: Tide) -> tuple[Floats, Floats]:
    """Return the times and heights of a table in columns."""
    rows = np.array([(one.at_s, one.height_m) for one in tide.heights], dtype=np.float64)
    return rows[:, 0], rows[:, 1]
