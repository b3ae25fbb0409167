"""Going on under one rudder order after another, piece by piece, for compiled loops."""

import math

import numpy as np

from wheelover.core.arrays import Floats, Table
from wheelover.core.compiled import compiled, inlined
from wheelover.core.manoeuvre.roots import BRACKET_COUNT, LOOK, ROOT, note_look, open_bracket
from wheelover.core.manoeuvre.series import (
    HEADING,
    RATE,
    SPEED,
    STATE_COUNT,
    STEP,
    moment,
    set_series,
    slope,
)

FOUND, RUN_AWAY, NOT_FOUND, TOO_LONG, NO_CROSSING = range(5)
"""Why a search ended."""

MOST_STEPS = 100_000
"""A run of more steps than this is refused: she answers too quickly for so long a run."""

MOST_TURN_STEPS = 150_000
"""A turn whose orders are not found within so many steps, all looks together, is refused."""

ANGLE, TARGET, RUNS, RUDDER_COUNT = range(4)
"""Places of a rudder: where it is, where it was sent, and how fast it runs (infinite: at once)."""

SPENT, STATUS, RUN, MOST, BOOK_COUNT = range(5)
"""Places of the book of a search: pieces spent, why it ended, the run that was too long, and the
largest rate."""

_NEAR = (1e-12, 1e-12)
_LOOKS = 4
_HEADING_LOOKS = 16


@inlined
def refuse(book: Table, status: int) -> None:
    """Write down the first reason why the search ends."""
    if book[STATUS] == FOUND:
        book[STATUS] = status


@inlined
def piece(
    ship: Table, state: Table, rudder: Table, whole: bool, table: Table, book: Table
) -> float:
    """Set the series from a state on, and return how long it holds: not beyond the rudder's run."""
    run = 0.0
    left = math.inf
    if rudder[ANGLE] != rudder[TARGET]:
        run = math.copysign(rudder[RUNS], rudder[TARGET] - rudder[ANGLE])
        left = abs(rudder[TARGET] - rudder[ANGLE]) / rudder[RUNS]
    holds = set_series(ship, state, rudder[ANGLE], run, whole, table)
    book[SPENT] += 1.0
    if math.isnan(holds):
        refuse(book, RUN_AWAY)
    elif book[SPENT] > MOST_TURN_STEPS:
        refuse(book, NOT_FOUND)
    return min(holds, left)


@inlined
def send(rudder: Table, target_rad: float) -> None:
    """Send the rudder to an angle; it is there at once where it needs no time."""
    rudder[TARGET] = target_rad
    if rudder[RUNS] == math.inf:
        rudder[ANGLE] = target_rad


@inlined
def go(
    table: Table, state: Table, rudder: Table, by_lengths: float, whole: bool, book: Table
) -> None:
    """Move state and rudder to a moment within a piece."""
    for row in range(STATE_COUNT if whole else SPEED + 1):
        state[row] = moment(table, row, by_lengths)
    turn_rudder(rudder, by_lengths)
    if not (state[SPEED] > 0.0 and moment(table, SPEED, 0.5 * by_lengths) > 0.0):
        refuse(book, RUN_AWAY)


@inlined
def turn_rudder(rudder: Table, by_lengths: float) -> None:
    """Move the rudder on, not beyond where it was sent."""
    way = rudder[TARGET] - rudder[ANGLE]
    if way != 0.0:
        turned = rudder[RUNS] * by_lengths
        # Less than rounding is no way left: the next piece would have no length.
        if turned >= abs(way) * (1.0 - 1e-14):
            rudder[ANGLE] = rudder[TARGET]
        else:
            rudder[ANGLE] += math.copysign(turned, way)


@inlined
def too_long(ship: Table, while_lengths: float, book: Table) -> bool:
    """Return whether a while is of too many steps, and write it down."""
    if while_lengths < MOST_STEPS * ship[STEP]:
        return False
    if book[STATUS] == FOUND:
        book[RUN] = while_lengths
    refuse(book, TOO_LONG)
    return True


@inlined
def sail(
    ship: Table, state: Table, rudder: Table, while_lengths: float, whole: bool, table: Table,
    book: Table,
) -> None:  # fmt: skip
    """Go on for a while; of the whole state the largest rate on the way is kept as well."""
    if too_long(ship, while_lengths, book):
        return
    left = while_lengths
    while left > 0.0 and book[STATUS] == FOUND:
        by = min(piece(ship, state, rudder, whole, table, book), left)
        if whole:
            book[MOST] = max(book[MOST], _largest_rate(table, by))
        go(table, state, rudder, by, whole, book)
        left -= by


@inlined
def _largest_rate(table: Table, until_lengths: float) -> float:
    """Return the largest rate in a piece: at its ends, or where between them it stops to grow."""
    most = max(table[RATE, 0], moment(table, RATE, until_lengths))
    bracket = np.empty(BRACKET_COUNT)
    low = 0.0
    before = slope(table, RATE, low)
    for look in range(1, _LOOKS + 1):
        high = until_lengths * look / _LOOKS
        after = slope(table, RATE, high)
        if before > 0.0 > after:
            wanted = open_bracket(bracket, (low, before), (high, after))
            while wanted:
                grows = slope(table, RATE, bracket[LOOK])
                wanted = note_look(bracket, grows, _NEAR)
            most = max(most, moment(table, RATE, bracket[ROOT]))
        low, before = high, after
    return float(most)


@compiled("float64(float64[::1],float64[::1],float64,float64,float64[:,::1])")
def whole_piece(
    ship: Table, state: Table, rudder_rad: float, run_ratio: float, table: Table
) -> float:
    """Set the series from a state on with drift and place, and return how long it holds."""
    return set_series(ship, state, rudder_rad, run_ratio, True, table)


@compiled("float64[:,::1](float64[:,::1],float64[::1])")
def moments_loop(table: Table, after_lengths: Floats) -> Table:
    """Return the states at moments within a piece, shape (n, STATE_COUNT)."""
    states = np.empty((after_lengths.size, STATE_COUNT))
    for look in range(after_lengths.size):
        for row in range(STATE_COUNT):
            states[look, row] = moment(table, row, after_lengths[look])
    return states


@compiled("float64(float64[:,::1],float64,float64,float64)")
def heading_reached(
    table: Table, until_lengths: float, heading_rad: float, same_rad: float
) -> float:
    """Return when a heading is first reached within a piece, nan when it is not.

    A heading that she has at the start of the piece she has left, and has to come back to.
    """
    bracket = np.empty(BRACKET_COUNT)
    low = 0.0
    before = moment(table, HEADING, low) - heading_rad
    for look in range(1, _HEADING_LOOKS + 1):
        high = until_lengths * look / _HEADING_LOOKS
        after = moment(table, HEADING, high) - heading_rad
        if abs(before) > same_rad and before * after <= 0.0:
            wanted = open_bracket(bracket, (low, before), (high, after))
            while wanted:
                off = moment(table, HEADING, bracket[LOOK]) - heading_rad
                wanted = note_look(bracket, off, (0.0, 0.5 * same_rad))
            return float(bracket[ROOT])
        low, before = high, after
    return math.nan
