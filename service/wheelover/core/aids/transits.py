"""Transits: marks in line, and marks that lead on a bearing, beside the legs of a track.

A line is told where it leads along the track, and where it is near enough the wheel-over point and
parallel to the new course to give the helm by, with how open its marks stand off it.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np

from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.leads import (
    ALONG_DEG,
    ALONG_OFF_M,
    HELM_DEG,
    HELM_OFF_M,
    Bend,
    Line,
    charted_leads,
    in_line,
    leading,
    leads_near,
    pairs_near,
    traits_of,
)
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.aids.transit_sight import NOT_KNOWN, seen_at
from wheelover.core.arrays import Bools, Floats
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import normal_course_deg, signed_change_deg, sin_cos_deg
from wheelover.core.legs import in_columns, points_along, positions
from wheelover.core.types.aid_lines import LegTransits, Transit
from wheelover.core.types.charted import Charted
from wheelover.core.types.route import Position
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M

OPEN_DEG = 0.1
MOST_OF_LEG = 6
_SAMPLES = 41
_LEAST_SINE = 0.17
_BEYOND_M = 0.5 * NM_M


class _Found(NamedTuple):
    """A line at a place of a leg, before it is told: across and before the marks, metres."""

    bend: Bend
    line: Line
    use: Literal["track", "wheel_over"]
    at_m: float
    angle_deg: float
    marks_ahead: bool
    off_m: float
    before_m: float
    is_known: bool = False


def transit_lines(
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    seen: Seen,
    near: NearMarks,
    charted: Charted | None,
) -> tuple[LegTransits, ...]:
    """Return the transits of every leg that has any whose marks are not hidden then.

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
    pairs = _candidates(legs, turns, seen, near, charted)
    found = sorted(
        [*_along(pairs), *_at_helm(pairs)],
        key=lambda one: (one.bend.leg.index, one.line.source == "two_marks", abs(one.off_m)),
    )
    by_leg: dict[int, list[_Found]] = {}
    looked = seen_at(
        [(one.bend.leg, one.at_m) for one in found],
        [(one.line, one.before_m) for one in found],
        seen,
    )
    for one, is_seen in zip(found, looked, strict=True):
        if is_seen != "no":
            told_of = one._replace(is_known=is_seen == "yes")
            by_leg.setdefault(one.bend.leg.index, []).append(told_of)
    kept = [one for each in by_leg.values() for one in each[:MOST_OF_LEG]]
    told: dict[int, list[Transit]] = {}
    for one, start in zip(kept, _seaward(kept), strict=True):
        told.setdefault(one.bend.leg.index, []).append(_transit(one, start))
    return tuple(LegTransits(leg_index=index, transits=tuple(each)) for index, each in told.items())


def _candidates(
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    seen: Seen,
    near: NearMarks,
    charted: Charted | None,
) -> list[tuple[Bend, Line]]:
    """Return legs with the lines that may lead along them or mark the wheel-over at their end."""
    traits, leads = traits_of(seen), list(charted_leads(charted))
    found: list[tuple[Bend, Line]] = []
    for number, bend in _bends(legs, turns):
        rows = near.of_leg(number)
        alone, leading_pairs = leading(seen, traits, rows, bend)
        lines = [
            *leads_near(leads, bend, _middle(bend)),
            *in_line(leading_pairs, "leading_marks"),
            *alone,
            *in_line(pairs_near(seen, traits, rows, bend), "two_marks"),
        ]
        found += [(bend, line) for line in lines]
    return found


def _bends(legs: Sequence[PlannedLeg], turns: Sequence[PlannedTurn]) -> list[tuple[int, Bend]]:
    """Return the legs that have a track, numbered, with the wheel-over at the end of each."""
    by_end = {turn.waypoint_index: turn for turn in turns}
    out_of = {leg.from_index: leg for leg in legs}
    found = []
    for number, leg in enumerate(legs):
        if leg.path is None or not leg.room:
            continue
        turn, after = by_end.get(leg.from_index + 1), out_of.get(leg.from_index + 1)
        next_deg = None
        if turn is not None and after is not None and after.path is not None:
            sine = float(sin_cos_deg(turn.course_change_deg or 0.0)[0])
            next_deg = after.path.course_deg if abs(sine) >= _LEAST_SINE else None
        found.append(
            (number, Bend(leg=leg, course_deg=leg.path.course_deg, turn=turn, next_deg=next_deg))
        )
    return found


def _middle(bend: Bend) -> tuple[float, float]:
    """Return about the middle of a leg."""
    if bend.leg.path is None:
        return (0.0, 0.0)
    lat, lon, _ = points_along(bend.leg.path, bend.leg.length_m / 2.0)
    return float(lat[0]), float(lon[0])


def _from_places(lines: Sequence[Line], lat_deg: Floats, lon_deg: Floats) -> tuple[Floats, Floats]:
    """Return how far places lie to starboard of lines, looking at the marks, and before them.

    Places have shape (n,) or (m, n) for n lines.
    """
    at_lat = np.array([one.front.lat_deg for one in lines])
    at_lon = np.array([one.front.lon_deg for one in lines])
    seaward = np.array([one.bearing_deg for one in lines]) + 180.0
    azimuth, _, away = geodesic.inverse(at_lat, at_lon, lat_deg, lon_deg)
    sine, cosine = sin_cos_deg(azimuth - seaward)
    # A place clockwise of the line as it leaves the marks lies to port of one who looks at them.
    return -away * sine, away * cosine


