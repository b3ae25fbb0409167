"""Alterations of course, each from its two legs to its planned wheel-over."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, get_args

from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.turns.chosen import (
    CHANGE_TOLERANCE_DEG,
    DEFAULT_METHOD,
    lines_of,
    planned_wheel_overs,
)
from wheelover.core.turns.compare import all_methods, spread_of
from wheelover.core.turns.setting import TurnSetting, reach_of, turn_speed_kn, with_ship
from wheelover.core.turns.solve_arc import MOST_CHANGE_DEG, Bend, solve_arcs
from wheelover.core.turns.together import each_or_reason
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.manoeuvre import NO_CURRENT, Current, Steering
from wheelover.core.types.route import CurrentSource, Method, Waypoint
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import (
    Arc,
    LegLine,
    NotApplicable,
    PlannedLeg,
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

RadiusSource = Literal["waypoint", "ship"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A waypoint between two legs; a leg is None where it has no length and so no course.

    ``current`` is that of the turn, else of the leg that leads to it, else of the plan; None where
    none is given.
    """

    index: int
    waypoint_index: int
    waypoint: Waypoint
    leg_in: LegLine | None
    leg_out: LegLine | None
    approach_speed_kn: float | None
    current: Current | None = None
    current_source: CurrentSource | None = None


def plan_turns(
    corners: Sequence[Corner], ship: ShipProfile | None, conditions: Conditions
) -> tuple[PlannedTurn, ...]:
    """Return the turns at corners: arc, wheel-overs of every method and the planned one.

    Parameters
    ----------
    corners : sequence of Corner
        The waypoints and the legs that meet there. They are computed together, which takes less
        time; none has an influence on another.
    ship : ShipProfile or None
        Gives radius, reach and speed in the turn where a waypoint gives none.
    conditions : Conditions
        Current, water and wind in the turns.

    Returns
    -------
    tuple of PlannedTurn
        Whether a turn fits between its neighbours is not known here; ``fits`` says only that there
        is an arc, until the legs around it have been measured.
    """
    with_course = [one for one in corners if one.leg_in is not None and one.leg_out is not None]
    settings = _settings(with_course, ship, conditions)
    wheel_overs = all_methods(settings)
    waypoints = [corner.waypoint for corner in with_course]
    planned = planned_wheel_overs(waypoints, settings, wheel_overs)
    lines = lines_of(planned, settings)
    turns = {
        corner.index: _at_speed(_turn(corner, ship, setting, rows, chosen, line), ship)
        for corner, setting, rows, chosen, line in zip(
            with_course, settings, wheel_overs, planned, lines, strict=True
        )
    }
    return tuple(turns.get(one.index) or _without_course(one, ship) for one in corners)


def _turn(
    corner: Corner,
    ship: ShipProfile | None,
    setting: TurnSetting,
    wheel_overs: tuple[WheelOver | NotApplicable, ...],
    planned: PlannedWheelOver,
    line: WheelOverLine | None,
) -> PlannedTurn:
    """Return a turn put together from its parts."""
    return PlannedTurn(
        index=corner.index,
        waypoint_index=corner.waypoint_index,
        waypoint_id=corner.waypoint.id,
        course_in_deg=setting.leg_in.arrival_course_deg,
        course_out_deg=setting.leg_out.course_deg,
        course_change_deg=setting.course_change_deg,
        radius_m=setting.radius_m,
        radius_source=radius_of(corner.waypoint, ship)[1],
        arc=setting.arc,
        reason=setting.reason,
        approach_speed_kn=corner.approach_speed_kn,
        reach_m=setting.reach_m,
        reach_source=reach_of(ship, corner.approach_speed_kn)[1],
        wheel_overs=wheel_overs,
        planned=planned,
        wheel_over_line=line,
        spread=spread_of(wheel_overs, corner.approach_speed_kn),
        fits=setting.arc is not None,
    )


def _settings(
    corners: Sequence[Corner], ship: ShipProfile | None, conditions: Conditions
) -> list[TurnSetting]:
    """Return turns between legs that have a course, as the methods see them."""
    legs = [
        (c.leg_in, c.leg_out) for c in corners if c.leg_in is not None and c.leg_out is not None
    ]
    changes_deg = signed_change_deg(
        [leg_in.arrival_course_deg for leg_in, _ in legs],
        [leg_out.course_deg for _, leg_out in legs],
    ).tolist()
    radii_m = [radius_of(corner.waypoint, ship)[0] for corner in corners]
    arcs = _arcs_or_reasons(
        [_bend(*pair, *more) for pair, *more in zip(legs, radii_m, changes_deg, strict=True)]
    )
    settings = []
    for corner, pair, change_deg, radius_m, (arc, reason) in zip(
        corners, legs, changes_deg, radii_m, arcs, strict=True
    ):
        reach_m, _, reach_reason = reach_of(ship, corner.approach_speed_kn)
        setting = TurnSetting(
            leg_in=pair[0],
            leg_out=pair[1],
            course_change_deg=change_deg,
            arc=arc,
            reason=reason,
            reach_m=reach_m,
            reach_reason=reach_reason,
            radius_m=radius_m,
            approach_speed_kn=corner.approach_speed_kn,
            steering=_steering(corner.waypoint),
            current=corner.current or NO_CURRENT,
            current_given=corner.current is not None,
        )
        planned = with_ship(setting, ship, conditions)
        settings.append(_with_own_rudder(planned, corner.waypoint))
    return settings


