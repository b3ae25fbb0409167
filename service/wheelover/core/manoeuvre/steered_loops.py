"""Turns steered by rate or by radius, for compiled loops: a controller that looks at what she does.

Everything is in ship lengths and approach speeds, of a turn to starboard, and times count from
when the rudder first moves. The steering leads a wanted rate up to what is ordered, and down again,
with a time of one length sailed. At every moment the rudder is sent to where the model says that
her rate will follow the wanted one: more while she gathers rate, and the other way to check her.
What a steering learns of a lasting error, and adds, is nothing where the model is the ship.
"""

import math

import numpy as np

from wheelover.core.arrays import Ints, Table
from wheelover.core.compiled import compiled, inlined
from wheelover.core.manoeuvre.roots import BRACKET_COUNT, LOOK, ROOT, note_look, open_bracket
from wheelover.core.manoeuvre.series import (
    AHEAD,
    CUBIC,
    DRIFT,
    DRIFT_LAG,
    DRIFTING,
    GAIN,
    HEADING,
    LAG,
    LOSS,
    RACE,
    RATE,
    RECOVERY,
    SPEED,
    STARBOARD,
    STATE_COUNT,
)

RUDDER, WANTED = STATE_COUNT, STATE_COUNT + 1
MOMENT_COUNT = STATE_COUNT + 2
"""Places of a moment: those of a state, the rudder, and the rate that is wanted just now."""

ORDERED, BY_RADIUS, MOST_RUDDER, RUDDER_RUNS, CHANGE_RAD, STEERED_COUNT = range(6)
"""Columns of what is ordered: the rate, or one over the radius (in lengths) where BY_RADIUS is not
zero; the largest rudder and how fast it runs; and the change of heading."""

EASED_AT, STEADY_AT, STEADY = 0, 1, 2
LARGEST_RATE = STEADY + MOMENT_COUNT
LARGEST_RUDDER, STEERED_ANSWER_COUNT = LARGEST_RATE + 1, LARGEST_RATE + 2
"""Columns of an answer: when the order to steady acts, when she is steady, the moment then, and the
largest rate and rudder on the way."""

STEERED, NOT_TURNED, NOT_CHECKED = range(3)
"""Why a search ended: found; she does not come round; she cannot be steadied with this rudder."""

STEP = 0.04
WAY_ROWS = 5001
CLOSING = 1.0
"""Time in lengths in which the wanted rate closes in on what is ordered, to a third."""

FOLLOWING = 0.5
"""The same for her rate behind the wanted one."""

_GEAR = 0.05
_TAIL_STEPS = 150
TAIL_ROWS = _TAIL_STEPS + 1
_LEFT = 0.03
_NEAR = (1e-13, 1e-14)


@inlined
def _slopes(ship: Table, order: Table, moment: Table, eased: bool, whole: bool, out: Table) -> None:
    """Put how fast everything changes into ``out``; nothing is ordered any more after easing.

    Drift and place, on which nothing else hangs, are left as they are unless ``whole``.
    """
    speed, rate = moment[SPEED], moment[RATE]
    aim = 0.0
    if not eased:
        aim = order[ORDERED] * (speed if order[BY_RADIUS] != 0.0 else 1.0)
    leads = (aim - moment[WANTED]) / CLOSING
    out[WANTED] = leads
    push = ship[GAIN] * speed ** (2.0 - ship[RACE])
    held = speed * rate + ship[CUBIC] * rate * rate * rate / speed
    grows = leads + (moment[WANTED] - rate) / FOLLOWING
    goal = (ship[LAG] * grows + held) / push
    goal = min(max(goal, -order[MOST_RUDDER]), order[MOST_RUDDER])
    run = (goal - moment[RUDDER]) / _GEAR
    out[RUDDER] = min(max(run, -order[RUDDER_RUNS]), order[RUDDER_RUNS])
    out[HEADING] = rate
    out[RATE] = (push * moment[RUDDER] - held) / ship[LAG]
    out[SPEED] = ship[RECOVERY] * (1.0 - speed * speed) - ship[LOSS] * rate * rate
    if whole:
        _place_slopes(ship, moment, out)


@inlined
def _place_slopes(ship: Table, moment: Table, out: Table) -> None:
    """Put how fast drift and place change into ``out``."""
    speed, rate, drift = moment[SPEED], moment[RATE], moment[DRIFTING]
    out[DRIFTING] = 0.0
    if ship[DRIFT_LAG] > 0.0:
        out[DRIFTING] = (ship[DRIFT] * rate - speed * drift) / ship[DRIFT_LAG]
    else:
        drift = ship[DRIFT] * rate / speed
    way = moment[HEADING] - drift
    out[AHEAD] = speed * math.cos(way)
    out[STARBOARD] = speed * math.sin(way)


@inlined
def _step(
    ship: Table, order: Table, moment: Table, eased: bool, whole: bool, by_lengths: float,
    work: Table,
) -> None:  # fmt: skip
    """Move a moment on by one step of the classical method of fourth order."""
    _slopes(ship, order, moment, eased, whole, work[0])
    for stage in range(1, 4):
        share = by_lengths if stage == 3 else 0.5 * by_lengths
        for place in range(MOMENT_COUNT):
            work[4, place] = moment[place] + share * work[stage - 1, place]
        _slopes(ship, order, work[4], eased, whole, work[stage])
    for place in range(MOMENT_COUNT):
        moment[place] += (
            by_lengths
            / 6.0
            * (work[0, place] + 2.0 * (work[1, place] + work[2, place]) + work[3, place])
        )


