"""The schedule of a plan as JSON values."""

from typing import Any

from wheelover.core.types.plan import Plan
from wheelover.core.types.schedule import (
    ArrivalWindow,
    LegTime,
    StreamStep,
    WaypointTime,
    WheelOverTime,
    ZoneAt,
)
from wheelover.core.units import nm_from_m
from wheelover.render.rounding import MILES, OTHER, SECONDS, course, rounded
from wheelover.render.schedule_more import areas_document, fuel_document
from wheelover.render.times import utc, zone_time

Document = dict[str, Any]


def schedule_document(plan: Plan) -> Document:
    """Return the schedule: waypoints, wheel-overs, legs and windows of arrival.

    Times count in seconds from the departure, and stand as UTC beside it where that is known.
    """
    schedule = plan.schedule
    start_s = schedule.departure_s
    last = schedule.rows[-1] if schedule.rows else None
    return {
        "departure_utc": utc(start_s),
        "departure_source": schedule.departure_source,
        "arrival_utc": None if last is None else _at(start_s, last.eta_s),
        "distance_nm": _miles(plan.track_m),
        "duration_s": rounded(schedule.duration_s, SECONDS),
        "reason": schedule.reason,
        "rows": [_row(one, plan, start_s) for one in schedule.rows],
        "wheel_overs": [_wheel_over(one, plan, start_s) for one in schedule.wheel_overs],
        "legs": [_leg(one, plan, start_s) for one in schedule.legs],
        "windows": [_window(one, plan) for one in schedule.windows],
        "areas": areas_document(schedule),
        "areas_reason": schedule.areas_reason,
        "fuel": fuel_document(schedule),
    }


def _miles(length_m: float | None) -> float | None:
    """Return a length in miles, rounded."""
    return None if length_m is None else rounded(nm_from_m(length_m), MILES)


def _at(start_s: float | None, after_s: float | None) -> str | None:
    """Return the time of the clock of one that counts from the departure."""
    return None if start_s is None or after_s is None else utc(start_s + after_s)


def _in_zone(start_s: float | None, after_s: float | None, zone: ZoneAt) -> str | None:
    """Return a time that counts from the departure as the clock on board shows it."""
    if start_s is None or after_s is None:
        return None
    return zone_time(start_s + after_s, zone.description_h)


def _row(one: WaypointTime, plan: Plan, start_s: float | None) -> Document:
    """Return the times of a waypoint."""
    waypoint = plan.route.waypoints[one.waypoint_index]
    zone = plan.schedule.zones[one.waypoint_index]
    return {
        "waypoint_id": waypoint.id,
        "waypoint_index": one.waypoint_index,
        "name": waypoint.name,
        "eta_utc": _at(start_s, one.eta_s),
        "eta_after_s": rounded(one.eta_s, SECONDS),
        "zone_description_h": zone.description_h,
        "zone_source": "given" if zone.given else "longitude",
        "eta_zone": _in_zone(start_s, one.eta_s, zone),
        "eta_source": one.source,
        "eta_given_utc": utc(one.given_s),
        "stay_s": rounded(one.stay_s, SECONDS),
        "etd_utc": _at(start_s, one.etd_s),
        "etd_zone": _in_zone(start_s, one.etd_s, zone),
        "etd_after_s": rounded(one.etd_s, SECONDS),
        "distance_nm": _miles(one.run_m),
        "to_go_nm": _miles(one.to_go_m),
        "reason": one.reason,
    }


def _wheel_over(one: WheelOverTime, plan: Plan, start_s: float | None) -> Document:
    """Return the times of a turn."""
    return {
        "waypoint_id": plan.route.waypoints[one.waypoint_index].id,
        "waypoint_index": one.waypoint_index,
        "turn_index": one.turn_index,
        "at_utc": _at(start_s, one.at_s),
        "at_zone": _in_zone(start_s, one.at_s, plan.schedule.zones[one.waypoint_index]),
        "after_s": rounded(one.at_s, SECONDS),
        "to_go_nm": _miles(one.to_go_m),
        "arc_start_utc": _at(start_s, one.arc_start_s),
        "arc_start_after_s": rounded(one.arc_start_s, SECONDS),
        "arc_end_utc": _at(start_s, one.arc_end_s),
        "arc_end_after_s": rounded(one.arc_end_s, SECONDS),
        "time_lost_s": rounded(one.lost_s, SECONDS),
        "reason": one.reason,
        "arc_reason": one.arc_reason,
    }


def _leg(one: LegTime, plan: Plan, start_s: float | None) -> Document:
    """Return the times of a leg, with what is steered and made good on it."""
    leg = plan.legs[one.leg_index]
    duration_s = None
    if one.start_s is not None and one.end_s is not None:
        duration_s = one.end_s - one.start_s
    return {
        "leg_index": one.leg_index,
        "from_id": leg.from_id,
        "to_id": leg.to_id,
        "start_utc": _at(start_s, one.start_s),
        "start_after_s": rounded(one.start_s, SECONDS),
        "end_utc": _at(start_s, one.end_s),
        "end_after_s": rounded(one.end_s, SECONDS),
        "duration_s": rounded(duration_s, SECONDS),
        "distance_nm": _miles(one.length_m),
        "course_deg": None if leg.path is None else course(leg.path.course_deg),
        "steer_deg": course(one.steer_deg),
        "speed_kn": rounded(one.speed_kn, OTHER),
        "speed_source": one.speed_source,
        "speed_over_ground_kn": rounded(one.over_ground_kn, OTHER),
        "set_deg": course(one.set_deg),
        "drift_kn": rounded(one.drift_kn, OTHER),
        "current_source": one.current_source,
        "station": one.station,
        "covered": one.covered,
        "streams": [_step(step, start_s) for step in one.steps],
        "reason": one.reason,
        "note": one.note,
    }


def _step(one: StreamStep, start_s: float | None) -> Document:
    """Return the stream at a time on a leg, and what is steered and made good in it."""
    return {
        "at_utc": _at(start_s, one.at_s),
        "set_deg": course(one.set_deg),
        "drift_kn": rounded(one.drift_kn, OTHER),
        "steer_deg": course(one.steer_deg),
        "speed_over_ground_kn": rounded(one.over_ground_kn, OTHER),
    }


def _window(one: ArrivalWindow, plan: Plan) -> Document:
    """Return a window of arrival and whether she meets it."""
    return {
        "waypoint_id": plan.route.waypoints[one.waypoint_index].id,
        "waypoint_index": one.waypoint_index,
        "from_utc": utc(one.from_s),
        "to_utc": utc(one.to_s),
        "result": one.result,
        "off_s": rounded(one.off_s, SECONDS),
        "reason": one.reason,
    }
