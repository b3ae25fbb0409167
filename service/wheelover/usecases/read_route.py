"""Read a route file and say of every row what was understood; nothing is stored."""

from typing import Any

from wheelover.core.types.route import Carried, LegWishes, TurnWishes, Waypoint, WheelOverChoice
from wheelover.formats.more_wishes import answered
from wheelover.formats.reading import RouteReading
from wheelover.formats.route_file import read_route


def read_route_file(body: bytes, file_name: str) -> dict[str, Any]:
    """Return the reading of a route file as a JSON document, its route as a plan takes it."""
    return reading_document(read_route(body, file_name))


def reading_document(reading: RouteReading) -> dict[str, Any]:
    """Return a reading as JSON values."""
    accepted = sum(1 for row in reading.report if row.problem is None)
    return {
        "format": reading.format,
        "route": {
            "name": reading.name,
            "waypoints": [_waypoint(waypoint) for waypoint in reading.waypoints],
            **({"carried": [_carried(one) for one in reading.carried]} if reading.carried else {}),
        },
        "report": [
            {
                "line": row.line,
                "raw": row.raw,
                "understood": row.understood,
                "problem": row.problem,
                "in_question": row.in_question,
                "choices": [{"hemispheres": name, "raw": raw} for name, raw in row.choices],
                "waypoint_id": row.waypoint_id,
            }
            for row in reading.report
        ],
        "accepted_count": accepted,
        "rejected_count": len(reading.report) - accepted,
        "read_as": reading.read_as,
        "notes": list(reading.notes),
    }


def _waypoint(waypoint: Waypoint) -> dict[str, Any]:
    """Return a waypoint in the shape a plan request takes; what was not given is left out."""
    members = {
        "id": waypoint.id,
        "lat_deg": waypoint.lat_deg,
        "lon_deg": waypoint.lon_deg,
        "name": waypoint.name,
        "turn_radius_nm": waypoint.turn_radius_nm,
        "gap_before": waypoint.gap_before or None,
        "gap_after": waypoint.gap_after or None,
        "wheel_over": _wheel_over(waypoint.wheel_over),
        "leg": None if waypoint.leg is None else _leg(waypoint.leg),
        "turn": None if waypoint.turn is None else _turn(waypoint.turn),
        **answered("waypoint", waypoint),
    }
    return _given(members)


def _given(members: dict[str, Any]) -> dict[str, Any]:
    """Return the members that say something."""
    return {member: value for member, value in members.items() if value is not None}


def _leg(wishes: LegWishes) -> dict[str, Any]:
    """Return what a file asks of the leg to a waypoint."""
    return _given(
        {
            "line": wishes.line,
            "speed_kn": wishes.speed_kn,
            "xtd_port_nm": wishes.xtd_port_nm,
            "xtd_starboard_nm": wishes.xtd_starboard_nm,
            "min_clearance_m": wishes.min_clearance_m,
            "set_deg": wishes.set_deg,
            "drift_kn": wishes.drift_kn,
            "charted_depth_m": wishes.charted_depth_m,
            "catzoc": wishes.catzoc,
            "channel_width_m": wishes.channel_width_m,
            "water": wishes.water,
            "min_clearance_by_class": dict(wishes.min_clearance_by_class) or None,
            **answered("leg", wishes),
        }
    )


def _turn(wishes: TurnWishes) -> dict[str, Any]:
    """Return what a file asks of the turn at a waypoint."""
    return _given(
        {
            "steering": wishes.steering,
            "rudder_deg": wishes.rudder_deg,
            "set_deg": wishes.set_deg,
            "drift_kn": wishes.drift_kn,
            **answered("turn", wishes),
        }
    )


def _wheel_over(choice: WheelOverChoice | None) -> dict[str, Any] | None:
    """Return the planned wheel-over a file gave."""
    if choice is None:
        return None
    return _given({"method": choice.method, "distance_nm": choice.distance_nm})


def _carried(piece: Carried) -> dict[str, Any]:
    """Return a piece of the file that is kept for writing it back."""
    return {
        "format": piece.format,
        "into": piece.into,
        "kind": piece.kind,
        "waypoint_id": piece.waypoint_id,
        "xml": piece.xml,
    }
