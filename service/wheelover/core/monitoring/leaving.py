"""The turn from the planned track onto the first leg of a contingency, computed like any other."""

import math
from collections.abc import Callable
from dataclasses import replace

from wheelover.core.monitoring.along import Way
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.contingency import Contingency, Leaving
from wheelover.core.types.monitoring import OnTrack
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Route, Waypoint
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import m_from_nm, nm_from_m

LEAST_RUN_M = 1.0
"""Nearer to where she steadies on the leg there is no course to turn from."""

PlanFrom = Callable[[Route, float | None], Plan]
"""Makes the plan of a route from the time at which it begins."""


def near_enough_m(leg: PlannedLeg, loa_m: float, off_m: float) -> float:
    """Return how far off a leg a route may begin and still be reached from it.

    Parameters
    ----------
    leg : PlannedLeg
        The leg that she leaves.
    loa_m : float
        Her length, 0 where no ship is given.
    off_m : float
        How far off the route begins, starboard positive: says whose limit counts.
    """
    side_nm = leg.xtd_starboard_nm if off_m >= 0.0 else leg.xtd_port_nm
    return max(0.0 if side_nm is None else m_from_nm(side_nm), loa_m)


def leaving_of(
    one: Contingency,
    way: Way,
    where: tuple[OnTrack | None, float | None],
    given: tuple[Route, ShipProfile | None, Conditions, Limits],
    plan_from: PlanFrom,
) -> Leaving:
    """Return the turn from the leg she leaves onto the first leg of a contingency.

    Parameters
    ----------
    one : Contingency
        The contingency; its first leg leads from the place of leaving to its second waypoint.
    way : Way
        The planned track.
    where : tuple
        The place of leaving, and how far off it the contingency's route begins.
    given : tuple
        Route, ship, conditions and limits of the main plan.
    plan_from : callable
        Makes the plan of what she sails.

    Notes
    -----
    The turn is planned like those of the main track [A893]_: from where she steadies on the leg,
    with the leg's own speed and wishes, and with the second waypoint's turn behind it. How the turn
    is steered, and its radius, are what the contingency's first waypoint says.
    """
    leaves, off_m = where
    if leaves is None or off_m is None:
        return Leaving(reason="it is not known where the track is left")
    leg = way.legs[leaves.leg_index]
    ship = given[1]
    reason = _not_laid(one, leg, leaves, (off_m, 0.0 if ship is None else ship.loa_m))
    begins = way.on_leg(leg, leg.track_from_m)
    if reason is not None:
        return Leaving(begins=begins, reason=reason)
    departure_s = given[2].departure_s
    known = departure_s is not None and begins.at_s is not None
    begins_s = (departure_s or 0.0) + (begins.at_s or 0.0) if known else None
    plan = plan_from(_route(one, given[0], leg, (begins, leaves)), begins_s)
    turn = plan.turns[0] if plan.turns else None
    if turn is None or turn.course_change_deg is None or turn.planned.distance_m is None:
        why = "no turn stands there" if turn is None else turn.reason or _no_wheel_over(plan)
        return _with_run_on(Leaving(begins=begins, plan=plan, reason=why), leg, plan)
    decided = _decided(way, leg, (begins, leaves), plan, turn.planned.distance_m)
    return _with_run_on(decided, leg, plan)


def _with_run_on(leaving: Leaving, leg: PlannedLeg, plan: Plan) -> Leaving:
    """Return it with the stretch of the leg that the planned track, turning away, leaves out."""
    first, from_m = plan.legs[0], leg.track_to_m - leg.track_from_m
    run_m = (first.track_to_m if first.room else first.length_m) - from_m
    if first.path is None or run_m <= LEAST_RUN_M:
        return leaving
    note = (
        f"she runs on {math.ceil(run_m)} m along the leg past where the planned track turns away "
        f"to {leg.to_id}: that leg, up to the place of leaving, is checked with this turn"
    )
    return replace(leaving, on_from_m=max(0.0, from_m), notes=(*leaving.notes, note))


def _no_wheel_over(plan: Plan) -> str:
    """Return why the chosen method puts no wheel-over."""
    return f"no wheel-over comes of the method chosen, {plan.turns[0].planned.method}"


def _not_laid(
    one: Contingency, leg: PlannedLeg, leaves: OnTrack, off: tuple[float, float]
) -> str | None:
    """Return why no turn is laid, None where one can be."""
    off_m, loa_m = off
    second = one.route.waypoints[1]
    if second.gap_before:
        return "its first leg crosses a hole in its route"
    if not leg.room:
        return f"on the leg to {leg.to_id} turns overlap: no track is laid there"
    near_m = near_enough_m(leg, loa_m, off_m)
    if abs(off_m) > near_m:
        return (
            f"its route begins {nm_from_m(abs(off_m)):.2f} NM off the leg to {leg.to_id}, farther "
            f"than {nm_from_m(near_m):.2f} NM"
        )
    if leaves.along_m < leg.track_from_m + LEAST_RUN_M:
        return (
            f"its route begins before she steadies on the leg to {leg.to_id}: there is no course "
            "to turn from"
        )
    return None


def _route(one: Contingency, route: Route, leg: PlannedLeg, ends: tuple[OnTrack, OnTrack]) -> Route:
    """Return what she sails: the rest of the leg, the turn, and the contingency's first legs."""
    begins, leaves = ends
    first, *onward = one.route.waypoints
    taken = {waypoint.id for waypoint in one.route.waypoints}
    start_id = leg.from_id
    while start_id in taken:
        start_id = f"{start_id}, {leg.to_id}"
    start = Waypoint(id=start_id, lat_deg=begins.position.lat_deg, lon_deg=begins.position.lon_deg)
    wishes = route.waypoints[leg.from_index + 1].leg or LegWishes()
    turns = replace(
        first,
        lat_deg=leaves.position.lat_deg,
        lon_deg=leaves.position.lon_deg,
        leg=replace(wishes, speed_kn=leg.speed_kn, speed_over_ground_kn=None, canal=None),
        eta_s=None,
        stay_min=None,
        arrive_from_s=None,
        arrive_to_s=None,
        settled=None,
    )
    kept = onward[:1] if len(onward) < 2 or onward[1].gap_before else onward[:2]
    return Route(name=one.route.name, waypoints=(start, turns, *kept))


def _decided(
    way: Way,
    leg: PlannedLeg,
    ends: tuple[OnTrack, OnTrack],
    plan: Plan,
    wheel_over_m: float,
) -> Leaving:
    """Return the turn with the place by which she must have decided."""
    begins, leaves = ends
    at_m = leaves.along_m - wheel_over_m
    late_m = leg.track_from_m - at_m
    notes = [
        f"the wheel-over lies {math.ceil(wheel_over_m)} m before the place of leaving: decided at "
        "that place, it is past"
    ]
    after = next((one for one in way.turns if one.waypoint_index == leg.from_index + 1), None)
    main_m = None if after is None else after.planned.distance_m
    if main_m is not None and leg.length_m - main_m < at_m:
        at_m = leg.length_m - main_m
        notes.append(
            f"the wheel-over of the turn at {leg.to_id} comes before that: she must have decided "
            "by then, and not take it"
        )
    return Leaving(
        begins=begins,
        plan=plan,
        wheel_over_m=wheel_over_m,
        decide=None if late_m > 0.0 else way.on_leg(leg, at_m),
        late_m=late_m if late_m > 0.0 else None,
        notes=tuple(notes),
    )
