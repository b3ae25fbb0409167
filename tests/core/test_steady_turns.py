"""Many turns at once, the search itself, and the orders beside an independent integration."""

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from tests import zoo
from tests.bench.helm_orders import CASES, apart, ours, peer
from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import steady_turn, steady_turns
from wheelover.core.manoeuvre.model import ship_columns, ship_model
from wheelover.core.manoeuvre.roots import BRACKET_COUNT, LOOK, ROOT, note_look, open_bracket
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.types.manoeuvre import Current, HelmOrder, SteadyTurn, SteadyTurns

FULL = zoo.QUICK_RESPONSE
MODELS = [ship_model(FULL, 200.0, speed) for speed in (8.0, 12.0, 15.0, 18.0)]
CHANGES_DEG = np.array([40.0, -75.0, 120.0, 10.0])


@pytest.mark.parametrize("name", CASES)
def test_orders_beside_an_integration_of_scipy(name: str) -> None:
    """DOP853 at 1e-12 and nested bracketed roots of scipy, the equations written out once more."""
    off_m, off_s = apart(ours(name), peer(name, "DOP853", 1e-12).solve())
    assert off_m < 1e-6
    assert off_s < 1e-6


def _row(turns: SteadyTurns, row: int) -> list[float]:
    orders = np.stack(
        [turns.at_s[row], turns.rudder_deg[row], turns.heading_deg[row], turns.east_m[row],
         turns.north_m[row]], axis=1
    )  # fmt: skip
    ends = (turns.steady_at_s, turns.distance_to_new_course_m, turns.rate_max_deg_per_min)
    return [*orders.ravel(), *(float(one[row]) for one in ends)]


def _plain(turn: SteadyTurn) -> list[float]:
    orders = [value for one in turn.orders for value in astuple(one)[1:]]
    return [*orders, turn.steady_at_s, turn.distance_to_new_course_m, turn.rate_max_deg_per_min]


def _many(rows: slice = slice(None)) -> SteadyTurns:
    return steady_turns(
        ship_columns(MODELS[rows]), 20.0, (20.0 + CHANGES_DEG[rows]) % 360.0, 15.0,
        counter_rudder_deg=20.0, rudder_rate_deg_per_s=2.33, helm_delay_s=4.0,
        set_deg=30.0, drift_m_per_s=np.array([0.0, 0.5, 1.0, 1.5])[rows],
    )  # fmt: skip


def test_many_at_once_are_each_as_alone_to_the_last_digit() -> None:
    turns = _many()
    assert turns.found.all()
    assert turns.refused == {}
    for row, model in enumerate(MODELS):
        alone = steady_turn(
            model, 20.0, float((20.0 + CHANGES_DEG[row]) % 360.0), 15.0,
            counter_rudder_deg=20.0, rudder_rate_deg_per_s=2.33, helm_delay_s=4.0,
            current=Current(set_deg=30.0, drift_m_per_s=0.5 * row),
        )  # fmt: skip
        assert _row(turns, row) == _plain(alone)
        assert turns.heading_in_deg[row] == alone.heading_in_deg


