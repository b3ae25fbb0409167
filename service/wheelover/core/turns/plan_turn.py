"""One alteration of course, from its two legs to its planned wheel-over."""

import math
from dataclasses import dataclass, replace
from typing import Literal, get_args

from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.turns.arc import before_waypoint
from wheelover.core.turns.compare import all_methods, spread_of
from wheelover.core.turns.setting import TurnSetting, reach_of, turn_speed_kn, with_ship
from wheelover.core.turns.solve_arc import MOST_CHANGE_DEG, solve_arc
from wheelover.core.turns.wheel_over_line import wheel_over_line
from wheelover.core.types.route import Method, Waypoint
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import (
    Arc,
    LegLine,
    NotApplicable,
    PlannedTurn,
    PlannedWheelOver,
    WheelOver,
    WheelOverLine,
)
from wheelover.core.units import (
    m_from_nm,
    m_per_s_from_kn,
    nm_from_m,
    rate_of_turn_deg_per_min,
    trade_rate_of_turn_deg_per_min,
)

DEFAULT_METHOD: Method = "geometric"
_CHANGE_TOLERANCE_DEG = 1e-9

RadiusSource = Literal["waypoint", "ship"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A waypoint between two legs; a leg is None where it has no length and so no course."""

    index: int
    waypoint_index: int
    waypoint: Waypoint
    leg_in: LegLine | None
    leg_out: LegLine | None
    approach_speed_kn: float | None


def plan_turn(corner: Corner, ship: ShipProfile | None) -> PlannedTurn:
    """Return the turn at a corner: arc, wheel-overs of every method and the planned one.

    Parameters
    ----------
    corner : Corner
        The waypoint and the legs that meet there.
    ship : ShipProfile or None
        Gives radius, reach and speed in the turn where the waypoint gives none.

    Returns
    -------
    PlannedTurn
        Whether it fits between its neighbours is not known here; ``fits`` says only that there is
        an arc, until the legs around it have been measured.
    """
    if corner.leg_in is None or corner.leg_out is None:
        return _without_course(corner, ship)
    leg_in, leg_out = corner.leg_in, corner.leg_out
    radius_m, radius_source = radius_of(corner.waypoint, ship)
    change_deg = float(signed_change_deg(leg_in.arrival_course_deg, leg_out.course_deg))
    arc, reason = _arc_or_reason(leg_in, leg_out, radius_m, change_deg)
    reach_m, reach_source, reach_reason = reach_of(ship, corner.approach_speed_kn)
    setting = TurnSetting(
        leg_in=leg_in,
        leg_out=leg_out,
        course_change_deg=change_deg,
        arc=arc,
        reason=reason,
        reach_m=reach_m,
        reach_reason=reach_reason,
        radius_m=radius_m,
        approach_speed_kn=corner.approach_speed_kn,
    )
    wheel_overs = all_methods(with_ship(setting, ship))
    planned = _planned(corner.waypoint, wheel_overs, leg_in)
    turn = PlannedTurn(
        index=corner.index,
        waypoint_index=corner.waypoint_index,
        waypoint_id=corner.waypoint.id,
        course_in_deg=leg_in.arrival_course_deg,
        course_out_deg=leg_out.course_deg,
        course_change_deg=change_deg,
        radius_m=radius_m,
        radius_source=radius_source,
        arc=arc,
        reason=reason,
        approach_speed_kn=corner.approach_speed_kn,
        reach_m=reach_m,
        reach_source=reach_source,
        wheel_overs=wheel_overs,
        planned=planned,
        wheel_over_line=_line(planned, leg_out, change_deg),
        spread=spread_of(wheel_overs, corner.approach_speed_kn),
        fits=arc is not None,
    )
    return _at_speed(turn, ship)


def _at_speed(turn: PlannedTurn, ship: ShipProfile | None) -> PlannedTurn:
    """Return a turn with its speed, rate and duration, as far as the speed is known.

    The speed through the water is the approach speed times the ship's ratio, held all round.
    """
    speed_kn = turn_speed_kn(ship, turn.approach_speed_kn)
    if speed_kn is None:
        return turn
    if turn.arc is None:
        return replace(turn, turn_speed_kn=speed_kn)
    radius_nm = nm_from_m(turn.arc.radius_m)
    sign = math.copysign(1.0, turn.arc.sweep_deg)
    return replace(
        turn,
        turn_speed_kn=speed_kn,
        rate_deg_per_min=sign * rate_of_turn_deg_per_min(speed_kn, radius_nm),
        trade_rate_deg_per_min=sign * trade_rate_of_turn_deg_per_min(speed_kn, radius_nm),
        duration_s=turn.arc.arc_m / m_per_s_from_kn(speed_kn),
    )


def radius_of(
    waypoint: Waypoint, ship: ShipProfile | None
) -> tuple[float | None, RadiusSource | None]:
    """Return the planned radius in metres and where it comes from.

    Parameters
    ----------
    waypoint : Waypoint
        Its own radius counts first.
    ship : ShipProfile or None
        Her radius counts where the waypoint gives none.
    """
    if waypoint.turn_radius_nm is not None:
        return m_from_nm(waypoint.turn_radius_nm), "waypoint"
    if ship is not None and ship.turn_radius_nm is not None:
        return m_from_nm(ship.turn_radius_nm), "ship"
    return None, None


def _arc_or_reason(
    leg_in: LegLine, leg_out: LegLine, radius_m: float | None, change_deg: float
) -> tuple[Arc | None, str | None]:
    """Return the arc, or the reason why there is none."""
    if abs(change_deg) > MOST_CHANGE_DEG + _CHANGE_TOLERANCE_DEG:
        return None, (
            f"a change of course of {abs(change_deg):.1f} degrees is over "
            f"{MOST_CHANGE_DEG:.0f}: no waypoint construction exists"
        )
    if radius_m is None:
        return None, "no turn radius is given, by the waypoint or by the ship"
    try:
        arc = solve_arc(leg_in, leg_out, radius_m, change_deg)
    except OutOfDomain as error:
        return None, f"no circle of this radius exists here: {error}"
    if arc is None:
        return None, "no circle of this radius was found tangent to both legs"
    return arc, None


def _planned(
    waypoint: Waypoint, wheel_overs: tuple[WheelOver | NotApplicable, ...], leg_in: LegLine
) -> PlannedWheelOver:
    """Return the navigator's choice, or the default. A choice without a result stays empty."""
    choice = waypoint.wheel_over
    if choice is not None and choice.distance_nm is not None:
        return _own(m_from_nm(choice.distance_nm), leg_in)
    chosen = choice.method if choice is not None else None
    method = chosen or DEFAULT_METHOD
    row = next(one for one in wheel_overs if one.method == method)
    found = row if isinstance(row, WheelOver) else None
    return PlannedWheelOver(
        method=method,
        source="default" if chosen is None else "waypoint",
        distance_m=None if found is None else found.distance_m,
        position=None if found is None else found.position,
    )


def _own(distance_m: float, leg_in: LegLine) -> PlannedWheelOver:
    """Return the navigator's own distance; none where the leg run back would pass a pole."""
    try:
        position = before_waypoint(leg_in, distance_m)
    except OutOfDomain:
        return PlannedWheelOver(method="own", source="waypoint", distance_m=None, position=None)
    return PlannedWheelOver(
        method="own", source="waypoint", distance_m=distance_m, position=position
    )


def _line(planned: PlannedWheelOver, leg_out: LegLine, change_deg: float) -> WheelOverLine | None:
    """Return the wheel-over line of the planned wheel-over, where there is one."""
    if planned.position is None or planned.distance_m is None:
        return None
    if abs(change_deg) > MOST_CHANGE_DEG + _CHANGE_TOLERANCE_DEG:
        return None
    try:
        return wheel_over_line(planned.position, leg_out, leg_out.course_deg, planned.distance_m)
    except OutOfDomain:
        # Beside a pole the outbound leg cannot be run back far enough to measure the offset from.
        return None


def _without_course(corner: Corner, ship: ShipProfile | None) -> PlannedTurn:
    """Return the turn at the end of a leg of no length: nothing is computed through it."""
    reason = "a leg beside this waypoint has no length, and so no course"
    radius_m, radius_source = radius_of(corner.waypoint, ship)
    choice = corner.waypoint.wheel_over
    chosen = None if choice is None else choice.method
    return PlannedTurn(
        index=corner.index,
        waypoint_index=corner.waypoint_index,
        waypoint_id=corner.waypoint.id,
        course_in_deg=None if corner.leg_in is None else corner.leg_in.arrival_course_deg,
        course_out_deg=None if corner.leg_out is None else corner.leg_out.course_deg,
        radius_m=radius_m,
        radius_source=radius_source,
        reason=reason,
        approach_speed_kn=corner.approach_speed_kn,
        wheel_overs=tuple(NotApplicable(method=m, reason=reason) for m in get_args(Method)),
        planned=PlannedWheelOver(
            method="own" if choice is not None and chosen is None else chosen or DEFAULT_METHOD,
            source="default" if choice is None else "waypoint",
            distance_m=None,
            position=None,
        ),
        fits=False,
    )