def _turned(bearing_deg: Floats, course_deg: Floats) -> tuple[Floats, Bools]:
    """Return the turn from lines to courses, either way along them, and whether marks are ahead."""
    turned = signed_change_deg(bearing_deg, course_deg)
    ahead = np.abs(turned) <= 90.0
    return np.where(ahead, turned, signed_change_deg(bearing_deg + 180.0, course_deg)), ahead


def _along(pairs: list[tuple[Bend, Line]]) -> list[_Found]:
    """Return the lines that lead along their legs, each where it is nearest to the track."""
    if not pairs:
        return []
    lines = [line for _, line in pairs]
    legs = in_columns([bend.leg.path for bend, _ in pairs if bend.leg.path is not None])
    ends = np.array([(bend.leg.track_from_m, bend.leg.track_to_m) for bend, _ in pairs]).T
    along_m = np.linspace(ends[0], ends[1], _SAMPLES)
    lat, lon, course = points_along(legs, along_m)
    off_m, before_m = _from_places(lines, lat, lon)
    bearing = np.array([one.bearing_deg for one in lines])
    angle, ahead = _turned(bearing, course)
    reach_m = np.array([one.reach_m for one in lines])
    good = (np.abs(angle) <= ALONG_DEG) & (np.abs(off_m) <= ALONG_OFF_M)
    good &= (before_m > 0.0) & (before_m <= reach_m)
    row = np.argmin(np.where(good, np.abs(off_m), np.inf), axis=0)
    return [
        _Found(
            bend=bend,
            line=line,
            use="track",
            at_m=float(along_m[at, column]),
            angle_deg=float(angle[at, column]),
            marks_ahead=bool(ahead[at, column]),
            off_m=float(off_m[at, column]),
            before_m=float(before_m[at, column]),
        )
        for column, ((bend, line), at) in enumerate(zip(pairs, row.tolist(), strict=True))
        if good[at, column]
    ]


def _at_helm(pairs: list[tuple[Bend, Line]]) -> list[_Found]:
    """Return the lines to give the helm by: parallel to the new course, through the point."""
    some = [
        (bend, line, helm_m, bend.turn.planned.position, bend.next_deg)
        for bend, line in pairs
        if (helm_m := bend.helm_m) is not None
        and bend.turn is not None
        and bend.turn.planned.position is not None
        and bend.next_deg is not None
    ]
    if not some:
        return []
    lines = [one[1] for one in some]
    off_m, before_m = _from_places(
        lines,
        np.array([one[3].lat_deg for one in some]),
        np.array([one[3].lon_deg for one in some]),
    )
    angle, ahead = _turned(
        np.array([one.bearing_deg for one in lines]), np.array([one[4] for one in some])
    )
    reach_m = np.array([one.reach_m for one in lines])
    good = (np.abs(angle) <= HELM_DEG) & (np.abs(off_m) <= HELM_OFF_M)
    good &= (before_m > 0.0) & (before_m <= reach_m)
    return [
        _Found(
            bend=some[row][0],
            line=some[row][1],
            use="wheel_over",
            at_m=some[row][2],
            angle_deg=float(angle[row]),
            marks_ahead=bool(ahead[row]),
            off_m=float(off_m[row]),
            before_m=float(before_m[row]),
        )
        for row in np.flatnonzero(good).tolist()
    ]


def _seaward(found: list[_Found]) -> list[Position]:
    """Return where the lines are drawn from: some way before the place they serve."""
    if not found:
        return []
    lat = np.array([one.line.front.lat_deg for one in found])
    lon = np.array([one.line.front.lon_deg for one in found])
    seaward = np.array([one.line.bearing_deg for one in found]) + 180.0
    reach_m = np.array([one.before_m for one in found]) + _BEYOND_M
    return positions(*geodesic.direct(lat, lon, seaward, reach_m)[:2])


def _transit(one: _Found, start: Position) -> Transit:
    """Return a transit as it is told."""
    line, open_m = one.line, None
    if line.apart_m is not None:
        spread = one.before_m * (one.before_m + line.apart_m) / line.apart_m
        open_m = float(np.radians(OPEN_DEG)) * spread
    return Transit(
        leg_index=one.bend.leg.index,
        front_id=line.front_id,
        rear_id=line.rear_id,
        name=line.name if one.is_known else f"{line.name} ({NOT_KNOWN})",
        source=line.source,
        bearing_deg=float(normal_course_deg(line.bearing_deg)),
        marks_ahead=one.marks_ahead,
        angle_deg=one.angle_deg,
        # From the track to the line: the other way about, and again with the marks astern.
        off_m=-one.off_m if one.marks_ahead else one.off_m,
        at_m=one.at_m,
        use=one.use,
        open_m=open_m,
        line_from=start,
        line_to=line.end,
    )
