"""The wheel-over methods of a turn as JSON values."""

from typing import Any

from wheelover.core.turns.placed import places_from
from wheelover.core.types.manoeuvre import SimulatedTurn
from wheelover.core.types.route import Position
from wheelover.core.types.track import (
    MethodSpread,
    NotApplicable,
    PlannedTurn,
    TableUsed,
    WheelOver,
)
from wheelover.core.units import kn_from_m_per_s, nm_from_m
from wheelover.render.rounding import METRES, MILES, OTHER, SECONDS, course, position, rounded

Document = dict[str, Any]


def wheel_over(row: WheelOver | NotApplicable, turn: PlannedTurn, loa_m: float | None) -> Document:
    """Return the answer of one method; only the geometric one is made of the arc's tangent."""
    if isinstance(row, NotApplicable):
        return {
            "method": row.method,
            "status": "not_applicable",
            "reason": row.reason,
            "distance_nm": None,
            "position": None,
            "reach_m": None,
            "tangent_m": None,
            "off_track_m": None,
            "off_track_lengths": None,
            "off_track_side": None,
            "before_waypoint_s": None,
            "working": [],
            "notes": [],
            "table": None,
            "manoeuvre": None,
        }
    tangent_m = None if turn.arc is None or row.method != "geometric" else turn.arc.tangent_in_m
    return {
        "method": row.method,
        "status": "computed",
        "reason": None,
        "distance_nm": rounded(nm_from_m(row.distance_m), MILES),
        "position": position(row.position),
        "reach_m": rounded(row.reach_m, METRES),
        "tangent_m": rounded(tangent_m, METRES),
        "off_track_m": rounded(row.off_track_m, METRES),
        **_off_track(row.off_track_m, turn, loa_m),
        "before_waypoint_s": rounded(row.before_waypoint_s, SECONDS),
        "working": list(row.working),
        "notes": list(row.notes),
        "table": None if row.table is None else _table(row.table),
        "manoeuvre": None if row.manoeuvre is None else simulated_turn(row.manoeuvre, row.position),
    }


def planned_wheel_over(turn: PlannedTurn, loa_m: float | None) -> Document:
    """Return the planned wheel-over of a turn."""
    chosen = turn.planned
    return {
        "method": chosen.method,
        "source": chosen.source,
        "distance_nm": None
        if chosen.distance_m is None
        else rounded(nm_from_m(chosen.distance_m), MILES),
        "position": position(chosen.position),
        "off_track_m": rounded(chosen.off_track_m, METRES),
        **_off_track(chosen.off_track_m, turn, loa_m),
        "before_waypoint_s": rounded(chosen.before_waypoint_s, SECONDS),
    }


def _off_track(off_m: float | None, turn: PlannedTurn, loa_m: float | None) -> Document:
    """Return how many lengths off the new track she is left, and on which side of the bend."""
    change_deg = turn.course_change_deg
    if off_m is None or change_deg is None or loa_m is None:
        return {"off_track_lengths": None, "off_track_side": None}
    shown_m = rounded(off_m, METRES)
    side = None
    if shown_m != 0.0:
        side = "inside" if (shown_m > 0.0) == (change_deg > 0.0) else "outside"
    return {"off_track_lengths": rounded(abs(off_m) / loa_m, OTHER), "off_track_side": side}


def simulated_turn(found: SimulatedTurn, helm_at: Position) -> Document:
    """Return the simulated turn: its orders, and where she is at each."""
    east_m = [*(one.east_m for one in found.orders), float(found.motion.east_m[-1])]
    north_m = [*(one.north_m for one in found.orders), float(found.motion.north_m[-1])]
    lat, lon = places_from(helm_at, east_m, north_m)
    places = [
        Position(lat_deg=one_lat, lon_deg=one_lon)
        for one_lat, one_lon in zip(lat.tolist(), lon.tolist(), strict=True)
    ]
    return {
        "steering": found.steering,
        "rudder_for": found.rudder_for,
        "rudder_deg": rounded(found.rudder_deg, OTHER),
        "heading_in_deg": course(found.heading_in_deg),
        "heading_out_deg": course(found.heading_out_deg),
        "orders": [
            {
                "order": one.order,
                "at_s": rounded(one.at_s, SECONDS),
                "rudder_deg": rounded(one.rudder_deg, OTHER),
                "rate_deg_per_min": rounded(one.rate_deg_per_min, OTHER),
                "radius_nm": None
                if one.radius_m is None
                else rounded(nm_from_m(one.radius_m), MILES),
                "heading_deg": course(one.heading_deg),
                "position": position(place),
            }
            for one, place in zip(found.orders, places[:-1], strict=True)
        ],
        "steady_at_s": rounded(found.steady_at_s, SECONDS),
        "steady_position": position(places[-1]),
        "steady_speed_kn": rounded(kn_from_m_per_s(float(found.motion.speed_m_per_s[-1])), OTHER),
        "rate_max_deg_per_min": rounded(found.rate_max_deg_per_min, OTHER),
    }


def _table(used: TableUsed) -> Document:
    """Return the turning table in use and what was read out of it."""
    table = used.table
    return {
        "rudder_deg": rounded(table.rudder_deg, OTHER),
        "speed_kn": rounded(table.speed_kn, OTHER),
        "loading": table.loading,
        "side": table.side,
        "source": table.source,
        "rows_are": table.rows_are,
        "advance_m": rounded(used.advance_m, METRES),
        "transfer_m": rounded(used.transfer_m, METRES),
    }


def spread(apart: MethodSpread | None) -> Document | None:
    """Return how far the methods are apart."""
    if apart is None:
        return None
    return {
        "earliest": apart.earliest,
        "latest": apart.latest,
        "distance_m": rounded(apart.distance_m, METRES),
        "time_s": rounded(apart.time_s, SECONDS),
    }
