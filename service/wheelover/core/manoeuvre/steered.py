"""Turns steered by rate or by radius: an order held by the steering, and one to steady her."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Bools, Floats, Ints, Table
from wheelover.core.geo.angles import normal_course_deg, signed_change_deg
from wheelover.core.manoeuvre.model import ShipColumns, ship_values
from wheelover.core.manoeuvre.series import (
    AHEAD,
    HEADING,
    RATE,
    SHIP_COUNT,
    SPEED,
    STARBOARD,
)
from wheelover.core.manoeuvre.steered_loops import (
    EASED_AT,
    LARGEST_RATE,
    LARGEST_RUDDER,
    MOMENT_COUNT,
    NOT_CHECKED,
    RUDDER,
    STEADY,
    STEADY_AT,
    STEERED,
    STEERED_ANSWER_COUNT,
    STEERED_COUNT,
    STEP,
    TAIL_ROWS,
    WAY_ROWS,
    steered_loop,
)
from wheelover.core.types.manoeuvre import Motion

Held = Literal["rate", "radius"]

LEAST_CHANGE_DEG = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class SteeredTurns:
    """Turns steered by an order, in columns of shape (n,); places as in ``SteadyTurns``.

    ``eased_at_s`` is when the order to steady on the new heading is given.
    ``refused`` says by row why there is no turn; such a row is not ``found`` and holds nan.
    ``motion`` is that of the last row, None where it was not found.
    """

    found: Bools
    refused: dict[int, str]
    heading_in_deg: Floats
    heading_out_deg: Floats
    eased_at_s: Floats
    steady_at_s: Floats
    distance_to_new_course_m: Floats
    rate_max_deg_per_min: Floats
    rudder_max_deg: Floats
    motion: Motion | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """What is asked over the ground, in columns of shape (n,)."""

    length_m: Floats
    speed_m_per_s: Floats
    course_in_deg: Floats
    course_out_deg: Floats
    heading_in_deg: Floats
    heading_out_deg: Floats
    change_deg: Floats
    delay_s: Floats
    set_deg: Floats
    drift_m_per_s: Floats

    @property
    def side(self) -> Floats:
        """Return one for a turn to starboard, minus one to port."""
        return np.copysign(1.0, self.change_deg)

    @property
    def length_s(self) -> Floats:
        """Return the time in which she sails her length."""
        return self.length_m / self.speed_m_per_s


def steered_turns(
    ships: ShipColumns,
    course_in_deg: ArrayLike,
    course_out_deg: ArrayLike,
    *,
    steering: Held,
    ordered: ArrayLike,
    most_rudder_deg: ArrayLike,
    rudder_rate_deg_per_s: ArrayLike,
    helm_delay_s: ArrayLike = 0.0,
    set_deg: ArrayLike = 0.0,
    drift_m_per_s: ArrayLike = 0.0,
) -> SteeredTurns:
    """Return turns in which the steering holds a rate of turn, or a radius through the water.

    Parameters
    ----------
    ships : ShipColumns
        Columns of shape (n,) or (1,).
    course_in_deg, course_out_deg, most_rudder_deg, rudder_rate_deg_per_s, helm_delay_s, set_deg, \
