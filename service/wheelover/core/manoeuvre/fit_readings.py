"""What is read off runs: the moment of a heading, the peaks of a zig-zag, the steady turn."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.manoeuvre.fit_columns import (
    AHEAD,
    CUBIC,
    DRIFT_GAIN,
    GAIN,
    HEADING,
    LOSS,
    RACE,
    RATE,
    RECOVERY,
    SPEED,
    STARBOARD,
    Runs,
    hermite,
    share_at,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """A moment of each column, shape (m,): lengths, and speed over that of the approach.

    Nan where it did not come.
    """

    time_lengths: Floats
    heading_rad: Floats
    ahead_lengths: Floats
    starboard_lengths: Floats
    speed_ratio: Floats


def moment_of_heading(runs: Runs, heading_rad: float) -> Moment:
    """Return when the heading is first reached, turning to starboard."""
    beyond = runs.state[:, HEADING] >= heading_rad
    row = np.argmax(beyond, axis=0)
    came = beyond.any(axis=0) & (row > 0)
    row = np.maximum(row, 1) - 1
    low, low_slope, high, high_slope, by = _ends(runs, row)
    share = share_at(
        np.where(came, low[HEADING] - heading_rad, -1.0),
        low_slope[HEADING] * by,
        np.where(came, high[HEADING] - heading_rad, 1.0),
        high_slope[HEADING] * by,
    )
    return _moment(runs, row, np.where(came, share, np.nan))


def moment_of_order(runs: Runs, order: int) -> Moment:
    """Return when an opposite order was given, counted from 0."""
    row = runs.order_index[order]
    return _moment(runs, np.maximum(row, 1) - 1, np.where(row > 0, 1.0, np.nan))


def moment_of_peak(runs: Runs, order: int) -> Moment:
    """Return when the heading was farthest out after an opposite order."""
    row = runs.peak_index[order]
    came = row >= 0
    row = np.maximum(row, 0)
    low, low_slope, high, high_slope, by = _ends(runs, row)
    share = share_at(
        np.where(came, low[RATE], -1.0),
        low_slope[RATE] * by,
        np.where(came, high[RATE], 1.0),
        high_slope[RATE] * by,
    )
    return _moment(runs, row, np.where(came, share, np.nan))


def steady_turn(ships: Table, rudder_rad: Floats) -> tuple[Floats, Floats]:
    """Return r' and the speed over that of the approach of the turn that a rudder ends in.

    Notes
    -----
    ``K' rudder (U0/U)^q = r' + a' r'^3`` with ``U/U0 = 1 / sqrt(1 + (cr/ku) r'^2)``, the balance of
    the model; Newton's method on its logarithm.
    """
    ratio = ships[LOSS] / ships[RECOVERY]
    helm = np.log(ships[GAIN] * rudder_rad)
    log = np.log(np.minimum(ships[GAIN] * rudder_rad, 0.3))
    for _ in range(60):
        square = np.exp(2.0 * log)
        off = (
            helm
            + 0.5 * ships[RACE] * np.log1p(ratio * square)
            - log
            - np.log1p(ships[CUBIC] * square)
        )
        slope = (
            ships[RACE] * ratio * square / (1.0 + ratio * square)
            - 1.0
            - 2.0 * ships[CUBIC] * square / (1.0 + ships[CUBIC] * square)
        )
        move = np.clip(off / np.minimum(slope, -0.2), -0.5, 0.5)
        log = log - move
        if np.max(np.abs(move), initial=0.0) < 1e-12:
            break
    turning = np.exp(log)
    return turning, 1.0 / np.sqrt(1.0 + ratio * turning**2)


def final_diameter_lengths(
    ships: Table, rudder_rad: Floats, ahead_of_midships_lengths: float
) -> Floats:
    """Return the diameter of the last circle that a point of the ship makes."""
    turning, _ = steady_turn(ships, rudder_rad)
    drift = ships[DRIFT_GAIN] * turning
    radius = 1.0 / turning
    aside, ahead = radius * np.cos(drift), radius * np.sin(drift) - ahead_of_midships_lengths
    return np.asarray(2.0 * np.hypot(ahead, aside))


def _ends(runs: Runs, row_index: Ints) -> tuple[Table, Table, Table, Table, Floats]:
    """Return state and slope at both ends of one step of each column, and its length."""
    column = np.arange(row_index.size)
    after = np.minimum(row_index + 1, runs.state.shape[0] - 1)
    return (
        runs.state[row_index, :, column].T,
        runs.slope[row_index, :, column].T,
        runs.state[after, :, column].T,
        runs.slope[after, :, column].T,
        runs.time_lengths[after, column] - runs.time_lengths[row_index, column],
    )


def _moment(runs: Runs, row_index: Ints, share_ratio: Floats) -> Moment:
    """Return the moment at a share of one step of each column."""
    low, low_slope, high, high_slope, by = _ends(runs, row_index)
    state = hermite(share_ratio, low, low_slope * by, high, high_slope * by)
    time = runs.time_lengths[row_index, np.arange(row_index.size)]
    return Moment(
        time_lengths=time + share_ratio * by,
        heading_rad=state[HEADING],
        ahead_lengths=state[AHEAD],
        starboard_lengths=state[STARBOARD],
        speed_ratio=state[SPEED],
    )
