"""The planned wheel-over: the navigator's choice, or the default, and the line through it."""

from collections.abc import Sequence

from wheelover.core.errors import OutOfDomain
from wheelover.core.turns.arc import before_waypoint
from wheelover.core.turns.compare import over_ground_m_per_s, simulated_row
from wheelover.core.turns.setting import TurnSetting
from wheelover.core.turns.simulated import off_track_m
from wheelover.core.turns.solve_arc import MOST_CHANGE_DEG
from wheelover.core.turns.together import each_or_reason
from wheelover.core.turns.wheel_over_line import LineAsked, wheel_over_lines
from wheelover.core.types.route import Method, Position, Waypoint
from wheelover.core.types.track import (
    NotApplicable,
    PlannedWheelOver,
    WheelOver,
    WheelOverLine,
)
from wheelover.core.units import m_from_nm

DEFAULT_METHOD: Method = "geometric"
OWN_DATA_METHOD: Method = "simulated"
"""The default where the ship's response is known from her own records or trials."""

CHANGE_TOLERANCE_DEG = 1e-9


def planned_wheel_overs(
    waypoints: Sequence[Waypoint],
    settings: Sequence[TurnSetting],
    wheel_overs: Sequence[tuple[WheelOver | NotApplicable, ...]],
) -> list[PlannedWheelOver]:
    """Return the planned wheel-over of each turn. A choice without a result stays empty.

    Parameters
    ----------
    waypoints : sequence of Waypoint
        Where the turns are; they hold the navigator's choices.
    settings : sequence of TurnSetting
        The turns.
    wheel_overs : sequence of tuple
        What all methods say of each.
    """
    own_m = [_own_distance_m(waypoint) for waypoint in waypoints]
    runs = [
        (setting.leg_in, distance_m)
        for setting, distance_m in zip(settings, own_m, strict=True)
        if distance_m is not None
    ]
    places = iter(each_or_reason(before_waypoint, runs))
    return [
        _by_method(waypoint, rows, setting)
        if distance_m is None
        else _own(distance_m, next(places), rows, setting)
        for waypoint, rows, setting, distance_m in zip(
            waypoints, wheel_overs, settings, own_m, strict=True
        )
    ]


def default_method(rows: Sequence[WheelOver | NotApplicable], setting: TurnSetting) -> Method:
    """Return the method of a turn for which nobody chose one.

    Parameters
    ----------
    rows : sequence of WheelOver or NotApplicable
        The answers of all methods.
    setting : TurnSetting
        The turn: simulation is taken where it rests on the ship's own data, and gives something.
    """
    response = None if setting.ship is None else setting.ship.response
    own = response is not None and response.is_her_own
    return OWN_DATA_METHOD if own and simulated_row(rows) is not None else DEFAULT_METHOD


def lines_of(
    planned: Sequence[PlannedWheelOver], settings: Sequence[TurnSetting]
) -> list[WheelOverLine | None]:
    """Return the wheel-over line of each planned wheel-over, None where there is none.

    Parameters
    ----------
    planned : sequence of PlannedWheelOver
        The planned wheel-overs.
    settings : sequence of TurnSetting
        Their turns.
    """
    asked = [_asked(one, setting) for one, setting in zip(planned, settings, strict=True)]
    found = iter(each_or_reason(wheel_over_lines, [one for one in asked if one is not None]))
    lines = [None if one is None else next(found) for one in asked]
    # Beside a pole the outbound leg cannot be run back far enough to measure the offset from.
    return [None if isinstance(line, OutOfDomain) else line for line in lines]


def _own_distance_m(waypoint: Waypoint) -> float | None:
    """Return the navigator's own distance before a waypoint, where one is given."""
    choice = waypoint.wheel_over
    if choice is None or choice.distance_nm is None:
        return None
    return m_from_nm(choice.distance_nm)


def _own(
    distance_m: float,
    place: Position | OutOfDomain,
    rows: tuple[WheelOver | NotApplicable, ...],
    setting: TurnSetting,
) -> PlannedWheelOver:
    """Return the navigator's own distance; none where the leg run back would pass a pole."""
    if isinstance(place, OutOfDomain):
        return PlannedWheelOver(method="own", source="waypoint", distance_m=None, position=None)
    run = simulated_row(rows)
    change_deg = setting.course_change_deg
    speed_m_per_s = over_ground_m_per_s(setting)
    return PlannedWheelOver(
        method="own",
        source="waypoint",
        distance_m=distance_m,
        position=place,
        off_track_m=None if run is None else off_track_m(distance_m, run.distance_m, change_deg),
        before_waypoint_s=None if speed_m_per_s is None else distance_m / speed_m_per_s,
    )


def _by_method(
    waypoint: Waypoint,
    wheel_overs: tuple[WheelOver | NotApplicable, ...],
    setting: TurnSetting,
) -> PlannedWheelOver:
    """Return the wheel-over of the chosen method, or of the default."""
    chosen = None if waypoint.wheel_over is None else waypoint.wheel_over.method
    method = chosen or default_method(wheel_overs, setting)
    row = next(one for one in wheel_overs if one.method == method)
    found = row if isinstance(row, WheelOver) else None
    return PlannedWheelOver(
        method=method,
        source="default" if chosen is None else "waypoint",
        distance_m=None if found is None else found.distance_m,
        position=None if found is None else found.position,
        off_track_m=None if found is None else found.off_track_m,
        before_waypoint_s=None if found is None else found.before_waypoint_s,
    )


def _asked(planned: PlannedWheelOver, setting: TurnSetting) -> LineAsked | None:
    """Return the line through a planned wheel-over, None where no such line has a meaning."""
    if planned.position is None or planned.distance_m is None:
        return None
    if abs(setting.course_change_deg) > MOST_CHANGE_DEG + CHANGE_TOLERANCE_DEG:
        return None
    return LineAsked(
        wheel_over=planned.position, leg_out=setting.leg_out, reach_back_m=planned.distance_m
    )