@inlined
def _held(ship: Table, order: Table, way: Table, work: Table) -> int:
    """Run under the order until she has turned as far as wanted; return how many steps that is."""
    moment = np.zeros(MOMENT_COUNT)
    moment[SPEED] = 1.0
    count = 0
    for place in range(MOMENT_COUNT):
        way[0, place] = moment[place]
    while moment[HEADING] < order[CHANGE_RAD]:
        if count == way.shape[0] - 1 or not moment[SPEED] > 0.0:
            return -1
        _step(ship, order, moment, False, True, STEP, work)
        count += 1
        for place in range(MOMENT_COUNT):
            way[count, place] = moment[place]
    return count


@inlined
def _eased(
    ship: Table, order: Table, way: Table, ease_at_lengths: float, whole: bool, moment: Table,
    tail: Table, work: Table,
) -> float:  # fmt: skip
    """Run on from where she is eased until steady, and return by how far she turned too much.

    The search needs no more than that; ``whole`` writes the tail with drift and place as well.
    """
    step = min(int(ease_at_lengths / STEP), way.shape[0] - 1)
    for place in range(MOMENT_COUNT):
        moment[place] = way[step, place]
    if ease_at_lengths > step * STEP:
        _step(ship, order, moment, False, whole, ease_at_lengths - step * STEP, work)
    for count in range(_TAIL_STEPS + 1):
        if count > 0:
            _step(ship, order, moment, True, whole, STEP, work)
        if whole:
            for place in range(MOMENT_COUNT):
                tail[count, place] = moment[place]
    # What is left of the rate dies away as the controller has it.
    return float(moment[HEADING] + moment[RATE] * CLOSING - order[CHANGE_RAD])


@inlined
def _ease_at(
    ship: Table, order: Table, way: Table, latest_lengths: float, moment: Table, tail: Table,
    work: Table,
) -> float:  # fmt: skip
    """Return when to ease so that she turns as far as wanted, nan where no moment is found."""
    bracket = np.empty(BRACKET_COUNT)
    # Eased before she has begun she stays on her heading.
    short = (0.0, -order[CHANGE_RAD])
    above = _eased(ship, order, way, latest_lengths, False, moment, tail, work)
    wanted = open_bracket(bracket, short, (latest_lengths, above))
    while wanted:
        beyond = _eased(ship, order, way, bracket[LOOK], False, moment, tail, work)
        wanted = note_look(bracket, beyond, _NEAR)
    return float(bracket[ROOT])


@inlined
def steer_turn(ship: Table, order: Table, way: Table, tail: Table, answer: Table) -> int:
    """Find when to ease, write the answer, and return why the search ended."""
    work = np.zeros((5, MOMENT_COUNT))
    moment = np.zeros(MOMENT_COUNT)
    count = _held(ship, order, way, work)
    if count < 1:
        return NOT_TURNED
    at = _ease_at(ship, order, way, count * STEP, moment, tail, work)
    if math.isnan(at):
        return NOT_TURNED
    _eased(ship, order, way, at, True, moment, tail, work)
    if not (abs(moment[RATE]) <= _LEFT * tail[0, RATE] and moment[SPEED] > 0.0):
        return NOT_CHECKED
    answer[EASED_AT] = at
    answer[STEADY_AT] = at + _TAIL_STEPS * STEP
    for place in range(MOMENT_COUNT):
        answer[STEADY + place] = moment[place]
    for row in range(min(int(at / STEP) + 1, count + 1)):
        answer[LARGEST_RATE] = max(answer[LARGEST_RATE], way[row, RATE])
        answer[LARGEST_RUDDER] = max(answer[LARGEST_RUDDER], abs(way[row, RUDDER]))
    for row in range(_TAIL_STEPS + 1):
        answer[LARGEST_RATE] = max(answer[LARGEST_RATE], tail[row, RATE])
        answer[LARGEST_RUDDER] = max(answer[LARGEST_RUDDER], abs(tail[row, RUDDER]))
    return STEERED


@compiled("int64[::1](float64[:,::1],float64[:,::1],float64[:,::1],float64[:,::1],float64[:,::1])")
def steered_loop(ships: Table, orders: Table, answers: Table, way: Table, tail: Table) -> Ints:
    """Return why the search for each row ended, (n,).

    Of ships, (n, SHIP_COUNT), and orders, (n, STEERED_COUNT), each row fills one of the answers,
    (n, STEERED_ANSWER_COUNT), which come in as zeros. ``way``, (WAY_ROWS, MOMENT_COUNT), and
    ``tail``, (TAIL_ROWS, MOMENT_COUNT), are left with the moments of the last row, a step apart:
    under the order, and from where it was eased.
    """
    statuses = np.empty(ships.shape[0], np.int64)
    for row in range(ships.shape[0]):
        statuses[row] = steer_turn(ships[row], orders[row], way, tail, answers[row])
    return statuses
