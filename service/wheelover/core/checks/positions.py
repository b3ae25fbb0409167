"""Checks of the positions themselves: doubled ones, and ones that nobody can have meant."""

import math
from itertools import pairwise

import numpy as np

from wheelover.core.checks.workings import Verdict, Workings, plan_subject
from wheelover.core.geo import geodesic
from wheelover.core.types.plan import Finding, Subject
from wheelover.core.types.route import Route, Waypoint
from wheelover.core.units import m_from_nm, nm_from_m

FAR_M = m_from_nm(60.0)
"""A waypoint nearer than this to the line of its neighbours is never called unlikely."""

FAR_TIMES = 10.0
"""The way over a waypoint that is so many times the way past it is unlikely. Our own criterion."""


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdict on the positions of the route."""
    route = workings.route
    findings = (*_zero(route), *_doubled(route), *_far_off(route))
    return (Verdict(check="positions", subject=plan_subject(), findings=findings),)


def _finding(code: str, index: int, waypoint: Waypoint, message: str) -> Finding:
    """Return a finding about a waypoint."""
    subject = Subject(kind="waypoint", index=index, id=waypoint.id)
    return Finding(code=code, grade="must_explain", subject=subject, message=message)


def _zero(route: Route) -> tuple[Finding, ...]:
    """Return a finding for each waypoint at 0, 0, which is what an empty field often becomes."""
    return tuple(
        _finding(
            "position_zero",
            index,
            one,
            f"Waypoint {one.id} lies at latitude 0, longitude 0, which is often a position that "
            "was never filled in.",
        )
        for index, one in enumerate(route.waypoints)
        if one.lat_deg == 0.0 and one.lon_deg == 0.0
    )


def _doubled(route: Route) -> tuple[Finding, ...]:
    """Return a finding for each place that stands twice in the route.

    Neighbours at one place are a leg without length, which has its own finding, and a route may
    end where it began.
    """
    last = len(route.waypoints) - 1
    first_at: dict[tuple[float, float], int] = {}
    findings = []
    for index, one in enumerate(route.waypoints):
        place = (one.lat_deg, one.lon_deg % 360.0)
        earlier = first_at.setdefault(place, index)
        closed = earlier == 0 and index == last
        if index - earlier > 1 and not closed:
            message = (
                f"Waypoint {one.id} stands at the same place as {route.waypoints[earlier].id}. "
                "Say whether she is to pass there twice; one of them may be a doubled row."
            )
            findings.append(_finding("position_doubled", index, one, message))
    return tuple(findings)


def _far_off(route: Route) -> tuple[Finding, ...]:
    """Return a finding for each waypoint far off the way between its neighbours."""
    points = route.waypoints
    if len(points) < 3:
        return ()
    lat = np.array([one.lat_deg for one in points])
    lon = np.array([one.lon_deg for one in points])
    over_m = _length_m(lat, lon, 0, 1) + _length_m(lat, lon, 1, 2)
    past_m = _length_m(lat, lon, 0, 2)
    findings = []
    for index, (over, past) in enumerate(zip(over_m[: len(past_m)], past_m, strict=True), start=1):
        detour_m = float(over - past)
        if detour_m > 2.0 * FAR_M and float(over) > FAR_TIMES * float(past):
            findings.append(_unlikely(route, index, detour_m))
    return tuple(findings)


def _length_m(
    lat_deg: "np.ndarray[tuple[int], np.dtype[np.float64]]",
    lon_deg: "np.ndarray[tuple[int], np.dtype[np.float64]]",
    start: int,
    end: int,
) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    """Return the lengths from each waypoint ``start`` to ``end`` places on, for each triple."""
    count = len(lat_deg) - 2
    first, second = slice(start, start + count), slice(end, end + count)
    distance_m = geodesic.inverse(lat_deg[first], lon_deg[first], lat_deg[second], lon_deg[second])
    return distance_m[2]


def _unlikely(route: Route, index: int, detour_m: float) -> Finding:
    """Return the finding of a waypoint that is far off, with what may have happened to it."""
    before, one, after = route.waypoints[index - 1 : index + 2]
    message = (
        f"Waypoint {one.id} lies far off the way from {before.id} to {after.id}: over it the way "
        f"is {nm_from_m(detour_m):.0f} NM longer."
    )
    slip = _slip(before, one, after, detour_m)
    return _finding("position_unlikely", index, one, f"{message}{slip} Look at the position again.")


def _slip(before: Waypoint, one: Waypoint, after: Waypoint, detour_m: float) -> str:
    """Return which usual slip would explain a position, if one does."""
    tries = {
        "latitude and longitude look swapped": (one.lon_deg, one.lat_deg),
        "north and south look mistaken": (-one.lat_deg, one.lon_deg),
        "east and west look mistaken": (one.lat_deg, -one.lon_deg),
    }
    for words, (lat_deg, lon_deg) in tries.items():
        if abs(lat_deg) < 90.0 and _detour_m(before, lat_deg, lon_deg, after) < detour_m / 10.0:
            return f" Its {words}."
    return ""


def _detour_m(before: Waypoint, lat_deg: float, lon_deg: float, after: Waypoint) -> float:
    """Return how much longer the way over a position is than the way past it."""
    chain = ((before.lat_deg, before.lon_deg), (lat_deg, lon_deg), (after.lat_deg, after.lon_deg))
    over_m = math.fsum(float(geodesic.inverse(*one, *two)[2][0]) for one, two in pairwise(chain))
    return over_m - float(geodesic.inverse(*chain[0], *chain[2])[2][0])
