"""The manoeuvre of one turn by rudder, by rate of turn or by radius, with her motion."""

import math
from dataclasses import replace

import numpy as np

from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.manoeuvre.helm_orders import heading_for_course_deg, steady_turn
from wheelover.core.manoeuvre.model import ShipModel, ship_columns
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.manoeuvre.steered import SteeredTurns, steered_turns
from wheelover.core.turns.setting import TurnSetting
from wheelover.core.types.manoeuvre import (
    HelmOrder,
    Motion,
    SimulatedTurn,
    Steering,
    SteeringOrder,
)
from wheelover.core.types.ship import ShipProfile
from wheelover.core.units import m_per_s_from_kn

_ROWS = 96


def rudder_for_radius_deg(model: ShipModel, radius_m: float) -> float:
    """Return the rudder that holds a radius through the water in a steady turn, degrees above zero.

    Parameters
    ----------
    model : ShipModel
        The ship.
    radius_m : float
        Radius of her midships' way through the water.

    Notes
    -----
    With r' = L / R the model's steady balance K' (U0/U)^q rudder = r' + a' r'^3, and
    U / U0 = 1 / sqrt(1 + (cr / ku) r'^2) where she loses speed [Norrbin1963]_, [Extensions]_.
    """
    rate = model.length_m / radius_m
    slowing = 1.0
    if model.speed_loss > 0.0 and model.speed_recovery > 0.0:
        slowing = 1.0 / math.sqrt(1.0 + model.speed_loss / model.speed_recovery * rate**2)
    balance = (rate + model.cubic_ratio * rate**3) / model.gain_ratio
    return math.degrees(slowing**model.race_exponent * balance)


def side_of_turn(setting: TurnSetting) -> float:
    """Return one where her heading changes to starboard, minus one to port.

    Parameters
    ----------
    setting : TurnSetting
        Courses, speed, current and wind.

    Raises
    ------
    OutOfDomain
        When a course cannot be made good.
    """
    courses_deg = (setting.leg_in.arrival_course_deg, setting.leg_out.course_deg)
    speed_m_per_s = m_per_s_from_kn(setting.approach_speed_kn or 0.0)
    crab_in, crab_out = (
        float(signed_change_deg(one, heading_for_course_deg(one, speed_m_per_s, setting.flow)))
        for one in courses_deg
    )
    return math.copysign(1.0, setting.course_change_deg + crab_out - crab_in)


def turning_rudders_deg(setting: TurnSetting, rudder_deg: float) -> tuple[float, float | None]:
    """Return what of a rudder turns her as helm, and as counter-helm where that differs.

    Parameters
    ----------
    setting : TurnSetting
        The turn, with the rudder that she carries against the wind.
    rudder_deg : float
        The rudder ordered both ways, above zero.

    Raises
    ------
    OutOfDomain
        When it is less than what she carries.

    Notes
    -----
    The rudder that holds her heading turns her neither way: the rest does.
    """
    carried_deg = setting.wind.carried_deg
    if carried_deg == 0.0:
        return rudder_deg, None
    if rudder_deg <= abs(carried_deg):
        raise OutOfDomain(
            f"{rudder_deg:.1f} degrees of rudder are no more than the {abs(carried_deg):.1f} that "
            "she carries against the wind"
        )
    with_side_deg = side_of_turn(setting) * carried_deg
    return rudder_deg - with_side_deg, rudder_deg + with_side_deg


def most_turning_rudder_deg(setting: TurnSetting, ship: ShipProfile) -> float:
    """Return the largest rudder that turns her either way beside what she carries.

    Parameters
    ----------
    setting : TurnSetting
        The turn, with the rudder that she carries against the wind.
    ship : ShipProfile
        Her largest rudder.

    Raises
    ------
    OutOfDomain
        When nothing is left.
    """
    left_deg = ship.max_rudder_deg - abs(setting.wind.carried_deg)
    if left_deg <= 0.0:
        raise OutOfDomain("against the wind she carries all the rudder that she has")
    return left_deg


