"""The way of the ship as power series in time: compiled, in ship lengths and approach speeds.

Each piece of the way is a Taylor series about its start, whose coefficients follow from the
equations of core/manoeuvre/model.py by recurrence, one after the other [Moore1966]_. In lengths
(one unit of time is that in which she sails her length at the approach speed U0), with rate r in
radians per unit of time and speed u as a share of U0, they are::

    r' = [ K' rudder u^(2-q) - u r - a' r^3 / u ] / T'
    u' = ku (1 - u^2) - cr r^2
    b' = ( kb r - u b ) / Tb'      or, without a lag,  b = kb r / u
    heading' = r,  x' = u cos(heading - b),  y' = u sin(heading - b)

A piece is as long as its last coefficients say that it may be for an error wanted [Jorba2005]_,
and any moment within it costs one polynomial.
"""

import math

import numpy as np

from wheelover.core.arrays import Table
from wheelover.core.compiled import inlined

GAIN, LAG, CUBIC, RACE, RECOVERY, LOSS, DRIFT, DRIFT_LAG, STEP, SHIP_COUNT = range(10)
"""Columns of a ship: what ``ShipModel`` holds, in lengths; STEP is what runs are counted in."""

HEADING, RATE, SPEED, DRIFTING, AHEAD, STARBOARD, STATE_COUNT = range(7)
"""Rows of a series and places of a state."""

_POWER, _TURNING, _SQUARE, _CUBE, _WAY, _SINE, _COSINE, ROW_COUNT = range(7, 15)
ORDER = 12
"""Of 12, 16 and 20 terms none is clearly quicker; fewer are compiled sooner."""

_ERROR = 1e-9
"""Of one piece, in radians, lengths and shares of the speed. What it comes to over whole turns,
less than 1e-6 m and 1e-6 s, is measured in tests/core/test_steady_turns.py and tests/bench."""

_LEAST_PIECE_STEPS = 1e-6


def series_table() -> Table:
    """Return room for the series of one piece, shape (ROW_COUNT, ORDER + 1)."""
    return np.zeros((ROW_COUNT, ORDER + 1))


def steady_state() -> Table:
    """Return her steady on her course at the approach speed, shape (STATE_COUNT,)."""
    state = np.zeros(STATE_COUNT)
    state[SPEED] = 1.0
    return state


@inlined
def set_series(
    ship: Table, state: Table, rudder_rad: float, run_ratio: float, whole: bool, table: Table
) -> float:
    """Fill the series of a piece and return how long it holds, nan where the numbers run away.

    Parameters
    ----------
    ship : ndarray, shape (SHIP_COUNT,)
        The ship.
    state : ndarray, shape (STATE_COUNT,)
        What she does at the start of the piece.
    rudder_rad, run_ratio : float
        Rudder at the start of the piece, and radians that it runs in a unit of time.
    whole : bool
        With drift and place; without them the rows of these are left as they are.
    table : ndarray, shape (ROW_COUNT, ORDER + 1)
        Takes the coefficients.
    """
    table[HEADING, 0] = state[HEADING]
    table[RATE, 0] = state[RATE]
    table[SPEED, 0] = state[SPEED]
    table[_POWER, 0] = state[SPEED] ** (2.0 - ship[RACE])
    lag = ship[LAG]
    for n in range(ORDER):
        _products(ship, table, n, whole)
        helm = rudder_rad * table[_POWER, n]
        if n > 0:
            helm += run_ratio * table[_POWER, n - 1]
        slowing = 0.0
        kept = 0.0
        for k in range(n + 1):
            slowing += table[SPEED, k] * table[RATE, n - k]
            kept += table[SPEED, k] * table[SPEED, n - k]
        held = 1.0 if n == 0 else 0.0
        each = 1.0 / (n + 1)
        table[RATE, n + 1] = (
            (ship[GAIN] * helm - slowing - ship[CUBIC] * table[_CUBE, n]) / lag * each
        )
        table[SPEED, n + 1] = (
            ship[RECOVERY] * (held - kept) - ship[LOSS] * table[_SQUARE, n]
        ) * each
        table[HEADING, n + 1] = table[RATE, n] * each
        _set_power(ship, table, n + 1)
    if whole:
        _products(ship, table, ORDER, whole)
        _set_place(ship, state, table)
    return _holds(ship, table, STATE_COUNT if whole else DRIFTING)


