"""Transits: marks in line, and marks that lead on a bearing, beside the legs of a track.

A line is told where it leads along the track, where it is near enough the wheel-over point and
parallel to the new course to give the helm by, and then with how open its marks stand off it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.leads import Line, charted_leads, leading, pairs
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.arrays import Floats
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import normal_course_deg, signed_change_deg, sin_cos_deg
from wheelover.core.legs import points_along
from wheelover.core.types.aid_lines import LegTransits, Transit
from wheelover.core.types.charted import Charted
from wheelover.core.types.route import Position
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M

ALONG_DEG = 5.0
ALONG_OFF_M = 0.25 * NM_M
"""A line leads along a leg where it is as near as this to its course and to its track."""

HELM_DEG = 3.0
HELM_OFF_M = 0.1 * NM_M
"""A line marks a wheel-over where it is as near as this to the new course and to the point."""

OPEN_DEG = 0.1
MOST_MARKS = 24
MOST_OF_LEG = 6


def transit_lines(
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    seen: Seen,
    near: NearMarks,
    charted: Charted | None,
) -> tuple[LegTransits, ...]:
    """Return the transits of every leg that has any.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        The legs.
    turns : sequence of PlannedTurn
        The turns: the wheel-over at the end of a leg may be marked.
    seen : Seen
        The marks.
    near : NearMarks
        Which marks lie near which leg.
    charted : Charted or None
        What cells say: navigation lines with their bearing among it.

    Notes
    -----
    Bearings and distances are geodesic. Off the line of two marks by x, at a from the front one,
    they stand open by x s / (a (a + s)), s their distance: plane geometry.
    """
    by_end = {turn.waypoint_index: turn for turn in turns}
    out_of = {leg.from_index: leg for leg in legs}
    found = []
    drawn = list(charted_leads(charted))
    for number, leg in enumerate(legs):
        if leg.path is None or not leg.room:
            continue
        rows = near.of_leg(number)
        order = np.argsort(np.abs(rows.across_m), kind="stable")
        marks = [
            seen.marks[one] for one in rows.mark[order].tolist() if not seen.marks[one].floating
        ]
        turn = by_end.get(leg.from_index + 1)
        following = out_of.get(leg.from_index + 1)
        lines = [*drawn, *leading(marks), *pairs(marks[:MOST_MARKS], leg, turn, following)]
        told = [*_told(lines, leg, turn, following)]
        told.sort(key=lambda one: (one.source == "two_marks", abs(one.off_m), one.name))
        if told:
            found.append(LegTransits(leg_index=leg.index, transits=tuple(told[:MOST_OF_LEG])))
    return tuple(found)


def _told(
    lines: list[Line], leg: PlannedLeg, turn: PlannedTurn | None, following: PlannedLeg | None
) -> Iterator[Transit]:
    """Yield the lines that lead along a leg, and those that mark the wheel-over at its end."""
    for one in lines:
        along = _along(one, leg)
        if along is not None:
            yield along
        helm = _at_helm(one, leg, turn, following)
        if helm is not None:
            yield helm


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """A line from places: across it to starboard of looking at the marks, and before them."""

    off_m: Floats
    before_m: Floats


def _from_places(one: Line, lat_deg: Floats, lon_deg: Floats) -> _Seen:
    """Return where places are to a line."""
    at = one.front
    azimuth, _, away = geodesic.inverse(at.lat_deg, at.lon_deg, lat_deg, lon_deg)
    sine, cosine = sin_cos_deg(azimuth - one.bearing_deg - 180.0)
    # Seen from seaward: a place clockwise of the line from the mark lies to its port hand.
    return _Seen(off_m=-away * sine, before_m=away * cosine)


def _along(one: Line, leg: PlannedLeg) -> Transit | None:
    """Return the line as one that leads along the leg, None where it does not."""
    if leg.path is None:
        return None
    along_m = np.linspace(leg.track_from_m, leg.track_to_m, 41)
    lat, lon, course = points_along(leg.path, along_m)
    seen = _from_places(one, lat, lon)
    turned = signed_change_deg(one.bearing_deg, course)
    ahead = np.abs(turned) <= 90.0
    angle = np.where(ahead, turned, signed_change_deg(one.bearing_deg + 180.0, course))
    good = (
        (np.abs(angle) <= ALONG_DEG)
        & (np.abs(seen.off_m) <= ALONG_OFF_M)
        & (seen.before_m > 0.0)
        & (seen.before_m <= one.reach_m)
    )
    if not bool(np.any(good)):
        return None
    rows = np.flatnonzero(good)
    row = int(rows[np.argmin(np.abs(seen.off_m[rows]))])
    marks_ahead = bool(ahead[row])
    # Off the track: from her to the line, starboard of her course positive.
    off_m = -float(seen.off_m[row]) * (1.0 if marks_ahead else -1.0)
    return _transit(
        one,
        leg,
        "track",
        float(seen.before_m[row]),
        (float(angle[row]), marks_ahead, off_m, float(along_m[row])),
    )


def _at_helm(
    one: Line, leg: PlannedLeg, turn: PlannedTurn | None, following: PlannedLeg | None
) -> Transit | None:
    """Return the line as one to give the helm by: parallel to the new course, through the point."""
    if turn is None or following is None or following.path is None or leg.path is None:
        return None
    planned = turn.planned
    if planned.position is None or planned.distance_m is None:
        return None
    change = turn.course_change_deg
    if change is None or abs(float(sin_cos_deg(change)[0])) < 0.17:
        return None
    course = following.path.course_deg
    turned = float(signed_change_deg(one.bearing_deg, course))
    ahead = abs(turned) <= 90.0
    angle = turned if ahead else float(signed_change_deg(one.bearing_deg + 180.0, course))
    lat, lon = np.array([planned.position.lat_deg]), np.array([planned.position.lon_deg])
    seen = _from_places(one, lat, lon)
    off_m = float(seen.off_m[0])
    before_m = float(seen.before_m[0])
    if abs(angle) > HELM_DEG or abs(off_m) > HELM_OFF_M or not 0.0 < before_m <= one.reach_m:
        return None
    at_m = leg.length_m - planned.distance_m
    signed_m = -off_m * (1.0 if ahead else -1.0)
    return _transit(one, leg, "wheel_over", before_m, (angle, ahead, signed_m, at_m))


def _transit(
    one: Line,
    leg: PlannedLeg,
    use: Literal["track", "wheel_over"],
    before_m: float,
    known: tuple[float, bool, float, float],
) -> Transit:
    """Return a transit as it is told."""
    angle_deg, marks_ahead, off_m, at_m = known
    open_m = None
    if one.apart_m is not None:
        spread = before_m * (before_m + one.apart_m) / one.apart_m
        open_m = float(np.radians(OPEN_DEG)) * spread
    at = one.front
    lat, lon, _ = geodesic.direct(
        at.lat_deg, at.lon_deg, normal_course_deg(one.bearing_deg + 180.0), [before_m + NM_M / 2.0]
    )
    return Transit(
        leg_index=leg.index,
        front_id=one.front_id,
        rear_id=one.rear_id,
        name=one.name,
        source=one.source,
        bearing_deg=float(normal_course_deg(one.bearing_deg)),
        marks_ahead=marks_ahead,
        angle_deg=angle_deg,
        off_m=off_m,
        at_m=at_m,
        use=use,
        open_m=open_m,
        line_from=Position(lat_deg=float(lat[0]), lon_deg=float(lon[0])),
        line_to=one.end,
    )