def by_rudder(
    setting: TurnSetting, ship: ShipProfile, model: ShipModel, rudder_deg: float
) -> SimulatedTurn:
    """Return the turn with one rudder both ways, and her motion through it.

    Parameters
    ----------
    setting : TurnSetting
        The courses and the current.
    ship : ShipProfile
        Rate of her rudder and delay of her helm.
    model : ShipModel
        How she answers at her approach speed.
    rudder_deg : float
        Helm and counter-helm, above zero.

    Raises
    ------
    OutOfDomain
        When no such orders exist.

    Notes
    -----
    The rudder carried on the inbound leg is held as the middle from which she turns; orders and
    motion give the rudder as it stands.
    """
    carried_deg = setting.wind.carried_deg
    helm_deg, counter_deg = turning_rudders_deg(setting, rudder_deg)
    turn = steady_turn(
        model,
        setting.leg_in.arrival_course_deg,
        setting.leg_out.course_deg,
        helm_deg,
        counter_rudder_deg=counter_deg,
        rudder_rate_deg_per_s=ship.rudder_rate_deg_per_s,
        helm_delay_s=ship.helm_delay_s,
        current=setting.flow,
    )
    motion = run_orders(
        model,
        tuple(HelmOrder(rudder_deg=one.rudder_deg, at_s=one.at_s) for one in turn.orders),
        np.linspace(0.0, turn.steady_at_s, _ROWS + 1).tolist(),
        heading_deg=turn.heading_in_deg,
        rudder_rate_deg_per_s=ship.rudder_rate_deg_per_s,
        helm_delay_s=ship.helm_delay_s,
        current=setting.flow,
    )
    orders = tuple(
        SteeringOrder(
            order=one.order,
            at_s=one.at_s,
            heading_deg=one.heading_deg,
            east_m=one.east_m,
            north_m=one.north_m,
            rudder_deg=_standing_deg(one.rudder_deg, carried_deg),
        )
        for one in turn.orders
    )
    return SimulatedTurn(
        steering="rudder",
        rudder_for="radius" if setting.planned_rudder_deg is None else "rudder",
        rudder_deg=rudder_deg,
        heading_in_deg=turn.heading_in_deg,
        heading_out_deg=turn.heading_out_deg,
        orders=orders,
        steady_at_s=turn.steady_at_s,
        distance_to_new_course_m=turn.distance_to_new_course_m,
        rate_max_deg_per_min=turn.rate_max_deg_per_min,
        motion=_carrying(motion, carried_deg),
    )


def by_steering(
    setting: TurnSetting, ship: ShipProfile, model: ShipModel, steering: Steering
) -> SimulatedTurn:
    """Return the turn in which the steering holds the planned rate, or the planned radius.

    Parameters
    ----------
    setting : TurnSetting
        Courses, current, planned radius and speed in the turn: the rate is that of both.
    ship : ShipProfile
        Her largest rudder, its rate and the delay of an order.
    model : ShipModel
        How she answers at her approach speed.
    steering : {"rate", "radius"}
        What is held.

    Raises
    ------
    OutOfDomain
        When no radius is planned, or she cannot be turned or steadied so.
    """
    first = first_order(setting, steering)
    turns = steered_turns(
        ship_columns([model]),
        setting.leg_in.arrival_course_deg,
        setting.leg_out.course_deg,
        steering="rate" if steering == "rate" else "radius",
        ordered=abs(first.rate_deg_per_min or first.radius_m or math.nan),
        most_rudder_deg=most_turning_rudder_deg(setting, ship),
        rudder_rate_deg_per_s=ship.rudder_rate_deg_per_s,
        helm_delay_s=ship.helm_delay_s,
        set_deg=setting.flow.set_deg,
        drift_m_per_s=setting.flow.drift_m_per_s,
    )
    if turns.motion is None:
        raise OutOfDomain(turns.refused[0])
    carried_deg = setting.wind.carried_deg
    motion = _carrying(turns.motion, carried_deg)
    largest_deg = float(turns.rudder_max_deg[0])
    if carried_deg != 0.0:
        largest_deg = float(np.max(np.abs(motion.rudder_deg)))
    return SimulatedTurn(
        steering=steering,
        rudder_for=None,
        rudder_deg=largest_deg,
        heading_in_deg=float(turns.heading_in_deg[0]),
        heading_out_deg=float(turns.heading_out_deg[0]),
        orders=(first, _order_to_steady(turns, motion)),
        steady_at_s=float(turns.steady_at_s[0]),
        distance_to_new_course_m=float(turns.distance_to_new_course_m[0]),
        rate_max_deg_per_min=float(turns.rate_max_deg_per_min[0]),
        motion=_thinned(motion),
    )


