"""Turns steered by rate and by radius: beside an independent integration, and what must hold.

The controller's equations are written out a second time here and integrated by scipy's DOP853; it
is ours, so there is no published value for it.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests import zoo
from wheelover.core.manoeuvre.model import ShipModel, ship_columns, ship_model
from wheelover.core.manoeuvre.steered import Held, SteeredTurns, steered_turns

RESPONSE = zoo.RESPONSE
LENGTH_M = 200.0
MODEL = ship_model(RESPONSE, LENGTH_M, 12.0, 35.0)
CLOSING, FOLLOWING, GEAR, AFTER = 1.0, 0.5, 0.05, 6.0


def steered(change_deg: float, steering: Held, ordered: float, **more: Any) -> SteeredTurns:
    asked: dict[str, Any] = {"most_rudder_deg": 35.0, "rudder_rate_deg_per_s": 2.33, **more}
    course_in = asked.pop("course_in_deg", 30.0)
    return steered_turns(
        ship_columns([MODEL]),
        course_in,
        (course_in + change_deg) % 360.0,
        steering=steering,
        ordered=ordered,
        **asked,
    )


def _slopes(state: np.ndarray, aim: float, model: ShipModel) -> list[float]:
    """Return the controller and the ship, in lengths and approach speeds."""
    heading, rate, speed, drift, _, _, rudder, wanted = state
    leads = (aim - wanted) / CLOSING
    push = model.gain_ratio * speed ** (2.0 - model.race_exponent)
    held = speed * rate + model.cubic_ratio * rate**3 / speed
    goal = (model.lag_ratio * (leads + (wanted - rate) / FOLLOWING) + held) / push
    goal = max(-math.radians(35.0), min(math.radians(35.0), goal))
    runs = math.radians(2.33) * model.length_s
    return [
        rate,
        (push * rudder - held) / model.lag_ratio,
        model.speed_recovery * (1.0 - speed**2) - model.speed_loss * rate**2,
        (model.drift_lengths * rate - speed * drift) / model.drift_lag,
        speed * math.cos(heading - drift),
        speed * math.sin(heading - drift),
        max(-runs, min(runs, (goal - rudder) / GEAR)),
        leads,
    ]


def _independent(ease: float, steering: Held, ordered: float) -> np.ndarray:
    """Return where she is six lengths after easing."""

    def wanted(state: np.ndarray) -> float:
        if steering == "radius":
            return state[2] * LENGTH_M / ordered
        return math.radians(ordered) / 60.0 * MODEL.length_s

    tight = {"method": "DOP853", "rtol": 1e-10, "atol": 1e-12, "max_step": 0.02}
    start = [0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0]
    held = solve_ivp(lambda _, y: _slopes(y, wanted(y), MODEL), (0.0, ease), start, **tight)
    eased = solve_ivp(lambda _, y: _slopes(y, 0.0, MODEL), (0.0, AFTER), held.y[:, -1], **tight)
    return np.asarray(eased.y[:, -1])


@pytest.mark.parametrize(
    ("steering", "ordered", "change_deg"),
    [("rate", 25.0, 60.0), ("rate", 12.0, 15.0), ("radius", 926.0, 90.0), ("radius", 500.0, 45.0)],
)
def test_beside_an_independent_integration(
    steering: Held, ordered: float, change_deg: float
) -> None:
    turn = steered(change_deg, steering, ordered)
    end = _independent(turn.eased_at_s[0] / MODEL.length_s, steering, ordered)
    # What is left of the rate dies away with the time of the controller.
    assert math.degrees(end[0] + end[1] * CLOSING) == pytest.approx(change_deg, abs=0.01)
    distance_m = LENGTH_M * (end[4] - end[5] / math.tan(math.radians(change_deg)))
    assert turn.distance_to_new_course_m[0] == pytest.approx(distance_m, abs=0.5)


@pytest.mark.parametrize("change_deg", [5.0, 33.0, 90.0, 140.0])
def test_she_is_eased_where_rounding_allows(change_deg: float) -> None:
    """What is left of the rate dies away with the controller's time: by its own equation."""
    motion = steered(change_deg, "rate", 20.0).motion
    assert motion is not None
    left_deg = motion.rate_deg_per_min[-1] / 60.0 * MODEL.length_s * CLOSING
    turned_deg = (motion.heading_deg[-1] - motion.heading_deg[0]) % 360.0
    assert turned_deg + left_deg == pytest.approx(change_deg, abs=2e-12)


def test_the_rate_ordered_is_held() -> None:
    turn = steered(100.0, "rate", 20.0)
    assert turn.motion is not None
    rates = turn.motion.rate_deg_per_min
    held = (turn.motion.time_s > 5.0 * MODEL.length_s) & (turn.motion.time_s < turn.eased_at_s[0])
    assert held.any()
    assert rates[held] == pytest.approx(20.0, abs=0.2)
    assert turn.rate_max_deg_per_min[0] == pytest.approx(20.0, abs=0.5)


