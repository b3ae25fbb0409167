"""Wheel-over by simulation: the turn as this ship makes it, laid back from where she is steady."""

import math

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.model import ShipModel, ship_model
from wheelover.core.turns.manoeuvres import (
    by_rudder,
    by_steering,
    rudder_for_radius_deg,
    side_of_turn,
)
from wheelover.core.turns.models_reach import beyond_models
from wheelover.core.turns.setting import LaidBack, TurnSetting
from wheelover.core.turns.solve_arc import MOST_CHANGE_DEG
from wheelover.core.types.manoeuvre import SimulatedTurn, SteeringOrder
from wheelover.core.types.ship import Response, ShipProfile
from wheelover.core.types.track import NotApplicable
from wheelover.core.units import kn_from_m_per_s, nm_from_m

SMALL_RUDDER_DEG = 7.0
"""Below this nothing in a ship's papers says how she answers (see the notes of ``simulated``)."""

_CHANGE_TOLERANCE_DEG = 1e-9


def simulated(setting: TurnSetting) -> LaidBack | NotApplicable:
    """Return the wheel-over from which she is steady on the outbound leg by her own manoeuvre.

    Steered by rudder, the helm is what holds the planned radius once she turns steadily, or the
    planned rudder where one is given, and counter-helm is the same the other way; else the steering
    holds the planned rate, or the planned radius. The current and, where her windage is given, the
    leeway carry her all the while, and she crabs on both legs. The distance already holds the run
    before she answers: no reach is added.

    Parameters
    ----------
    setting : TurnSetting
        The courses, the ship with her response, the conditions.

    Returns
    -------
    LaidBack or NotApplicable
        The distance is along the inbound leg, back from the waypoint.

    Notes
    -----
    The turn is computed in the plane that touches the earth at the helm order. In a model fitted to
    hard-over circles, helm below about 7 degrees is extrapolated: the track was up to 1.2 lengths
    off at 5 degrees [Extensions]_.
    """
    ready = _ready(setting)
    if isinstance(ready, str):
        return NotApplicable(method="simulated", reason=ready)
    ship, response, speed_kn = ready
    try:
        model = ship_model(response, ship.loa_m, speed_kn, ship.max_rudder_deg)
        found = manoeuvre_of(setting, ship, model)
    except OutOfDomain as error:
        return NotApplicable(method="simulated", reason=str(error))
    return LaidBack(
        method="simulated",
        distance_m=found.distance_to_new_course_m,
        reach_m=None,
        working=_working(setting, model, found),
        notes=_notes(setting, response, found),
        manoeuvre=found,
    )


def _ready(setting: TurnSetting) -> tuple[ShipProfile, Response, float] | str:
    """Return ship, response and speed, or the reason why nothing can be simulated."""
    ship = setting.ship
    if ship is None:
        return "no ship is given"
    if ship.response is None:
        return "the ship's papers give no response to the helm"
    if setting.approach_speed_kn is None:
        return "no speed is given, by the leg that leads to the turn or by the ship"
    if abs(setting.course_change_deg) > MOST_CHANGE_DEG + _CHANGE_TOLERANCE_DEG:
        return setting.reason or f"the change of course is over {MOST_CHANGE_DEG:.0f} degrees"
    if setting.radius_m is None and (
        setting.planned_rudder_deg is None or setting.steering != "rudder"
    ):
        return "neither a radius nor a rudder is planned for the turn"
    speed_kn = setting.approach_speed_kn
    beyond = beyond_models(ship, ship.response, speed_kn, setting.conditions)
    return beyond or setting.wind.beyond or (ship, ship.response, speed_kn)


def manoeuvre_of(setting: TurnSetting, ship: ShipProfile, model: ShipModel) -> SimulatedTurn:
    """Return the manoeuvre of a turn as it is steered.

    Parameters
    ----------
    setting : TurnSetting
        The turn, with what the helm holds through it.
    ship : ShipProfile
        The ship.
    model : ShipModel
        How she answers at her approach speed.

    Raises
    ------
    OutOfDomain
        When she cannot make the turn so.
    """
    rudder_deg = setting.planned_rudder_deg
    if setting.steering != "rudder" or rudder_deg is None:
        needed_deg = _rudder_for_radius_deg(setting, model)
        if needed_deg > ship.max_rudder_deg:
            raise OutOfDomain(
                f"the turn needs {needed_deg:.1f} degrees of rudder, more than her "
                f"{ship.max_rudder_deg:g}"
            )
        rudder_deg = needed_deg
    elif rudder_deg > ship.max_rudder_deg:
        raise OutOfDomain(
            f"{rudder_deg:g} degrees of rudder are planned, more than her {ship.max_rudder_deg:g}"
        )
    if setting.steering == "rudder":
        return by_rudder(setting, ship, model, rudder_deg)
    return by_steering(setting, ship, model, setting.steering)


def _rudder_for_radius_deg(setting: TurnSetting, model: ShipModel) -> float:
    """Return the rudder that holds the planned radius, what she carries on that side included."""
    turning_deg = rudder_for_radius_deg(model, setting.radius_m or math.inf)
    if setting.wind.carried_deg == 0.0:
        return turning_deg
    return turning_deg + side_of_turn(setting) * setting.wind.carried_deg


