"""The wheel-over methods, side by side. Nobody picks a winner in code."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import speed_made_good_m_per_s
from wheelover.core.turns.arc import before_waypoint
from wheelover.core.turns.geometric import geometric
from wheelover.core.turns.setting import LaidBack, TurnSetting
from wheelover.core.turns.simulated import off_track_m, simulated
from wheelover.core.turns.table import advance_transfer
from wheelover.core.turns.thumb import rule_of_thumb
from wheelover.core.turns.together import each_or_reason
from wheelover.core.types.route import Position
from wheelover.core.types.track import MethodSpread, NotApplicable, WheelOver
from wheelover.core.units import m_per_s_from_kn

WheelOverMethod = Callable[[TurnSetting], LaidBack | NotApplicable]


METHODS: tuple[WheelOverMethod, ...] = (
    geometric,
    rule_of_thumb,
    advance_transfer,
    simulated,
)
"""Every method, in the order they are shown."""


def all_methods(
    settings: Sequence[TurnSetting],
) -> list[tuple[WheelOver | NotApplicable, ...]]:
    """Return one answer of every method for each turn, in the order of ``METHODS``."""
    laid = [(setting.leg_in, method(setting)) for setting in settings for method in METHODS]
    runs = [(leg_in, row.distance_m) for leg_in, row in laid if isinstance(row, LaidBack)]
    places = iter(each_or_reason(before_waypoint, runs))
    rows = [_placed(row, next(places)) if isinstance(row, LaidBack) else row for _, row in laid]
    count = len(METHODS)
    by_turn = [tuple(rows[at : at + count]) for at in range(0, len(rows), count)]
    return [_beside_track(of_turn, one) for of_turn, one in zip(by_turn, settings, strict=True)]


def simulated_row(rows: Sequence[WheelOver | NotApplicable]) -> WheelOver | None:
    """Return the simulated wheel-over among the answers of all methods, None where there is none.

    Parameters
    ----------
    rows : sequence of WheelOver or NotApplicable
        The answers of all methods.
    """
    return next(
        (row for row in rows if isinstance(row, WheelOver) and row.method == "simulated"), None
    )


def _beside_track(
    rows: tuple[WheelOver | NotApplicable, ...], setting: TurnSetting
) -> tuple[WheelOver | NotApplicable, ...]:
    """Return the answers of all methods with how long before the waypoint each is, and where it
    would leave her beside the new track.
    """
    speed_m_per_s = over_ground_m_per_s(setting)
    run = simulated_row(rows)
    change_deg = setting.course_change_deg
    return tuple(
        replace(
            row,
            off_track_m=None
            if run is None
            else off_track_m(row.distance_m, run.distance_m, change_deg),
            before_waypoint_s=None if speed_m_per_s is None else row.distance_m / speed_m_per_s,
        )
        if isinstance(row, WheelOver)
        else row
        for row in rows
    )


def over_ground_m_per_s(setting: TurnSetting) -> float | None:
    """Return her speed over the ground on the inbound leg, None where it is not known.

    Parameters
    ----------
    setting : TurnSetting
        The turn: the inbound leg, the approach speed and the current.
    """
    if setting.approach_speed_kn is None:
        return None
    through_m_per_s = m_per_s_from_kn(setting.approach_speed_kn)
    try:
        return speed_made_good_m_per_s(
            setting.leg_in.arrival_course_deg, through_m_per_s, setting.current
        )
    except OutOfDomain:
        # The course cannot be made good in this current: the simulated method says so.
        return None


def _placed(row: LaidBack, place: Position | OutOfDomain) -> WheelOver | NotApplicable:
    """Return the wheel-over of a method; none where the leg run back would pass a pole."""
    if isinstance(place, OutOfDomain):
        return NotApplicable(method=row.method, reason=str(place))
    return WheelOver(
        method=row.method,
        distance_m=row.distance_m,
        position=place,
        reach_m=row.reach_m,
        working=row.working,
        notes=row.notes,
        table=row.table,
        manoeuvre=row.manoeuvre,
    )


def spread_of(
    rows: tuple[WheelOver | NotApplicable, ...], approach_speed_kn: float | None
) -> MethodSpread | None:
    """Return how far apart the methods are, None where fewer than two give a wheel-over.

    Parameters
    ----------
    rows : tuple of WheelOver or NotApplicable
        The answers of all methods.
    approach_speed_kn : float or None
        Speed through the water on the inbound leg. In a current the time over the ground differs.
    """
    found = [row for row in rows if isinstance(row, WheelOver)]
    if len(found) < 2:
        return None
    earliest = max(found, key=lambda row: row.distance_m)
    latest = min(found, key=lambda row: row.distance_m)
    distance_m = earliest.distance_m - latest.distance_m
    return MethodSpread(
        earliest=earliest.method,
        latest=latest.method,
        distance_m=distance_m,
        time_s=None
        if approach_speed_kn is None
        else distance_m / m_per_s_from_kn(approach_speed_kn),
    )
