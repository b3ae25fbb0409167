"""How sure a simulated wheel-over is: ships spread as their fit leaves them unsure, run alike."""

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from wheelover.core.arrays import Bools, Floats
from wheelover.core.manoeuvre.fit import members
from wheelover.core.manoeuvre.helm_orders import steady_turns
from wheelover.core.manoeuvre.model import ShipColumns, ShipModel, ship_columns
from wheelover.core.manoeuvre.steered import steered_turns
from wheelover.core.turns.manoeuvres import (
    first_order,
    most_turning_rudder_deg,
    turning_rudders_deg,
)
from wheelover.core.turns.setting import TurnSetting
from wheelover.core.turns.simulated import off_track_m
from wheelover.core.types.fitted import STRUCTURAL_FLOOR_LENGTHS, Uncertain
from wheelover.core.types.manoeuvre import SimulatedTurn
from wheelover.core.types.ship import Response, ShipProfile
from wheelover.core.types.turn_card import Band, Between
from wheelover.core.units import m_per_s_from_kn

MEMBERS = 200
LEAST_MEMBERS = 17
_LOW, _HIGH = 5.0, 95.0
_MOST_LOST_RATIO = 0.1
_STATED_LENGTHS, _STATED_RATIO = 0.3, 0.1
_ESTIMATED_TIMES = 2.0


def band_of(
    setting: TurnSetting,
    ship: ShipProfile,
    model: ShipModel,
    run: SimulatedTurn,
    distances_m: Mapping[str, float],
    member_count: int = MEMBERS,
) -> Band:
    """Return between which distances nine in ten of the ships she may be would need the helm.

    Parameters
    ----------
    setting : TurnSetting
        The turn.
    ship : ShipProfile
        The ship, with her response.
    model : ShipModel
        How she answers as fitted.
    run : SimulatedTurn
        The turn as fitted: all members are given the same rudder, rate or radius.
    distances_m : mapping
        The distance before the waypoint of each method whose wheel-over is wanted.
    member_count : int
        How many ships, above 16.

    Returns
    -------
    Band
        Percentiles 5 and 95. Where a tenth of the members cannot make the turn, or no covariance is
        known, the width is the stated one.

    Notes
    -----
    Eight fitted values are drawn with their covariance; of the cross-track miss 0.08 lengths to
    either side are added, the structural error of the model, with which the band held in all cases
    tried beside the force model. The stated width is 0.3 lengths or a tenth of the distance, of a
    ship estimated from her dimensions twice that: practice, and no measurement of this ship.
    """
    fitted_m = run.distance_to_new_course_m
    found_m = _member_distances_m(setting, ship, model, run, member_count)
    floor_m = STRUCTURAL_FLOOR_LENGTHS * ship.loa_m
    if found_m is None:
        half_m = _stated_half_m(ship, fitted_m)
        spread_m = np.array([fitted_m - half_m, fitted_m + half_m])
        count, floor_m = 0, 0.0
    else:
        spread_m, count = found_m, found_m.size
    return Band(
        member_count=count,
        distance=_between(spread_m, count),
        off_track={
            name: _widened(
                _between(_off_m(distance_m, spread_m, setting.course_change_deg), count), floor_m
            )
            for name, distance_m in distances_m.items()
        },
        floor_m=floor_m,
    )


def _off_m(distance_m: float, needed_m: Floats, change_deg: float) -> Floats:
    """Return where members end beside the new track when helm is given at a distance."""
    return np.array([off_track_m(distance_m, one, change_deg) for one in needed_m.tolist()])


def _between(values_m: Floats, count: int) -> Between:
    """Return the percentiles of members, or the ends of a stated width."""
    if count == 0:
        return Between(low_m=float(values_m.min()), high_m=float(values_m.max()))
    low, high = np.percentile(values_m, [_LOW, _HIGH])
    return Between(low_m=float(low), high_m=float(high))


def _widened(between: Between, floor_m: float) -> Between:
    """Return a band wider by a floor on either side."""
    return Between(low_m=between.low_m - floor_m, high_m=between.high_m + floor_m)


def _stated_half_m(ship: ShipProfile, distance_m: float) -> float:
    """Return half the stated width."""
    estimated = ship.response is not None and ship.response.origin == "estimated"
    times = _ESTIMATED_TIMES if estimated else 1.0
    return times * max(_STATED_LENGTHS * ship.loa_m, _STATED_RATIO * abs(distance_m))