def off_track_m(distance_m: float, simulated_m: float, change_deg: float) -> float:
    """Return where the simulated turn, begun elsewhere, leaves her beside the outbound leg.

    Parameters
    ----------
    distance_m, simulated_m : float
        Distance before the waypoint at which helm is given, and that of the simulated wheel-over.
    change_deg : float
        Change of course, starboard positive.

    Returns
    -------
    float
        Metres, starboard positive: too early a helm leaves her inside the bend, too late outside.

    Notes
    -----
    The same manoeuvre begun farther back moves her whole way by that much along the inbound course,
    which holds in uniform current and constant depth.
    """
    return (distance_m - simulated_m) * math.sin(math.radians(change_deg))


def _working(setting: TurnSetting, model: ShipModel, found: SimulatedTurn) -> tuple[str, ...]:
    """Return what was computed, in lines a navigator can follow."""
    radius_m = setting.radius_m or math.inf
    first = f"rudder as planned: {found.rudder_deg:.4g} degrees"
    if found.rudder_for == "radius":
        first = (
            f"rudder for the planned radius of {nm_from_m(radius_m):.4g} NM, r' = L / R = "
            f"{model.length_m / radius_m:.4f}: {found.rudder_deg:.2f} degrees"
        )
    elif found.steering == "rate":
        first = (
            f"rate held: V / R of {setting.turn_speed_kn:.4g} kn on {nm_from_m(radius_m):.4g} NM; "
            f"largest rudder {found.rudder_deg:.1f} degrees"
        )
    elif found.steering == "radius":
        first = (
            f"radius held through the water: {nm_from_m(radius_m):.4g} NM; largest rudder "
            f"{found.rudder_deg:.1f} degrees"
        )
    distance_m = found.distance_to_new_course_m
    return (
        *_wind_lines(setting),
        first,
        *_order_lines(found),
        f"WOP = distance to the new course ({abs(setting.course_change_deg):.2f} degrees) = "
        f"{distance_m:.1f} m = {nm_from_m(distance_m):.4f} NM before the waypoint, no reach added",
    )


def _wind_lines(setting: TurnSetting) -> tuple[str, ...]:
    """Return what the wind does, as lines; none where it is not applied."""
    leg_in, leg_out, leeway = setting.wind.leg_in, setting.wind.leg_out, setting.wind.leeway
    if leg_in is None or leg_out is None:
        return ()
    conditions = setting.conditions
    return (
        f"wind {conditions.wind_kn:g} kn from {conditions.wind_from_deg:05.1f}: leeway to "
        f"{_side(leg_in.leeway_deg)} degrees before, {_side(leg_out.leeway_deg)} after; in the "
        f"mean {kn_from_m_per_s(leeway.drift_m_per_s):.2f} kn setting {leeway.set_deg:05.1f}, "
        "added to the current",
        f"rudder carried before: {_side(leg_in.helm_deg)} degrees, taken as the middle through the "
        f"turn; after: {_side(leg_out.helm_deg)}; orders give the rudder as it stands",
    )


_ORDER_WORDS = {
    "helm": "helm",
    "counter_helm": "counter-helm",
    "midships": "midships",
    "rate": "rate of turn",
    "radius": "radius",
    "steady": "steady on the new heading",
}


def _order_lines(found: SimulatedTurn) -> tuple[str, ...]:
    """Return the orders as lines."""
    steady = f"{found.heading_in_deg:05.1f} before, {found.heading_out_deg:05.1f} after"
    return (
        f"steady on heading {steady}",
        *(
            f"{_ORDER_WORDS[one.order]}{_what(one)} at {one.at_s:.1f} s, heading "
            f"{one.heading_deg:05.1f}"
            for one in found.orders
        ),
        f"steady at {found.steady_at_s:.1f} s; largest rate "
        f"{found.rate_max_deg_per_min:.1f} deg/min",
    )


def _what(order: SteeringOrder) -> str:
    """Return what an order orders, with its side."""
    if order.rate_deg_per_min is not None:
        return f" {_side(order.rate_deg_per_min)} deg/min"
    if order.radius_m is not None:
        return f" {nm_from_m(order.radius_m):.3g} NM"
    if order.order == "midships" and order.rudder_deg:
        return f" and what she carries, {_side(order.rudder_deg)},"
    return f" {_side(order.rudder_deg)}" if order.rudder_deg else ""


def _side(sign: float) -> str:
    """Return a number with its side."""
    return f"{'starboard' if sign > 0.0 else 'port'} {abs(sign):.1f}"


def _notes(setting: TurnSetting, response: Response, found: SimulatedTurn) -> tuple[str, ...]:
    """Return what the simulation does not know."""
    said = []
    if response.origin is None:
        said.append("where her response comes from is not said")
    elif response.origin == "estimated":
        said.append("her response is estimated from her dimensions, not measured")
    if found.steering == "rudder" and found.rudder_deg < SMALL_RUDDER_DEG:
        said.append(
            f"{found.rudder_deg:.1f} degrees is a small rudder: how she answers it stands in no "
            "ship's papers; turn by rate of turn, or learn from her own turns"
        )
    if setting.conditions.depth_m is None:
        said.append("deep water is assumed; the depth is not given")
    if not setting.current_given:
        said.append("still water is assumed; no current is given")
    return (*said, *_wind_notes(setting))


def _wind_notes(setting: TurnSetting) -> tuple[str, ...]:
    """Return how the wind counts, and why it does not."""
    if setting.wind.not_applied is not None:
        return (setting.wind.not_applied,)
    if setting.wind.leg_in is not None:
        return (
            "the wind is applied as leeway and weather helm estimated from her dimensions: leeway "
            "as the mean of both legs, the rudder carried as on the leg before; her answer to the "
            "helm is that of calm",
        )
    given = setting.conditions.wind_kn is not None or setting.conditions.wind_force_bft is not None
    return () if given else ("calm is assumed; no wind is given",)