def arcs_between(
    legs: Sequence[tuple[LegLine, LegLine]], radii_m: Sequence[float | None]
) -> list[Arc | None]:
    """Return the arcs of turns without anything else of them, None where there is none.

    Parameters
    ----------
    legs : sequence of two LegLine each
        The legs to and from each waypoint.
    radii_m : sequence of float or None
        The planned radius of each.
    """
    changes_deg = signed_change_deg(
        [leg_in.arrival_course_deg for leg_in, _ in legs],
        [leg_out.course_deg for _, leg_out in legs],
    ).tolist()
    bends = [_bend(*pair, *more) for pair, *more in zip(legs, radii_m, changes_deg, strict=True)]
    return [arc for arc, _ in _arcs_or_reasons(bends)]


def setting_of(
    turn: PlannedTurn,
    beside: tuple[PlannedLeg, PlannedLeg],
    waypoint: Waypoint,
    ship: ShipProfile | None,
    conditions: Conditions,
) -> TurnSetting:
    """Return a planned turn as the methods see it.

    Parameters
    ----------
    turn : PlannedTurn
        The turn.
    beside : tuple of two PlannedLeg
        The legs to and from its waypoint.
    waypoint : Waypoint
        The waypoint, with its wishes.
    ship : ShipProfile or None
        The ship.
    conditions : Conditions
        Water and wind.

    Raises
    ------
    OutOfDomain
        For a turn beside a leg of no length.
    """
    leg_in, leg_out = beside[0].path, beside[1].path
    if leg_in is None or leg_out is None or turn.course_change_deg is None:
        raise OutOfDomain("a leg beside this waypoint has no length, and so no course")
    reach_m, _, reach_reason = reach_of(ship, turn.approach_speed_kn)
    given = turn.current_set_deg is not None and turn.current_drift_kn is not None
    setting = TurnSetting(
        leg_in=leg_in,
        leg_out=leg_out,
        course_change_deg=turn.course_change_deg,
        arc=turn.arc,
        reason=turn.reason,
        reach_m=reach_m,
        reach_reason=reach_reason,
        radius_m=turn.radius_m,
        approach_speed_kn=turn.approach_speed_kn,
        steering=turn.steering,
        current=Current(
            set_deg=turn.current_set_deg or 0.0,
            drift_m_per_s=m_per_s_from_kn(turn.current_drift_kn or 0.0),
        ),
        current_given=given,
    )
    return _with_own_rudder(with_ship(setting, ship, conditions), waypoint)


def _steering(waypoint: Waypoint) -> Steering:
    """Return how the turn at a waypoint is steered; by rudder where nobody said."""
    return "rudder" if waypoint.turn is None else waypoint.turn.steering or "rudder"


def _with_own_rudder(setting: TurnSetting, waypoint: Waypoint) -> TurnSetting:
    """Return the setting with the rudder planned for this turn, where one is."""
    if waypoint.turn is None or waypoint.turn.rudder_deg is None:
        return setting
    return replace(setting, planned_rudder_deg=waypoint.turn.rudder_deg)


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


def _bend(
    leg_in: LegLine, leg_out: LegLine, radius_m: float | None, change_deg: float
) -> Bend | str:
    """Return the turn to be solved, or the reason why there is none to solve."""
    if abs(change_deg) > MOST_CHANGE_DEG + CHANGE_TOLERANCE_DEG:
        return (
            f"a change of course of {abs(change_deg):.1f} degrees is over "
            f"{MOST_CHANGE_DEG:.0f}: no waypoint construction exists"
        )
    if radius_m is None:
        return "no turn radius is given, by the waypoint or by the ship"
    return Bend(leg_in=leg_in, leg_out=leg_out, radius_m=radius_m, course_change_deg=change_deg)


def _arcs_or_reasons(bends: Sequence[Bend | str]) -> list[tuple[Arc | None, str | None]]:
    """Return the arc of each turn, or the reason why there is none."""
    solved = iter(each_or_reason(solve_arcs, [one for one in bends if isinstance(one, Bend)]))
    answers: list[tuple[Arc | None, str | None]] = []
    for one in bends:
        found = next(solved) if isinstance(one, Bend) else one
        if found is None:
            found = "no circle of this radius was found tangent to both legs"
        elif isinstance(found, OutOfDomain):
            found = f"no circle of this radius exists here: {found}"
        answers.append((found, None) if isinstance(found, Arc) else (None, found))
    return answers


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