def _member_distances_m(
    setting: TurnSetting, ship: ShipProfile, model: ShipModel, run: SimulatedTurn, member_count: int
) -> Floats | None:
    """Return the distances that the members need, None where too few can be had."""
    uncertain = None if ship.response is None else uncertain_of(ship.response, ship.loa_m)
    if uncertain is None:
        return None
    columns = _columns(uncertain, model, member_count)
    found, distance_m = _turned(setting, ship, columns, run)
    if np.count_nonzero(found) < (1.0 - _MOST_LOST_RATIO) * found.size:
        return None
    return np.asarray(distance_m[found])


def _turned(
    setting: TurnSetting, ship: ShipProfile, columns: ShipColumns, run: SimulatedTurn
) -> tuple[Bools, Floats]:
    """Return which members can make the turn, and the distances they need."""
    courses = (setting.leg_in.arrival_course_deg, setting.leg_out.course_deg)
    if run.steering == "rudder":
        helm_deg, counter_deg = turning_rudders_deg(setting, run.rudder_deg)
        steady = steady_turns(
            columns,
            *courses,
            helm_deg,
            counter_rudder_deg=counter_deg,
            rudder_rate_deg_per_s=ship.rudder_rate_deg_per_s,
            helm_delay_s=ship.helm_delay_s,
            set_deg=setting.flow.set_deg,
            drift_m_per_s=setting.flow.drift_m_per_s,
        )
        return steady.found, steady.distance_to_new_course_m
    order = first_order(setting, run.steering)
    steered = steered_turns(
        columns,
        *courses,
        steering="rate" if run.steering == "rate" else "radius",
        ordered=abs(order.rate_deg_per_min or order.radius_m or math.nan),
        most_rudder_deg=most_turning_rudder_deg(setting, ship),
        rudder_rate_deg_per_s=ship.rudder_rate_deg_per_s,
        helm_delay_s=ship.helm_delay_s,
        set_deg=setting.flow.set_deg,
        drift_m_per_s=setting.flow.drift_m_per_s,
    )
    return steered.found, steered.distance_to_new_course_m


def uncertain_of(response: Response, loa_m: float) -> Uncertain | None:
    """Return a response as fitted values with their covariance, None where that is not known.

    Parameters
    ----------
    response : Response
        The response; a value of nothing, whose logarithm is none, leaves it without.
    loa_m : float
        Her length overall.
    """
    loss, recovery = response.speed_loss or 0.0, response.speed_recovery or 0.0
    logs = (response.alpha_s2, recovery, loss, response.drift_lengths, response.drift_lag)
    if response.covariance is None or min(logs) <= 0.0:
        return None
    gain, lag, cubic = _in_lengths(response, loa_m)
    return Uncertain(
        theta=(
            math.log(gain),
            math.log(lag),
            math.log(cubic),
            response.race_exponent,
            math.log(recovery),
            math.log(loss / recovery),
            math.log(response.drift_lengths),
            math.log(response.drift_lag),
        ),
        covariance=response.covariance,
        length_m=loa_m,
        at_speed_kn=response.at_speed_kn,
    )


def _in_lengths(response: Response, loa_m: float) -> tuple[float, float, float]:
    """Return gain, lag and cubic ratio in lengths and speeds: K', T' and a'."""
    per_length_s = loa_m / m_per_s_from_kn(response.at_speed_kn)
    return (
        response.k_per_s * per_length_s,
        response.t_s / per_length_s,
        response.alpha_s2 / per_length_s**2,
    )


def _columns(uncertain: Uncertain, model: ShipModel, member_count: int) -> ShipColumns:
    """Return the members as ships in columns, at the approach speed of the model."""
    gain, lag, cubic, race, recovery, loss, drift, drift_lag = members(uncertain, member_count)
    one = ship_columns([model])
    return replace(
        one,
        gain_ratio=gain,
        lag_ratio=lag,
        cubic_ratio=cubic,
        race_exponent=race,
        speed_recovery=recovery,
        speed_loss=loss,
        drift_lengths=drift,
        drift_lag=drift_lag,
    )
