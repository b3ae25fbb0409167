"""A turn tried with other values than those planned; the plan itself is not touched."""

from dataclasses import replace
from typing import TypeVar

from wheelover.core.errors import Fault, InvalidShip
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.route import (
    LegWishes,
    Route,
    Settled,
    TurnWishes,
    Waypoint,
    WheelOverChoice,
)
from wheelover.core.types.ship import Loading, ShipProfile
from wheelover.core.types.turn_card import Tried


def with_tried(
    route: Route,
    ship: ShipProfile | None,
    conditions: Conditions,
    waypoint_id: str,
    tried: Tried,
) -> tuple[Route, ShipProfile | None, Conditions]:
    """Return route, ship and conditions with what is tried in the turn at a waypoint.

    Parameters
    ----------
    route, ship, conditions
        As planned.
    waypoint_id : str
        The waypoint. One that is not in the route changes nothing of it.
    tried : Tried
        Speed and wheel-over, radius, rudder, steering and current of this turn; the delay of helm
        of the ship; depth and wind of the conditions.
    """
    waypoints = tuple(
        _waypoint(one, index, tried) if one.id == waypoint_id else one
        for index, one in enumerate(route.waypoints)
    )
    if tried.loading is not None:
        ship = in_loading(ship, tried.loading, "/tried/loading")
    if ship is not None and tried.helm_delay_s is not None:
        ship = replace(ship, helm_delay_s=tried.helm_delay_s)
    around = replace(conditions, depth_m=_or(tried.depth_m, conditions.depth_m))
    return replace(route, waypoints=waypoints), ship, _in_wind(around, tried)


def _in_wind(conditions: Conditions, tried: Tried) -> Conditions:
    """Return conditions in the wind that is tried: it takes the place of all that is planned.

    A force alone has no direction, and beside the planned speed it would be a wind of two speeds.
    """
    given = (tried.wind_force_bft, tried.wind_from_deg, tried.wind_kn)
    if all(one is None for one in given):
        return conditions
    return replace(
        conditions,
        wind_force_bft=tried.wind_force_bft,
        wind_from_deg=tried.wind_from_deg,
        wind_kn=tried.wind_kn,
    )


def in_loading(ship: ShipProfile | None, name: str, pointer: str) -> ShipProfile:
    """Return a ship in one of her loadings: its draughts, and a response and tables of its own.

    In another loading she answers otherwise, and shows the wind another side: a response, table,
    windage or stability that is not of it is left out. Her height above the water, where it is not
    given for it, grows by as much as she lies lighter.

    Parameters
    ----------
    ship : ShipProfile or None
        The ship with her loadings.
    name : str
        The loading.
    pointer : str
        Where the loading is asked for, for the error.

    Raises
    ------
    InvalidShip
        When she has no such loading.
    """
    known = () if ship is None else ship.loadings
    found = next((one for one in known if one.name == name), None)
    if ship is None or found is None:
        names = ", ".join(repr(one.name) for one in known) or "none"
        message = f"the ship has no loading {name!r}; those given are: {names}"
        raise InvalidShip(message, (Fault(pointer=pointer, message=message),))
    return replace(
        ship,
        loading=name,
        draught_fore_m=_or(found.draught_fore_m, ship.draught_fore_m) or 0.0,
        draught_aft_m=_or(found.draught_aft_m, ship.draught_aft_m) or 0.0,
        response=found.response,
        turn_tables=found.turn_tables,
        lateral_windage_m2=found.lateral_windage_m2,
        windage_centre_from_bow_m=found.windage_centre_from_bow_m,
        draught_midships_m=found.draught_midships_m,
        air_draught_m=_air_draught_m(ship, found),
        displacement_t=found.displacement_t,
        tpc_t_per_cm=found.tpc_t_per_cm,
        gm_m=found.gm_m,
        kg_m=found.kg_m,
        bg_m=found.bg_m,
        windage_centre_above_water_m=found.windage_centre_above_water_m,
    )


def _air_draught_m(ship: ShipProfile, loading: Loading) -> float | None:
    """Return her height above the water in a loading: its own, else raised by the lighter end."""
    if loading.air_draught_m is not None or ship.air_draught_m is None:
        return loading.air_draught_m
    fore_m = _or(loading.draught_fore_m, ship.draught_fore_m) or 0.0
    aft_m = _or(loading.draught_aft_m, ship.draught_aft_m) or 0.0
    return ship.air_draught_m + max(ship.draught_fore_m - fore_m, ship.draught_aft_m - aft_m)


_Value = TypeVar("_Value")


def _or(tried: _Value | None, planned: _Value | None) -> _Value | None:
    """Return what is tried, else what is planned."""
    return planned if tried is None else tried


def _at_speed(settled: Settled | None, speed_kn: float) -> Settled | None:
    """Return what the schedule settled, with the speed that is tried in place of its own."""
    if settled is None:
        return None
    return replace(settled, speed_kn=speed_kn, speed_source="leg")


def _waypoint(waypoint: Waypoint, index: int, tried: Tried) -> Waypoint:
    """Return the waypoint of the turn with what is tried there."""
    if tried.turn_radius_nm is not None:
        waypoint = replace(waypoint, turn_radius_nm=tried.turn_radius_nm)
    if tried.distance_nm is not None:
        choice = WheelOverChoice(distance_nm=tried.distance_nm)
        waypoint = replace(waypoint, wheel_over=choice)
    if tried.speed_kn is not None and index > 0:
        leg = replace(waypoint.leg or LegWishes(), speed_kn=tried.speed_kn)
        waypoint = replace(waypoint, leg=leg, settled=_at_speed(waypoint.settled, tried.speed_kn))
    planned = waypoint.turn or TurnWishes()
    turn = replace(
        planned,
        rudder_deg=_or(tried.rudder_deg, planned.rudder_deg),
        steering=_or(tried.steering, planned.steering),
        set_deg=_or(tried.set_deg, planned.set_deg),
        drift_kn=_or(tried.drift_kn, planned.drift_kn),
    )
    return replace(waypoint, turn=turn)