def _standing_deg(turning_deg: float, carried_deg: float) -> float:
    """Return the rudder as it stands, from what of it turns her."""
    return turning_deg if carried_deg == 0.0 else turning_deg + carried_deg


def _carrying(motion: Motion, carried_deg: float) -> Motion:
    """Return a motion with the rudder as it stands."""
    if carried_deg == 0.0:
        return motion
    return replace(motion, rudder_deg=motion.rudder_deg + carried_deg)


def first_order(setting: TurnSetting, steering: Steering) -> SteeringOrder:
    """Return the order that begins a turn: the rate of the planned radius, or the radius.

    Parameters
    ----------
    setting : TurnSetting
        Planned radius and speed in the turn.
    steering : {"rate", "radius"}
        What is held.

    Raises
    ------
    OutOfDomain
        When no radius or no speed is planned.
    """
    speed_kn, radius_m = setting.turn_speed_kn, setting.radius_m
    if radius_m is None or speed_kn is None:
        raise OutOfDomain("no radius is planned for the turn, so there is no rate to be held")
    rate_deg_per_min = math.degrees(m_per_s_from_kn(speed_kn) / radius_m) * 60.0
    by_rate = steering == "rate"
    return SteeringOrder(
        order="rate" if by_rate else "radius",
        at_s=0.0,
        heading_deg=heading_for_course_deg(
            setting.leg_in.arrival_course_deg,
            m_per_s_from_kn(setting.approach_speed_kn or speed_kn),
            setting.flow,
        ),
        east_m=0.0,
        north_m=0.0,
        rate_deg_per_min=math.copysign(rate_deg_per_min, setting.course_change_deg)
        if by_rate
        else None,
        radius_m=None if by_rate else radius_m,
    )


def _order_to_steady(turns: SteeredTurns, motion: Motion) -> SteeringOrder:
    """Return the order to steady her on the new heading."""
    at_s = float(turns.eased_at_s[0])
    heading_deg = np.degrees(np.unwrap(np.radians(motion.heading_deg)))
    columns = (heading_deg, motion.east_m, motion.north_m)
    heading, east_m, north_m = (float(np.interp(at_s, motion.time_s, one)) for one in columns)
    return SteeringOrder(
        order="steady", at_s=at_s, heading_deg=heading % 360.0, east_m=east_m, north_m=north_m
    )


def _thinned(motion: Motion) -> Motion:
    """Return a motion with fewer rows, its first and last among them."""
    count = motion.time_s.size
    kept = np.unique(np.linspace(0, count - 1, min(count, _ROWS + 1)).round().astype(np.int64))
    return Motion(
        time_s=motion.time_s[kept],
        east_m=motion.east_m[kept],
        north_m=motion.north_m[kept],
        heading_deg=motion.heading_deg[kept],
        rate_deg_per_min=motion.rate_deg_per_min[kept],
        speed_m_per_s=motion.speed_m_per_s[kept],
        rudder_deg=motion.rudder_deg[kept],
    )
