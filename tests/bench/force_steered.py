"""The force model steered by rate: the same controller, which knows only the fitted model.

The rudder is sent to where the fitted first-order model says that the rate follows the wanted one;
what she then does is the force model's. As any steering does, this one also learns a lasting error
and adds it, which is nothing where the model is the ship. Compiled when it is first run.
"""

import math

import numba
import numpy as np
from scipy.optimize import brentq

from wheelover.core.arrays import Table
from wheelover.core.manoeuvre.helm_orders import heading_for_course_deg
from wheelover.core.manoeuvre.mmg import ship_table
from wheelover.core.manoeuvre.mmg_slopes import slopes_of
from wheelover.core.manoeuvre.model import ShipModel
from wheelover.core.manoeuvre.steered_loops import _GEAR, _TAIL_STEPS, CLOSING, FOLLOWING, STEP
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import Current

_STEP_LENGTHS = 0.01
_LEARNING = 0.5


@numba.njit
def _run(
    ship: Table, model: Table, ordered: float, eased_s: float, until_s: float, step_s: float
) -> Table:
    """Return heading, place, rate and speeds at the end of a run under the controller."""
    gain, lag, cubic, race, length_m, speed_0, most, runs = model
    state = np.zeros(6)
    state[1] = speed_0
    rudder, at_s, wanted, learnt = 0.0, 0.0, 0.0, 0.0
    force = np.zeros(3)
    slopes = np.zeros((4, 6))
    work = np.zeros(6)
    while at_s < until_s - 1e-9:
        by_s = min(step_s, until_s - at_s)
        if at_s < eased_s < at_s + by_s:
            by_s = eased_s - at_s
        length_s = length_m / speed_0
        speed = math.sqrt(state[1] ** 2 + state[2] ** 2) / speed_0
        rate = state[3] * length_s
        aim = ordered if at_s < eased_s - 1e-9 else 0.0
        leads = (aim - wanted) / CLOSING
        held = speed * rate + cubic * rate**3 / speed
        grows = leads + (wanted - rate) / FOLLOWING + learnt
        goal = (lag * grows + held) / (gain * speed ** (2.0 - race))
        if abs(goal) < most:
            learnt += (wanted - rate) / (FOLLOWING * _LEARNING) * by_s / length_s
        goal = min(max(goal, -most), most)
        run = (goal - rudder) / (_GEAR * length_s)
        run = min(max(run, -runs), runs)
        for stage in range(4):
            share = (0.0, 0.5, 0.5, 1.0)[stage]
            for place in range(6):
                work[place] = state[place]
                if stage > 0:
                    work[place] += share * by_s * slopes[stage - 1, place]
            slopes_of(ship, work, rudder + run * share * by_s, force, slopes[stage])
        for place in range(6):
            state[place] += (
                by_s
                / 6.0
                * (
                    slopes[0, place]
                    + 2.0 * (slopes[1, place] + slopes[2, place])
                    + slopes[3, place]
                )
            )
        rudder += run * by_s
        wanted += leads * by_s / length_s
        at_s += by_s
    return state


def force_steered_distance_m(
    force: ForceModel,
    fitted: ShipModel,
    course_in_deg: float,
    course_out_deg: float,
    rate_deg_per_min: float,
    most_rudder_deg: float,
    rudder_rate_deg_per_s: float,
    current: Current,
) -> float:
    """Return the distance to the new course of the force model, steered by rate.

    Parameters
    ----------
    force : ForceModel
        The ship as she is.
    fitted : ShipModel
        The ship as the controller knows her.
    course_in_deg, course_out_deg, rate_deg_per_min, most_rudder_deg, rudder_rate_deg_per_s, current
        As in core/manoeuvre/steered.py.
    """
    speed = force.speed_m_per_s
    heading_in = heading_for_course_deg(course_in_deg, speed, current)
    heading_out = heading_for_course_deg(course_out_deg, speed, current)
    change_rad = math.radians((heading_out - heading_in + 180.0) % 360.0 - 180.0)
    side = math.copysign(1.0, change_rad)
    length_s = force.length_m / speed
    known = np.array(
        [
            *(fitted.gain_ratio, fitted.lag_ratio, fitted.cubic_ratio, fitted.race_exponent),
            *(force.length_m, speed, math.radians(most_rudder_deg)),
            math.radians(rudder_rate_deg_per_s),
        ]
    )
    ship = ship_table(force)
    ordered = side * math.radians(rate_deg_per_min) / 60.0 * length_s
    tail_s = _TAIL_STEPS * STEP * length_s

    def end(eased_s: float) -> Table:
        step_s = _STEP_LENGTHS * length_s
        return _run(ship, known, ordered, eased_s, eased_s + tail_s, step_s)

    def beyond(eased_s: float) -> float:
        state = end(eased_s)
        return side * (state[0] + state[3] * length_s * CLOSING - change_rad)

    latest_s = 3.0 * abs(change_rad) / abs(ordered) * length_s + 5.0 * length_s
    eased_s = float(brentq(beyond, 0.0, latest_s, xtol=0.01))
    state = end(eased_s)
    at_s = eased_s + tail_s
    heading, sets = math.radians(heading_in), math.radians(current.set_deg)
    carried_m = current.drift_m_per_s * at_s
    east = state[4] * math.sin(heading) + state[5] * math.cos(heading)
    north = state[4] * math.cos(heading) - state[5] * math.sin(heading)
    east, north = east + carried_m * math.sin(sets), north + carried_m * math.cos(sets)
    course = math.radians(course_in_deg)
    along = east * math.sin(course) + north * math.cos(course)
    across = east * math.cos(course) - north * math.sin(course)
    return float(along - across / math.tan(math.radians(course_out_deg - course_in_deg)))