drift_m_per_s : array_like
        Numbers or shape (n,): courses over the ground, the largest rudder the steering uses and how
        fast it runs, the delay of an order, and the current.
    steering : {"rate", "radius"}
        What is held.
    ordered : array_like
        The rate in degrees per minute, or the radius in metres; above zero.

    Notes
    -----
    The steering leads a wanted rate up to what is ordered within a length sailed, and sends the
    rudder to where the model says that her rate follows it [Steered]_. It is an ordinary controller
    and not that of any ship. The rate is checked in the same way;
    she counts as steady six lengths' time after the order, when under 3 per cent of the rate is
    left. Fixed steps of fourth order [Hairer]_; error of the distance below 0.5 m beside an
    integration with a tolerance of 1e-10 (tests/core/test_steered.py).
    """
    columns = np.broadcast_arrays(
        *ship_values(ships),
        *(course_in_deg, course_out_deg, ordered, most_rudder_deg, rudder_rate_deg_per_s),
        *(helm_delay_s, set_deg, drift_m_per_s),
    )
    values = [np.asarray(one, dtype=np.float64).reshape(-1) for one in columns]
    count = len(ship_values(ships))
    rest = values[count:]
    ground = _ground(values[0], values[1], rest)
    loops = _loop_rows(values[2:count], ground, steering, rest)
    answers = np.zeros((ground.length_m.size, STEERED_ANSWER_COUNT))
    way, tail = np.zeros((WAY_ROWS, MOMENT_COUNT)), np.zeros((TAIL_ROWS, MOMENT_COUNT))
    statuses = steered_loop(*loops, answers, way, tail)
    refused = _refused(ground, statuses)
    found = np.array([row not in refused for row in range(statuses.size)], dtype=np.bool_)
    answers[~found] = np.nan
    motion = _motion(ground, answers[-1], way, tail) if found.size and found[-1] else None
    return _turns(ground, answers, found, refused, motion)


def _ground(length_m: Floats, speed_m_per_s: Floats, rest: list[Floats]) -> _Ground:
    """Return what is asked over the ground; headings are nan where no course is made good."""
    course_in, course_out, _, _, _, delay_s, set_deg, drift = rest
    heading_in = _heading_deg(course_in, speed_m_per_s, set_deg, drift)
    heading_out = _heading_deg(course_out, speed_m_per_s, set_deg, drift)
    crab_in = signed_change_deg(course_in, heading_in)
    crab_out = signed_change_deg(course_out, heading_out)
    return _Ground(
        length_m=length_m,
        speed_m_per_s=speed_m_per_s,
        course_in_deg=course_in,
        course_out_deg=course_out,
        heading_in_deg=heading_in,
        heading_out_deg=heading_out,
        # The change of heading is that of the course, and what the crab angles differ by.
        change_deg=signed_change_deg(course_in, course_out) + crab_out - crab_in,
        delay_s=delay_s,
        set_deg=set_deg,
        drift_m_per_s=drift,
    )


def _heading_deg(
    course_deg: Floats, speed_m_per_s: Floats, set_deg: Floats, drift_m_per_s: Floats
) -> Floats:
    """Return headings that make good courses, nan where none does."""
    angle_rad = np.radians(set_deg - course_deg)
    across, along = drift_m_per_s * np.sin(angle_rad), drift_m_per_s * np.cos(angle_rad)
    held = np.abs(across) < speed_m_per_s
    share = np.where(held, across / speed_m_per_s, 0.0)
    ahead = np.where(held, np.sqrt(np.maximum(speed_m_per_s**2 - across**2, 0.0)) + along, 0.0)
    heading = normal_course_deg(course_deg - np.degrees(np.arcsin(share)))
    return np.where(ahead > 0.0, heading, np.nan)


def _loop_rows(
    ship: list[Floats], ground: _Ground, steering: Held, rest: list[Floats]
) -> tuple[Table, Table]:
    """Return ships and orders as the loops take them: in lengths and approach speeds."""
    _, _, ordered, most_rudder, rudder_rate, *_ = rest
    length_s = ground.length_s
    ships = np.stack(ship, axis=1)
    ships[:, -1] /= length_s
    if steering == "rate":
        rate = np.radians(ordered) / 60.0 * length_s
    else:
        rate = ground.length_m / ordered
    orders = np.zeros((length_s.size, STEERED_COUNT))
    change_rad = np.radians(np.abs(ground.change_deg))
    orders[:] = np.stack(
        [
            rate,
            np.full(length_s.size, 1.0 if steering == "radius" else 0.0),
            np.radians(most_rudder),
            np.radians(rudder_rate) * length_s,
            # A turn that cannot be asked for is none: nothing is run.
            np.where(np.isfinite(change_rad), change_rad, 0.0),
        ],
        axis=1,
    )
    return np.ascontiguousarray(ships[:, :SHIP_COUNT]), orders


def _refused(ground: _Ground, statuses: Ints) -> dict[int, str]:
    """Return by row why there is no turn."""
    refused: dict[int, str] = {}
    for row, status in enumerate(statuses.tolist()):
        if not math.isfinite(ground.change_deg[row]):
            refused[row] = "the courses cannot be made good in this current"
        elif abs(ground.change_deg[row]) < LEAST_CHANGE_DEG:
            refused[row] = "the heading does not change: the current alone makes the new course"
        elif abs(math.sin(math.radians(_course_change_deg(ground, row)))) < 1e-8:
            refused[row] = "the courses lie along one line, on which no distance exists"
        elif status == NOT_CHECKED:
            refused[row] = "with the rudder allowed she cannot be steadied on the new heading"
        elif status != STEERED:
            refused[row] = "with the rudder allowed she does not come round to the new heading"
    return refused


def _course_change_deg(ground: _Ground, row: int) -> float:
    """Return the change of course of a row."""
    return float(ground.course_out_deg[row] - ground.course_in_deg[row])


def _over_ground_m(
    ground: _Ground, ahead_lengths: Floats, starboard_lengths: Floats, at_s: Floats
) -> tuple[Floats, Floats]:
    """Return east and north, at times after the order, of places in the water in lengths."""
    ahead_m = ahead_lengths * ground.length_m + ground.speed_m_per_s * ground.delay_s
    starboard_m = ground.side * starboard_lengths * ground.length_m
    heading_rad, set_rad = np.radians(ground.heading_in_deg), np.radians(ground.set_deg)
    sine, cosine = np.sin(heading_rad), np.cos(heading_rad)
    carried_m = ground.drift_m_per_s * at_s
    return (
        ahead_m * sine + starboard_m * cosine + carried_m * np.sin(set_rad),
        ahead_m * cosine - starboard_m * sine + carried_m * np.cos(set_rad),
    )


def _turns(
    ground: _Ground, answers: Table, found: Bools, refused: dict[int, str], motion: Motion | None
) -> SteeredTurns:
    """Return the answers of the loops over the ground."""
    length_s = ground.length_s
    steady_s = answers[:, STEADY_AT] * length_s + ground.delay_s
    east, north = _over_ground_m(
        ground, answers[:, STEADY + AHEAD], answers[:, STEADY + STARBOARD], steady_s
    )
    course_rad = np.radians(ground.course_in_deg)
    change_rad = np.radians(ground.course_out_deg - ground.course_in_deg)
    along_m = east * np.sin(course_rad) + north * np.cos(course_rad)
    across_m = east * np.cos(course_rad) - north * np.sin(course_rad)
    with np.errstate(invalid="ignore", divide="ignore"):
        distance_m = along_m - across_m / np.tan(change_rad)
    return SteeredTurns(
        found=found,
        refused=refused,
        heading_in_deg=ground.heading_in_deg,
        heading_out_deg=ground.heading_out_deg,
        # The steering acts a delay after the order, as it did on the first one.
        eased_at_s=answers[:, EASED_AT] * length_s,
        steady_at_s=steady_s,
        distance_to_new_course_m=np.where(found, distance_m, np.nan),
        rate_max_deg_per_min=np.degrees(answers[:, LARGEST_RATE]) / length_s * 60.0,
        rudder_max_deg=np.degrees(answers[:, LARGEST_RUDDER]),
        motion=motion,
    )


def _motion(ground: _Ground, answer: Table, way: Table, tail: Table) -> Motion:
    """Return the motion of the last row, a row a step, from the order until she is steady."""
    held = int(answer[EASED_AT] / STEP) + 1
    moments = np.concatenate([way[:held], tail])
    at = np.concatenate([np.arange(held) * STEP, answer[EASED_AT] + np.arange(TAIL_ROWS) * STEP])
    last = _Ground(**{name: getattr(ground, name)[-1:] for name in _Ground.__slots__})
    length_s, delay_s = float(last.length_s[0]), float(last.delay_s[0])
    times_s = at * length_s + delay_s
    if delay_s > 0.0:
        # Until the controller acts she goes on as she was.
        start = np.zeros((1, MOMENT_COUNT))
        start[0, SPEED], start[0, AHEAD] = 1.0, -delay_s / length_s
        moments, times_s = np.concatenate([start, moments]), np.append(0.0, times_s)
    east, north = _over_ground_m(last, moments[:, AHEAD], moments[:, STARBOARD], times_s)
    side = float(last.side[0])
    return Motion(
        time_s=times_s,
        east_m=east,
        north_m=north,
        heading_deg=normal_course_deg(last.heading_in_deg + side * np.degrees(moments[:, HEADING])),
        rate_deg_per_min=side * np.degrees(moments[:, RATE]) / length_s * 60.0,
        speed_m_per_s=moments[:, SPEED] * last.speed_m_per_s,
        rudder_deg=side * np.degrees(moments[:, RUDDER]),
    )
