"""Runs of helm orders and their corners that the tests of the swept hull share. All invented."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from tests import zoo
from wheelover.core.geo import rhumb
from wheelover.core.geo.angles import normal_course_deg
from wheelover.core.legs import leg_line, points_along
from wheelover.core.manoeuvre.helm_orders import steady_turn
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.types.manoeuvre import Current, HelmOrder, Motion
from wheelover.core.types.route import Position
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import m_per_s_from_kn

LOA_M, BEAM_M, SPEED_KN = 200.0, 32.0, 12.0
RESPONSE = replace(zoo.QUICK_RESPONSE, drift_lag=0.0)
LEG_NM = 4.0
WAYPOINT = Position(lat_deg=55.0, lon_deg=4.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A simulated turn on its corner."""

    motion: Motion
    wheel_over: Position
    leg_in: PlannedLeg
    leg_out: PlannedLeg
    distance_m: float


def leg(start: Position, end: Position, index: int, **more: float | None) -> PlannedLeg:
    path = leg_line("rhumb", start, end)
    assert path is not None
    plain = PlannedLeg(
        index=index,
        from_index=index,
        from_id=f"W{index}",
        to_id=f"W{index + 1}",
        line="rhumb",
        path=path,
        track_from_m=0.0,
        track_to_m=path.length_m,
        room=True,
        speed_kn=SPEED_KN,
        speed_source="leg",
        set_deg=None,
        drift_kn=None,
        current_source=None,
        xtd_port_nm=None,
        xtd_starboard_nm=None,
        min_clearance_m=None,
    )
    return replace(plain, **more)  # type: ignore[arg-type]


@cache
def turn(
    course_in_deg: float = 30.0,
    change_deg: float = 70.0,
    *,
    rudder_deg: float = 15.0,
    current: Current | None = None,
    waypoint: Position = WAYPOINT,
    rows: int = 120,
    hard_over_deg: float | None = None,
) -> Turn:
    """Return a turn whose wheel-over is where she ends on the outbound leg.

    ``hard_over_deg`` gives the motion of another helm from the same wheel-over.
    """
    course_out_deg = float(normal_course_deg(course_in_deg + change_deg))
    model = ship_model(RESPONSE, LOA_M, SPEED_KN)
    more = {"rudder_rate_deg_per_s": 2.33, "helm_delay_s": 3.0, "current": current}
    planned = steady_turn(model, course_in_deg, course_out_deg, rudder_deg, **more)  # type: ignore[arg-type]
    run = planned
    if hard_over_deg is not None:
        run = steady_turn(model, course_in_deg, course_out_deg, hard_over_deg, **more)  # type: ignore[arg-type]
    motion = run_orders(
        model,
        tuple(HelmOrder(rudder_deg=one.rudder_deg, at_s=one.at_s) for one in run.orders),
        np.linspace(0.0, run.steady_at_s, rows).tolist(),
        heading_deg=run.heading_in_deg,
        **more,  # type: ignore[arg-type]
    )
    length_m = LEG_NM * 1852.0
    ends = [
        rhumb.direct(waypoint.lat_deg, waypoint.lon_deg, course, length_m)
        for course in (course_in_deg + 180.0, course_out_deg)
    ]
    before, after = (Position(lat_deg=float(lat[0]), lon_deg=float(lon[0])) for lat, lon in ends)
    leg_in, leg_out = leg(before, waypoint, 0), leg(waypoint, after, 1)
    assert leg_in.path is not None
    distance_m = planned.distance_to_new_course_m
    lat, lon, _ = points_along(leg_in.path, leg_in.length_m - distance_m)
    return Turn(
        motion=motion,
        wheel_over=Position(lat_deg=float(lat[0]), lon_deg=float(lon[0])),
        leg_in=leg_in,
        leg_out=leg_out,
        distance_m=distance_m,
    )


def circle(radius_m: float, rows: int, drift_deg: float = 0.0, swept_deg: float = 200.0) -> Motion:
    """Return a steady turn to starboard about a centre east of where it starts, course north."""
    turned = np.linspace(0.0, np.radians(swept_deg), rows)
    plain = np.zeros(rows)
    return Motion(
        time_s=turned * radius_m / m_per_s_from_kn(SPEED_KN),
        east_m=radius_m * (1.0 - np.cos(turned)),
        north_m=radius_m * np.sin(turned),
        # The bow points into the turn by the drift angle.
        heading_deg=np.mod(np.degrees(turned) + drift_deg, 360.0),
        rate_deg_per_min=plain,
        speed_m_per_s=plain,
        rudder_deg=plain,
    )
