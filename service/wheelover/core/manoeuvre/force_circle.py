"""The force model turning under one rudder order, by a library: what an estimate needs, uncompiled.

The compiled loops of core/manoeuvre/mmg_loops.py run any orders; set-up would compile them for the
few circles of an estimate alone.
"""

import math
from collections.abc import Callable

import numpy as np
import scipy

from wheelover.core.arrays import Floats, Table, require_finite
from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.ground import motion_over_ground
from wheelover.core.manoeuvre.mmg import ship_table
from wheelover.core.manoeuvre.mmg_slopes import slopes_of
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import Current, Motion

_CLOSE = 1e-7


def run_one_order(
    model: ForceModel,
    rudder_deg: float,
    times_s: list[float],
    *,
    rudder_rate_deg_per_s: float,
    helm_delay_s: float = 0.0,
) -> Motion:
    """Return the motion under one order given at once, in still water on heading north.

    Parameters
    ----------
    model : ForceModel
        The ship, steady at her approach speed with the rudder amidships.
    rudder_deg : float
        Rudder ordered, starboard positive.
    times_s : list of float
        When her motion is wanted: from zero on, growing.
    rudder_rate_deg_per_s, helm_delay_s : float
        How fast the rudder runs, and from when on.

    Raises
    ------
    OutOfDomain
        When she loses her headway, where the force model is not known.

    Notes
    -----
    The explicit method of order 8 by Dormand and Prince in scipy, to where the rudder comes to rest
    and on from there; within 1e-5 lengths of the compiled loops (tests/core/test_mmg.py).
    """
    ship, force = ship_table(model), np.zeros(3)
    rate = math.radians(rudder_rate_deg_per_s)
    wanted = math.radians(rudder_deg)

    def rudder_rad(at_s: float) -> float:
        run = min(max(at_s - helm_delay_s, 0.0) * rate, abs(wanted))
        return math.copysign(run, wanted)

    def slopes(at_s: float, state: Table) -> Floats:
        out = np.zeros(6)
        slopes_of(ship, state, rudder_rad(at_s), force, out)
        return out

    times = np.array(times_s, dtype=np.float64)
    over_s = helm_delay_s + abs(wanted) / rate
    rows = _rows(slopes, model.speed_m_per_s, times, (helm_delay_s, over_s))
    require_finite("the motion of the ship", rows)
    if not bool(np.all(rows[:, 1] > 0.0)):
        raise OutOfDomain("the ship loses her headway: the force model is known ahead only")
    return motion_over_ground(
        times_s=times,
        heading_change_rad=rows[:, 0],
        rate_rad_per_s=rows[:, 3],
        speed_m_per_s=np.hypot(rows[:, 1], rows[:, 2]),
        ahead_m=rows[:, 4],
        starboard_m=rows[:, 5],
        rudder_rad=np.array([rudder_rad(one) for one in times.tolist()]),
        heading_deg=0.0,
        current=Current(),
    )


def _rows(
    slopes: Callable[[float, Table], Floats],
    speed_m_per_s: float,
    times_s: Floats,
    corners_s: tuple[float, ...],
) -> Table:
    """Return the states at the wanted times; the rudder starts and stops at the corners."""
    state = np.zeros(6)
    state[1] = speed_m_per_s
    rows, at_s = [], 0.0
    ends = sorted({one for one in corners_s if 0.0 < one < times_s[-1]} | {float(times_s[-1])})
    for end_s in ends:
        last = end_s == ends[-1]
        inside = times_s[(times_s >= at_s) & ((times_s < end_s) | last)]
        found = scipy.integrate.solve_ivp(
            slopes,
            (at_s, end_s),
            state,
            method="DOP853",
            t_eval=np.unique(np.append(inside, end_s)),
            rtol=_CLOSE,
            atol=_CLOSE,
        )
        rows.append(found.y[:, : inside.size].T)
        state, at_s = found.y[:, -1], end_s
    return np.concatenate(rows)
