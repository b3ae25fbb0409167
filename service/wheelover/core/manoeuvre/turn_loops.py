"""The search for the helm orders of a turn, for compiled loops.

Everything is in ship lengths and approach speeds (core/manoeuvre/series.py), of a turn to
starboard, and times count from when the rudder first moves; core/manoeuvre/ground_loops.py
carries both over to the ground.
"""

import math
from typing import Any

import numpy as np

from wheelover.core.arrays import Table
from wheelover.core.compiled import copy_over, inlined
from wheelover.core.manoeuvre.roots import BRACKET_COUNT, LOOK, ROOT, note_look, open_bracket
from wheelover.core.manoeuvre.sail_loops import (
    ANGLE,
    BOOK_COUNT,
    FOUND,
    MOST,
    MOST_TURN_STEPS,
    NO_CROSSING,
    NOT_FOUND,
    RUDDER_COUNT,
    RUN,
    RUNS,
    STATUS,
    go,
    piece,
    refuse,
    sail,
    send,
    too_long,
    turn_rudder,
)
from wheelover.core.manoeuvre.series import (
    AHEAD,
    HEADING,
    ORDER,
    RATE,
    SPEED,
    STARBOARD,
    STEP,
    moment,
    series_table,
    steady_state,
)

_table = inlined(series_table)
_steady = inlined(steady_state)

HELM, BACK, RUDDER_RATE, CHANGE, DELAY, TURN_COUNT = range(6)
"""Columns of a turn: rudder one way and the other, both above zero, how fast it runs (infinite when
it needs no time), the change of heading, and the delay of an order."""

COUNTER_AT, MIDSHIPS_AT, STEADY_AT, COUNTER, MIDSHIPS, STEADY = 0, 1, 2, 3, 6, 9
MOST_RATE, TOO_LONG_RUN, ANSWER_COUNT = 12, 13, 14
"""Columns of an answer: when the rudder is put over the other way, when back, and when she is
steady; heading and place, ahead and to starboard, when these two orders are given and when she is
steady; the largest rate; and the run that was too long, if one was."""

_NEAR = (1e-11, 1e-12)
_MARGIN_LENGTHS = 1e-9
_FIRST_ROOM = 16
_WHILE, _TAIL = range(2)


@inlined
def _rudder(turn: Table) -> Table:
    """Return the rudder amidships."""
    rudder = np.zeros(RUDDER_COUNT)
    rudder[RUNS] = turn[RUDDER_RATE]
    return rudder


@inlined
def _held_helm(ship: Table, turn: Table, book: Table) -> tuple[Table, Table, Table]:
    """Return the pieces of the helm held on until she has turned as far as wanted.

    That is what every look at another counter-helm begins from: their starts, their series, and in
    one place the latest moment at which counter-helm can be given.
    """
    state, rudder, table = _steady(), _rudder(turn), _table()
    send(rudder, turn[HELM])
    starts = np.zeros(_FIRST_ROOM + 1)
    way = np.empty((_FIRST_ROOM, SPEED + 1, ORDER + 1))
    latest = np.zeros(1)
    count = 0
    while state[HEADING] < turn[CHANGE] and book[STATUS] == FOUND:
        if count == way.shape[0]:
            longer, later = np.empty((2 * count, SPEED + 1, ORDER + 1)), np.zeros(2 * count + 1)
            copy_over(longer.reshape(longer.size), way.reshape(way.size))
            copy_over(later, starts)
            way, starts = longer, later
        by = piece(ship, state, rudder, False, table, book)
        go(table, state, rudder, by, False, book)
        for row in range(SPEED + 1):
            copy_over(way[count, row], table[row])
        starts[count + 1] = starts[count] + by
        if state[HEADING] >= turn[CHANGE]:
            by = _reached_lengths(table, by, turn[CHANGE])
        latest[0] = starts[count] + by + _MARGIN_LENGTHS
        if latest[0] > MOST_TURN_STEPS * ship[STEP]:
            refuse(book, NOT_FOUND)
        count += 1
    return starts[: count + 1], way[:count], latest


@inlined
def _reached_lengths(table: Table, by_lengths: float, change_rad: float) -> float:
    """Return when her heading has changed by so much within a piece at whose end it has."""
    bracket = np.empty(BRACKET_COUNT)
    short = (0.0, table[HEADING, 0] - change_rad)
    wanted = open_bracket(
        bracket, short, (by_lengths, moment(table, HEADING, by_lengths) - change_rad)
    )
    while wanted:
        beyond = moment(table, HEADING, bracket[LOOK]) - change_rad
        wanted = note_look(bracket, beyond, _NEAR)
    return float(bracket[ROOT])


@inlined
def _set_over(at_lengths: float, starts: Table, way: Table, turn: Table, state: Table,
              rudder: Table) -> None:  # fmt: skip
    """Set what she does after the helm has been over for so long."""
    low, high = 0, way.shape[0] - 1
    while low < high:
        middle = (low + high + 1) // 2
        if starts[middle] <= at_lengths:
            low = middle
        else:
            high = middle - 1
    for row in range(SPEED + 1):
        state[row] = moment(way[low], row, at_lengths - starts[low])
    rudder[ANGLE] = 0.0
    send(rudder, turn[HELM])
    turn_rudder(rudder, at_lengths)


