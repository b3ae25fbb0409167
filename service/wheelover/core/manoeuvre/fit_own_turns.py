"""Recorded turns: what a response does under the same rudder, beside what was recorded.

A recorded place is one over the ground. A uniform current moves it evenly in time, so what is left
after the best such movement is taken away is compared; nothing else of the current is known.
"""

import math
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Table
from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.fit_columns import (
    AHEAD,
    HEADING,
    SPEED,
    STARBOARD,
    slopes,
    start,
    step,
    step_lengths,
)
from wheelover.core.types.trials import OwnTurn
from wheelover.core.units import m_per_s_from_kn

_HEADING_DEG, _PLACE_LENGTHS = 1.5, 0.08
"""How far a response may be off a recorded turn where it fits [Weights]_."""

_INDEPENDENT_COUNT = 6
"""Rows of a record err together; all of a turn count as so many."""

_LONGEST_LENGTHS = 40.0
_STEP_SHARE = 1.0
_LEAST_SPEED_RATIO = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTurns:
    """Recorded turns, the ship's length, and the point that was recorded, ahead of midships."""

    length_m: float
    ahead_m: float
    turns: tuple[OwnTurn, ...] = ()


@dataclass(frozen=True, slots=True)
class _Record:
    """A turn in columns: lengths at the approach speed, changes of heading and rudder in rad."""

    time_lengths: Floats
    heading_rad: Floats
    rudder_rad: Floats
    ahead_lengths: Floats
    starboard_lengths: Floats


def require_turns(turns: tuple[OwnTurn, ...], length_m: float) -> None:
    """Raise for a record that is more than a turn.

    Raises
    ------
    OutOfDomain
        When she sails more than 40 lengths in it at her approach speed.
    """
    for turn in turns:
        took_s = turn.rows[-1].time_s - turn.rows[0].time_s
        sailed_lengths = took_s * m_per_s_from_kn(turn.speed_kn) / length_m
        if sailed_lengths > _LONGEST_LENGTHS:
            raise OutOfDomain(
                f"recorded turn {turn.name!r} is of {sailed_lengths:.0f} ship lengths; cut it to "
                f"the turn itself, at most {_LONGEST_LENGTHS:g}"
            )


def own_turn_residuals(own: OwnTurns, ships: Table) -> Table:
    """Return residuals over their scatter, shape (n, m), of responses of shape (8, m)."""
    rows = [_residuals(own, turn, ships) for turn in own.turns]
    return np.vstack(rows) if rows else np.empty((0, ships.shape[1]))


def largest_miss(own: OwnTurns, turn: OwnTurn, ships: Table) -> tuple[Floats, Floats]:
    """Return the largest misses of responses in a recorded turn, each of shape (m,).

    Of heading, in degrees; and of place, in lengths, after the current is taken away: nan where no
    places were recorded.
    """
    record = _record(own, turn)
    heading, place = _misses(own, record, ships)
    # A record without a single place has none to miss.
    far = (
        np.max(np.hypot(*place), axis=0)
        if np.isfinite(place).all()
        else np.full(ships.shape[1], math.nan)
    )
    return np.max(np.abs(np.degrees(heading)), axis=0), far


def _residuals(own: OwnTurns, turn: OwnTurn, ships: Table) -> Table:
    """Return the residuals of one turn."""
    record = _record(own, turn)
    heading, place = _misses(own, record, ships)
    often = math.sqrt(max(len(turn.rows), 1) / _INDEPENDENT_COUNT)
    rows = [np.degrees(heading) / (_HEADING_DEG * often)]
    if np.isfinite(record.ahead_lengths).all():
        rows += [one / (_PLACE_LENGTHS * often) for one in place]
    return np.vstack(rows)


def _misses(own: OwnTurns, record: _Record, ships: Table) -> tuple[Table, Table]:
    """Return the misses of heading (k, m) and of place (2, k, m), current taken away."""
    states = _run(record, ships)
    heading = states[:, HEADING] - record.heading_rad[:, None]
    ahead_lengths = own.ahead_m / own.length_m
    turned = states[:, HEADING]
    place = np.array(
        [
            states[:, AHEAD] + ahead_lengths * (np.cos(turned) - 1.0),
            states[:, STARBOARD] + ahead_lengths * np.sin(turned),
        ]
    )
    place -= np.array([record.ahead_lengths, record.starboard_lengths])[:, :, None]
    time = record.time_lengths - record.time_lengths[0]
    evenly = np.einsum("k,ckm->cm", time, place) / max(float(time @ time), 1e-12)
    return heading, place - evenly[:, None, :] * time[None, :, None]


def _record(own: OwnTurns, turn: OwnTurn) -> _Record:
    """Return a recorded turn in lengths, along and across her first heading."""
    rows = turn.rows
    length_s = own.length_m / m_per_s_from_kn(turn.speed_kn)
    heading = np.unwrap(np.radians([row.heading_deg for row in rows]))
    east = np.array([math.nan if row.east_m is None else row.east_m for row in rows])
    north = np.array([math.nan if row.north_m is None else row.north_m for row in rows])
    east, north = (east - east[0]) / own.length_m, (north - north[0]) / own.length_m
    first = heading[0]
    return _Record(
        time_lengths=np.array([row.time_s for row in rows]) / length_s,
        heading_rad=heading - first,
        rudder_rad=np.radians([row.rudder_deg for row in rows]),
        ahead_lengths=east * math.sin(first) + north * math.cos(first),
        starboard_lengths=east * math.cos(first) - north * math.sin(first),
    )


def _run(record: _Record, ships: Table) -> Table:
    """Return the states at the times of a record, shape (k, 6, m), under its rudder."""
    state = start(ships.shape[1])
    states = [state]
    most = np.full(ships.shape[1], max(float(np.max(np.abs(record.rudder_rad))), 0.02))
    each = float(np.min(step_lengths(ships, most, _STEP_SHARE)))
    by = np.diff(record.time_lengths)
    run = np.diff(record.rudder_rad) / by
    for number, whole in enumerate(by):
        count = max(1, math.ceil(whole / each))
        for part in range(count):
            share = whole / count
            rudder = np.full(ships.shape[1], record.rudder_rad[number] + run[number] * share * part)
            first = slopes(ships, state, rudder)
            state = step(ships, state, first, rudder, run[number], share)
            state[SPEED] = np.maximum(state[SPEED], _LEAST_SPEED_RATIO)
        states.append(state)
    return np.array(states)