@inlined
def _products(ship: Table, table: Table, n: int, whole: bool) -> None:
    """Set the coefficients of r^2 and, where they are needed, r / u and r^3 / u."""
    square = 0.0
    for k in range(n + 1):
        square += table[RATE, k] * table[RATE, n - k]
    table[_SQUARE, n] = square
    table[_CUBE, n] = 0.0
    if ship[CUBIC] != 0.0 or whole:
        turning = table[RATE, n]
        for k in range(1, n + 1):
            turning -= table[SPEED, k] * table[_TURNING, n - k]
        table[_TURNING, n] = turning / table[SPEED, 0]
    if ship[CUBIC] != 0.0:
        cube = 0.0
        for k in range(n + 1):
            cube += table[_SQUARE, k] * table[_TURNING, n - k]
        table[_CUBE, n] = cube


@inlined
def _set_power(ship: Table, table: Table, n: int) -> None:
    """Set a coefficient of u^(2-q) from those before it."""
    exponent = 2.0 - ship[RACE]
    total = 0.0
    for k in range(1, n + 1):
        total += (exponent * k - (n - k)) * table[SPEED, k] * table[_POWER, n - k]
    table[_POWER, n] = total / (n * table[SPEED, 0])


@inlined
def _set_place(ship: Table, state: Table, table: Table) -> None:
    """Set drift and place from heading, rate and speed."""
    lag = ship[DRIFT_LAG]
    table[DRIFTING, 0] = state[DRIFTING] if lag > 0.0 else ship[DRIFT] * table[_TURNING, 0]
    way_rad = state[HEADING] - table[DRIFTING, 0]
    table[_WAY, 0] = way_rad
    table[_SINE, 0] = math.sin(way_rad)
    table[_COSINE, 0] = math.cos(way_rad)
    table[AHEAD, 0] = state[AHEAD]
    table[STARBOARD, 0] = state[STARBOARD]
    for n in range(ORDER):
        drift = ahead = starboard = 0.0
        for k in range(n + 1):
            speed = table[SPEED, n - k]
            drift += speed * table[DRIFTING, k]
            ahead += speed * table[_COSINE, k]
            starboard += speed * table[_SINE, k]
        each = 1.0 / (n + 1)
        table[AHEAD, n + 1] = ahead * each
        table[STARBOARD, n + 1] = starboard * each
        if lag > 0.0:
            table[DRIFTING, n + 1] = (ship[DRIFT] * table[RATE, n] - drift) / lag * each
        else:
            table[DRIFTING, n + 1] = ship[DRIFT] * table[_TURNING, n + 1]
        table[_WAY, n + 1] = table[HEADING, n + 1] - table[DRIFTING, n + 1]
        sine = cosine = 0.0
        for k in range(1, n + 2):
            part = k * table[_WAY, k]
            sine += part * table[_COSINE, n + 1 - k]
            cosine -= part * table[_SINE, n + 1 - k]
        table[_SINE, n + 1] = sine * each
        table[_COSINE, n + 1] = cosine * each


@inlined
def _holds(ship: Table, table: Table, rows: int) -> float:
    """Return how long a piece may be: until its last two terms come to the error wanted."""
    last = before = 0.0
    for row in range(rows):
        if not math.isfinite(table[row, ORDER] + table[row, ORDER - 1]):
            return math.nan
        last = max(last, abs(table[row, ORDER]))
        before = max(before, abs(table[row, ORDER - 1]))
    piece = 1e9
    if last > 0.0:
        piece = (_ERROR / last) ** (1.0 / ORDER)
    if before > 0.0:
        piece = min(piece, (_ERROR / before) ** (1.0 / (ORDER - 1)))
    if not piece > _LEAST_PIECE_STEPS * ship[STEP]:
        return math.nan
    return piece


@inlined
def moment(table: Table, row: int, after_lengths: float) -> float:
    """Return one number of a piece at a moment within it."""
    found = table[row, ORDER]
    for n in range(ORDER - 1, -1, -1):
        found = found * after_lengths + table[row, n]
    return float(found)


@inlined
def slope(table: Table, row: int, after_lengths: float) -> float:
    """Return how fast one number of a piece changes at a moment within it."""
    found = ORDER * table[row, ORDER]
    for n in range(ORDER - 1, 0, -1):
        found = found * after_lengths + n * table[row, n]
    return float(found)