@inlined
def _too_far(counter_lengths: float, held: tuple[Any, ...]) -> float:
    """Return how far beyond the wanted heading she is once steady, after so long a helm.

    ``found`` takes how long the counter-helm lasts until midships is ordered, and how long the
    rudder then runs.
    """
    ship, turn, starts, way, state, rudder, table, book, found = held[:9]
    _set_over(counter_lengths, starts, way, turn, state, rudder)
    send(rudder, -turn[BACK])
    done = 0.0
    holds = piece(ship, state, rudder, False, table, book)
    before = _left(0.0, held)
    found[_WHILE] = 0.0
    if before <= 0.0:
        # No helm at all: there is nothing to stop.
        return float(held[9][HEADING] - turn[CHANGE])
    bracket = np.empty(BRACKET_COUNT)
    while book[STATUS] == FOUND:
        after = _left(holds, held)
        if after <= 0.0:
            wanted = open_bracket(bracket, (0.0, before), (holds, after))
            while wanted:
                left = _left(bracket[LOOK], held)
                wanted = note_look(bracket, left, _NEAR)
            if found[_WHILE] != bracket[ROOT]:
                _left(bracket[ROOT], held)
            found[_WHILE] += done
            return float(held[9][HEADING] - turn[CHANGE])
        before = after
        done += holds
        go(table, state, rudder, holds, False, book)
        if not too_long(ship, done, book):
            holds = piece(ship, state, rudder, False, table, book)
    return math.nan


@inlined
def _left(while_lengths: float, held: tuple[Any, ...]) -> float:
    """Return the rate left when the rudder is amidships again, so long into a piece of the
    counter-helm.
    """
    ship, _, _, _, _, rudder, table, book, found, state, tail_rudder, tail_table = held
    for row in range(SPEED + 1):
        state[row] = moment(table, row, while_lengths)
    copy_over(tail_rudder, rudder)
    turn_rudder(tail_rudder, while_lengths)
    send(tail_rudder, 0.0)
    found[_WHILE] = while_lengths
    found[_TAIL] = abs(tail_rudder[ANGLE]) / tail_rudder[RUNS]
    sail(ship, state, tail_rudder, found[_TAIL], False, tail_table, book)
    return float(state[RATE]) if book[STATUS] == FOUND else math.nan


@inlined
def _write_place(answer: Table, first: int, state: Table) -> None:
    """Write heading and place of a moment into an answer."""
    answer[first] = state[HEADING]
    answer[first + 1] = state[AHEAD]
    answer[first + 2] = state[STARBOARD]


@inlined
def _write_answer(ship: Table, turn: Table, book: Table, answer: Table) -> None:
    """Run through the orders found once more, with drift and place, and write what is wanted."""
    state, rudder, table = _steady(), _rudder(turn), _table()
    given = (answer[COUNTER_AT] - turn[DELAY], answer[MIDSHIPS_AT] - turn[DELAY])
    now = 0.0
    for order in range(2):
        if given[order] <= 0.0:
            # Given before the rudder moves at all: she is still on her course.
            answer[COUNTER + 3 * order + 1] = given[order]
    for phase in range(3):
        send(rudder, turn[HELM] if phase == 0 else -turn[BACK] if phase == 1 else 0.0)
        end = answer[phase]
        for order in range(2):
            if now < given[order] <= end:
                sail(ship, state, rudder, given[order] - now, True, table, book)
                now = given[order]
                _write_place(answer, COUNTER + 3 * order, state)
        sail(ship, state, rudder, end - now, True, table, book)
        now = end
    _write_place(answer, STEADY, state)
    answer[MOST_RATE] = book[MOST]


@inlined
def solve_turn(ship: Table, turn: Table, answer: Table) -> int:
    """Find the orders of one turn, write them, and return why the search ended."""
    book = np.zeros(BOOK_COUNT)
    found = np.zeros(2)
    starts, way, latest = _held_helm(ship, turn, book)
    if book[STATUS] == FOUND:
        held = (
            ship, turn, starts, way, _steady(), _rudder(turn), _table(), book, found,
            _steady(), _rudder(turn), _table(),
        )  # fmt: skip
        bracket = np.empty(BRACKET_COUNT)
        # Without any helm she stays on her heading.
        short = (0.0, -turn[CHANGE])
        wanted = open_bracket(bracket, short, (latest[0], _too_far(latest[0], held)))
        look = latest[0]
        while wanted:
            look = bracket[LOOK]
            wanted = note_look(bracket, _too_far(look, held), _NEAR)
        counter = bracket[ROOT]
        if math.isnan(counter):
            refuse(book, NO_CROSSING)
        elif counter != look:
            _too_far(counter, held)
        answer[COUNTER_AT] = counter
        answer[MIDSHIPS_AT] = counter + found[_WHILE]
        answer[STEADY_AT] = answer[MIDSHIPS_AT] + found[_TAIL]
    if book[STATUS] == FOUND:
        _write_answer(ship, turn, book, answer)
    answer[TOO_LONG_RUN] = book[RUN]
    return int(book[STATUS])
