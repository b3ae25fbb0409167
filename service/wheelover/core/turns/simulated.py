"""Wheel-over by simulation: the turn as this ship makes it, laid back from where she is steady."""

import math

import numpy as np

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import steady_turn
from wheelover.core.manoeuvre.model import ShipModel, ship_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.turns.models_reach import beyond_models
from wheelover.core.turns.setting import LaidBack, TurnSetting
from wheelover.core.turns.solve_arc import MOST_CHANGE_DEG
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.manoeuvre import Current, HelmOrder, SimulatedTurn, SteadyTurn
from wheelover.core.types.ship import Response, ShipProfile
from wheelover.core.types.track import NotApplicable
from wheelover.core.units import m_per_s_from_kn, nm_from_m

SMALL_RUDDER_DEG = 7.0
"""Below this nothing in a ship's papers says how she answers (see the notes of ``simulated``)."""

_ROWS = 96
_CHANGE_TOLERANCE_DEG = 1e-9


def simulated(setting: TurnSetting) -> LaidBack | NotApplicable:
    """Return the wheel-over from which she is steady on the outbound leg by helm and counter-helm.

    The helm is what holds the planned radius once she turns steadily, or the planned rudder where
    the ship gives one; counter-helm is the same the other way. The current carries her all the
    while, and she crabs on both legs. The distance already holds the run before she answers: no
    reach is added.

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
        rudder_deg = _rudder_deg(setting, ship, model)
        if rudder_deg > ship.max_rudder_deg:
            raise OutOfDomain(
                f"the turn needs {rudder_deg:.1f} degrees of rudder, more than her "
                f"{ship.max_rudder_deg:g}"
            )
        found = simulate(setting, ship, model, rudder_deg)
    except OutOfDomain as error:
        return NotApplicable(method="simulated", reason=str(error))
    return LaidBack(
        method="simulated",
        distance_m=found.turn.distance_to_new_course_m,
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
    if setting.radius_m is None and ship.planned_rudder_deg is None:
        return "neither a radius nor a rudder is planned for the turn"
    speed_kn = setting.approach_speed_kn
    beyond = beyond_models(ship, ship.response, speed_kn, setting.conditions)
    return beyond or (ship, ship.response, speed_kn)


def _rudder_deg(setting: TurnSetting, ship: ShipProfile, model: ShipModel) -> float:
    """Return the planned rudder, or the one that holds the planned radius."""
    if ship.planned_rudder_deg is not None:
        return ship.planned_rudder_deg
    return rudder_for_radius_deg(model, setting.radius_m or math.inf)


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


def current_of(conditions: Conditions) -> Current:
    """Return the current of the conditions, still water where none is given."""
    if conditions.set_deg is None or conditions.drift_kn is None:
        return Current()
    return Current(set_deg=conditions.set_deg, drift_m_per_s=m_per_s_from_kn(conditions.drift_kn))


def simulate(
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
    """
    current = current_of(setting.conditions)
    helm = {
        "rudder_rate_deg_per_s": ship.rudder_rate_deg_per_s,
        "helm_delay_s": ship.helm_delay_s,
    }
    turn = steady_turn(
        model,
        setting.leg_in.arrival_course_deg,
        setting.leg_out.course_deg,
        rudder_deg,
        current=current,
        **helm,
    )
    orders = tuple(HelmOrder(rudder_deg=one.rudder_deg, at_s=one.at_s) for one in turn.orders)
    times_s = np.linspace(0.0, turn.steady_at_s, _ROWS + 1).tolist()
    motion = run_orders(
        model, orders, times_s, heading_deg=turn.heading_in_deg, current=current, **helm
    )
    return SimulatedTurn(
        rudder_for="radius" if ship.planned_rudder_deg is None else "rudder",
        rudder_deg=rudder_deg,
        turn=turn,
        motion=motion,
    )


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
    turn = found.turn
    if found.rudder_for == "radius":
        radius_m = setting.radius_m or math.inf
        first = (
            f"rudder for the planned radius of {nm_from_m(radius_m):.4g} NM, r' = L / R = "
            f"{model.length_m / radius_m:.4f}: {found.rudder_deg:.2f} degrees"
        )
    else:
        first = f"rudder as planned: {found.rudder_deg:.4g} degrees"
    return (first, *_order_lines(turn), _distance_line(setting, turn))


def _order_lines(turn: SteadyTurn) -> tuple[str, ...]:
    """Return the orders as lines."""
    words = {"helm": "helm", "counter_helm": "counter-helm", "midships": "midships"}
    return (
        f"steady on heading {turn.heading_in_deg:05.1f} before, {turn.heading_out_deg:05.1f} after",
        *(
            f"{words[one.order]} {_side(one.rudder_deg)} at {one.at_s:.1f} s, heading "
            f"{one.heading_deg:05.1f}"
            for one in turn.orders
        ),
        f"steady at {turn.steady_at_s:.1f} s; largest rate {turn.rate_max_deg_per_min:.1f} deg/min",
    )


def _side(rudder_deg: float) -> str:
    """Return a rudder angle with its side."""
    if rudder_deg == 0.0:
        return "(rudder 0)"
    return f"{'starboard' if rudder_deg > 0.0 else 'port'} {abs(rudder_deg):.1f}"


def _distance_line(setting: TurnSetting, turn: SteadyTurn) -> str:
    """Return the distance to the new course as a line."""
    distance_m = turn.distance_to_new_course_m
    change_deg = abs(setting.course_change_deg)
    return (
        f"WOP = distance to the new course ({change_deg:.2f} degrees) = {distance_m:.1f} m = "
        f"{nm_from_m(distance_m):.4f} NM before the waypoint, no reach added"
    )


def _notes(setting: TurnSetting, response: Response, found: SimulatedTurn) -> tuple[str, ...]:
    """Return what the simulation does not know."""
    said = []
    if response.origin is None:
        said.append("where her response comes from is not said")
    elif response.origin == "estimated":
        said.append("her response is estimated from her dimensions, not measured")
    if found.rudder_deg < SMALL_RUDDER_DEG:
        said.append(
            f"{found.rudder_deg:.1f} degrees is a small rudder: how she answers it stands in no "
            "ship's papers; turn by rate of turn, or learn from her own turns"
        )
    if setting.conditions.depth_m is None:
        said.append("deep water is assumed; the depth is not given")
    if setting.conditions.drift_kn is None:
        said.append("still water is assumed; no current is given")
    return tuple(said)