def test_threads_give_the_same() -> None:
    with ThreadPoolExecutor(2) as pool:
        halves = list(pool.map(_many, (slice(0, 2), slice(2, 4))))
    together = _many()
    for row in range(4):
        assert _row(halves[row // 2], row % 2) == _row(together, row)


@pytest.mark.parametrize("name", ["gain_ratio", "lag_ratio", "cubic_ratio", "speed_loss"])
def test_a_column_of_responses_belongs_to_its_rows(name: str) -> None:
    one = ship_columns(MODELS[1:2])
    spread = getattr(one, name) * np.array([0.9, 1.0, 1.1])
    turns = steady_turns(replace(one, **{name: spread}), 0.0, 60.0, 15.0)
    for row in range(3):
        alone = steady_turn(replace(MODELS[1], **{name: float(spread[row])}), 0.0, 60.0, 15.0)
        assert _row(turns, row) == _plain(alone)
    distances = turns.distance_to_new_course_m
    assert (np.diff(distances) > 0.01).all() or (np.diff(distances) < -0.01).all()


def test_a_turn_without_orders_says_why_and_leaves_the_others() -> None:
    stay = replace(MODELS[1], gain_ratio=0.01, speed_loss=0.0)
    blind = replace(MODELS[1], lag_ratio=math.nan)
    ships = ship_columns([MODELS[1], MODELS[1], MODELS[1], MODELS[1], stay, blind])
    turns = steady_turns(
        ships, 0.0, [60.0, 180.0, 60.0, 60.0, 179.0, 60.0], [15.0, 15.0, 15.0, 0.0, 1.0, 15.0],
        rudder_rate_deg_per_s=[2.33, 2.33, 2.33, 2.33, 1e-6, 2.33],
        set_deg=90.0, drift_m_per_s=[0.0, 0.0, 20.0, 0.0, 0.0, 0.0],
    )  # fmt: skip
    assert turns.found.tolist() == [True, False, False, False, False, False]
    assert "along one line" in turns.refused[1]
    assert "cannot be made good" in turns.refused[2]
    assert "no such orders were found" in turns.refused[3]
    assert "too long" in turns.refused[4] or "no such orders" in turns.refused[4]
    assert "not finite" in turns.refused[5]
    for row in range(1, 6):
        assert np.isnan(_row(turns, row)).all()


def test_numbers_that_run_away_are_said() -> None:
    """Nothing drives her on and the turn takes her way: her speed comes to nothing."""
    response = replace(FULL, speed_recovery=0.0, speed_loss=40.0, alpha_s2=0.0)
    model = ship_model(response, 200.0, 12.0)
    with pytest.raises(OutOfDomain, match="speed comes to nothing"):
        steady_turn(model, 0.0, 170.0, 35.0)
    with pytest.raises(OutOfDomain, match="speed comes to nothing"):
        run_orders(model, (HelmOrder(rudder_deg=35.0, at_s=0.0),), [0.0, 3000.0], heading_deg=0.0)


def test_a_rate_that_grows_without_bound_is_said() -> None:
    """A cubic term that drives the turn on instead of stopping it has a pole in time."""
    model = replace(ship_model(FULL, 200.0, 12.0), cubic_ratio=-10.0, speed_loss=0.0)
    with pytest.raises(OutOfDomain, match="without bound"):
        run_orders(model, (HelmOrder(rudder_deg=35.0, at_s=0.0),), [0.0, 3000.0], heading_deg=0.0)


def test_a_rudder_too_slow_for_a_quick_ship_is_too_long_a_run() -> None:
    model = ship_model(replace(FULL, t_s=0.02, k_per_s=0.05), 200.0, 15.0)
    with pytest.raises(OutOfDomain, match=r"too long|no such orders"):
        steady_turn(model, 0.0, 90.0, 15.0, rudder_rate_deg_per_s=0.001)


def _root(function, low: float, high: float) -> float:  # type: ignore[no-untyped-def]
    bracket = np.zeros(BRACKET_COUNT)
    wanted = open_bracket.py_func(bracket, (low, function(low)), (high, function(high)))
    while wanted:
        wanted = note_look.py_func(bracket, function(bracket[LOOK]), (1e-12, 0.0))
    return float(bracket[ROOT])


@given(at=st.floats(-3.0, 3.0), power=st.sampled_from([1, 3, 5]), steep=st.floats(0.1, 50.0))
def test_roots_are_those_of_scipy(at: float, power: int, steep: float) -> None:
    def function(place: float) -> float:
        return math.expm1(steep * (place - at) / 10.0) + (place - at) ** power

    wanted = brentq(function, -4.0, 5.0, xtol=1e-13)
    assert _root(function, -4.0, 5.0) == pytest.approx(wanted, abs=1e-11)
    assert _root(lambda place: -function(place), -4.0, 5.0) == pytest.approx(wanted, abs=1e-11)


def test_a_bracket_without_a_crossing_has_no_root() -> None:
    assert math.isnan(_root(lambda place: place * place + 1.0, -1.0, 1.0))
    assert math.isnan(_root(lambda place: math.nan if place > 0.1 else -1.0, -1.0, 1.0))
    assert math.isnan(_root(lambda place: math.nan if abs(place) < 0.9 else place, -1.0, 1.0))
    assert _root(lambda place: place, 0.0, 1.0) == 0.0
