"""Courses by compass and the sun at critical points, as JSON values."""

from typing import Any

from wheelover.core.schedule.variation import MODEL
from wheelover.core.types.compass import Courses, LegCourses
from wheelover.core.types.plan import Plan
from wheelover.core.types.sky import Above, SunRow
from wheelover.core.utc import utc_from_seconds
from wheelover.render.rounding import DEGREES, OTHER, course, position, rounded

Document = dict[str, Any]


def leg_courses_documents(plan: Plan) -> dict[int, Document]:
    """Return the courses of each leg by every compass, by its index.

    The variation is that where the leg begins, on the day that she begins it.
    """
    return {one.leg_index: _leg(one) for one in plan.sky.courses}


def _leg(one: LegCourses) -> Document:
    """Return the courses of one leg."""
    return {
        **_courses(one.course),
        "variation_deg": rounded(one.variation.value_deg, DEGREES),
        "variation_end_deg": rounded(one.variation_end.value_deg, DEGREES),
        "uncertainty_deg": rounded(one.variation.uncertainty_deg, OTHER),
        "horizontal_nt": rounded(one.variation.horizontal_nt, OTHER),
        "zone": one.variation.zone,
        "model": MODEL,
        "to_steer": None if one.to_steer is None else _courses(one.to_steer),
        "not_known": list(one.not_known),
        "notes": list(one.notes),
    }


def _courses(one: Courses | None) -> Document:
    """Return one direction by every compass; null throughout for a leg without length."""
    return {
        "true_deg": None if one is None else course(one.true_deg),
        "magnetic_deg": None if one is None else course(one.magnetic_deg),
        "gyro_deg": None if one is None else course(one.gyro_deg),
        "deviation_deg": None if one is None else rounded(one.deviation_deg, DEGREES),
        "compass_deg": None if one is None else course(one.compass_deg),
    }


def sun_documents(plan: Plan) -> list[Document]:
    """Return the sun at every waypoint and planned wheel-over, in sailing order."""
    return [_sun(one) for one in plan.sky.sun]


def _sun(row: SunRow) -> Document:
    """Return the sun at one point."""
    day, point = row.day, row.point
    return {
        "waypoint_id": point.waypoint_id,
        "waypoint_index": point.waypoint_index,
        "part": point.part,
        "position": position(point.position),
        "at_utc": None if row.at_s is None else utc_from_seconds(row.at_s),
        "reason": row.reason,
        "light": None if day is None else day.light,
        "altitude_deg": None if day is None else rounded(day.altitude_deg, OTHER),
        "noon_utc": None if day is None else utc_from_seconds(day.noon_s),
        "up": None if day is None else _above(day.up),
        "civil": None if day is None else _above(day.civil),
        "nautical": None if day is None else _above(day.nautical),
        "astronomical": None if day is None else _above(day.astronomical),
    }


def _above(span: Above) -> Document:
    """Return from when to when the sun is above a height, or that this lasts."""
    return {
        "from_utc": None if span.from_s is None else utc_from_seconds(span.from_s),
        "to_utc": None if span.to_s is None else utc_from_seconds(span.to_s),
        "lasting": span.lasting,
    }