def test_the_radius_ordered_is_held_as_she_slows() -> None:
    turn = steered(140.0, "radius", 700.0)
    assert turn.motion is not None
    motion = turn.motion
    held = (motion.time_s > 6.0 * MODEL.length_s) & (motion.time_s < turn.eased_at_s[0])
    radius_m = motion.speed_m_per_s[held] / np.radians(motion.rate_deg_per_min[held] / 60.0)
    # As she slows the steering lags a little behind.
    assert radius_m == pytest.approx(700.0, rel=0.03)
    assert motion.speed_m_per_s[held][-1] < 0.9 * MODEL.speed_m_per_s


def test_mirror_and_motion_agree() -> None:
    there = steered(70.0, "rate", 20.0, course_in_deg=0.0, set_deg=40.0, drift_m_per_s=1.0)
    back = steered(-70.0, "rate", 20.0, course_in_deg=0.0, set_deg=320.0, drift_m_per_s=1.0)
    assert there.distance_to_new_course_m == pytest.approx(back.distance_to_new_course_m)
    assert there.motion is not None
    assert back.motion is not None
    assert there.motion.east_m == pytest.approx(-back.motion.east_m)
    assert there.motion.rudder_deg == pytest.approx(-back.motion.rudder_deg)
    assert float(there.motion.time_s[-1]) == pytest.approx(float(there.steady_at_s[0]))
    east, north = float(there.motion.east_m[-1]), float(there.motion.north_m[-1])
    assert north - east / math.tan(math.radians(70.0)) == pytest.approx(
        float(there.distance_to_new_course_m[0])
    )


def test_in_a_current_the_change_is_that_of_the_heading() -> None:
    stream = steered(60.0, "rate", 20.0, course_in_deg=0.0, set_deg=30.0, drift_m_per_s=0.8)
    assert stream.motion is not None
    turned = np.unwrap(np.radians(stream.motion.heading_deg - stream.heading_in_deg))
    left_deg = stream.motion.rate_deg_per_min[-1] / 60.0 * MODEL.length_s * CLOSING
    change = (stream.heading_out_deg - stream.heading_in_deg + 180.0) % 360.0 - 180.0
    assert np.degrees(turned[-1]) + left_deg == pytest.approx(float(change[0]), abs=1e-6)
    assert abs(float(change[0]) - 60.0) > 1.0


def test_a_delay_moves_everything_along() -> None:
    prompt, late = steered(60.0, "rate", 20.0), steered(60.0, "rate", 20.0, helm_delay_s=5.0)
    run_m = 5.0 * MODEL.speed_m_per_s
    assert late.distance_to_new_course_m == pytest.approx(prompt.distance_to_new_course_m + run_m)
    assert late.eased_at_s == pytest.approx(prompt.eased_at_s)
    assert late.steady_at_s == pytest.approx(prompt.steady_at_s + 5.0)


@pytest.mark.parametrize(
    ("change_deg", "steering", "ordered", "more", "said"),
    [
        (140.0, "rate", 20.0, {"most_rudder_deg": 0.05}, "does not come round"),
        (60.0, "rate", 20.0, {"set_deg": 120.0, "drift_m_per_s": 9.0}, "cannot be made good"),
        (0.0, "rate", 20.0, {}, "does not change"),
        (180.0, "rate", 20.0, {}, "one line"),
    ],
)
def test_what_cannot_be_is_refused_with_its_reason(
    change_deg: float, steering: Held, ordered: float, more: dict[str, Any], said: str
) -> None:
    turn = steered(change_deg, steering, ordered, **more)
    assert not turn.found[0]
    assert said in turn.refused[0]
    assert turn.motion is None
    assert math.isnan(turn.distance_to_new_course_m[0])


def test_a_ship_too_slow_to_be_checked_is_refused() -> None:
    sluggish = replace(MODEL, lag_ratio=60.0)
    turn = steered_turns(
        ship_columns([sluggish]),
        0.0,
        90.0,
        steering="rate",
        ordered=20.0,
        most_rudder_deg=2.0,
        rudder_rate_deg_per_s=2.33,
    )
    assert "cannot be steadied" in turn.refused[0]


def test_many_turns_are_those_alone() -> None:
    changes = np.array([20.0, 60.0, -90.0, 0.0])
    many = steered_turns(
        ship_columns([MODEL]),
        10.0,
        10.0 + changes,
        steering="radius",
        ordered=800.0,
        most_rudder_deg=35.0,
        rudder_rate_deg_per_s=2.33,
    )
    assert many.found.tolist() == [True, True, True, False]
    for row, change_deg in enumerate(changes[:3].tolist()):
        alone = steered(change_deg, "radius", 800.0, course_in_deg=10.0)
        assert alone.distance_to_new_course_m[0] == pytest.approx(
            many.distance_to_new_course_m[row], rel=1e-12
        )
