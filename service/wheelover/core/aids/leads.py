"""Lines that marks make: leading marks, charted navigation lines, and two marks in line."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from wheelover.core.charted.attributes import number_of
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg, sin_cos_deg
from wheelover.core.types.aid_lines import TransitSource
from wheelover.core.types.charted import Charted
from wheelover.core.types.marks import Mark
from wheelover.core.types.route import Position
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M

REACH_M = 10.0 * NM_M
LEAST_APART_M = 50.0
SAME_LINE_DEG = 1.0
"""Marks that lead on one bearing are one line where they bear from one another within this."""

NEAR_COURSE_DEG = 5.0
"""Two marks make a line for a leg where they stand as near as this to its course or the next."""

_LEADS = ("NAVLNE", "RECTRC")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line through marks: where the front one is, and on what bearing they are seen in line.

    ``end`` is its far end, the rear mark where there is one, ``apart_m`` behind the front.
    """

    name: str
    front: Position
    end: Position
    bearing_deg: float
    source: TransitSource
    front_id: str | None = None
    rear_id: str | None = None
    apart_m: float | None = None
    reach_m: float = REACH_M


def charted_leads(charted: Charted | None) -> Iterator[Line]:
    """Yield the charted navigation lines and recommended tracks that state a bearing [S57A]_.

    ORIENT is the bearing from seaward; the end that lies farthest on it is taken for the marks'.
    """
    if charted is None:
        return
    areas = charted.areas
    for row, name in enumerate(areas.object_classes):
        bearing_deg = number_of(areas.attributes[row], "ORIENT") if name in _LEADS else None
        if bearing_deg is None or areas.geometries[row] is None:
            continue
        places = shapely.get_coordinates(areas.geometries[row])
        east = (places[:, 0] - places[0, 0]) * np.cos(np.radians(places[0, 1]))
        sine, cosine = sin_cos_deg(bearing_deg)
        ahead = east * sine + (places[:, 1] - places[0, 1]) * cosine
        front, back = places[int(np.argmax(ahead))], places[int(np.argmin(ahead))]
        reach_m = geodesic.inverse(front[1], front[0], back[1], back[0])[2]
        at = Position(lat_deg=float(front[1]), lon_deg=float(front[0]))
        yield Line(
            name=areas.hazards.names[row] or f"charted line {bearing_deg:05.1f}",
            front=at,
            end=at,
            bearing_deg=bearing_deg,
            source="charted_line",
            reach_m=float(reach_m[0]),
        )


def leading(marks: list[Mark]) -> Iterator[Line]:
    """Yield the lines of marks that lead on a bearing: two in one line, or one alone."""
    leading = [mark for mark in marks if mark.leading_deg is not None]
    paired: set[str] = set()
    for front, rear in ((a, b) for a in leading for b in leading if a is not b):
        if front.leading_deg is None or rear.leading_deg is None:
            continue
        apart = float(signed_change_deg(front.leading_deg, rear.leading_deg))
        if abs(apart) > SAME_LINE_DEG:
            continue
        bearing_deg, apart_m = _between(front, rear)
        off = float(signed_change_deg(bearing_deg, front.leading_deg))
        if abs(off) <= SAME_LINE_DEG and apart_m >= LEAST_APART_M:
            paired |= {front.id, rear.id}
            yield _in_line(front, rear, bearing_deg, apart_m, "leading_marks")
    for mark in leading:
        if mark.id not in paired and mark.leading_deg is not None:
            yield Line(
                name=mark.name,
                front=mark.position,
                end=mark.position,
                bearing_deg=mark.leading_deg,
                source="leading_mark",
                front_id=mark.id,
            )


def _in_line(
    front: Mark, rear: Mark, bearing_deg: float, apart_m: float, source: TransitSource
) -> Line:
    """Return the line of two marks."""
    return Line(
        name=f"{front.name} and {rear.name}",
        front=front.position,
        end=rear.position,
        bearing_deg=bearing_deg,
        source=source,
        front_id=front.id,
        rear_id=rear.id,
        apart_m=apart_m,
    )


def _between(front: Mark, rear: Mark) -> tuple[float, float]:
    """Return the bearing and distance of the rear mark from the front one."""
    a, b = front.position, rear.position
    bearing, _, away = geodesic.inverse(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg)
    return float(bearing[0]), float(away[0])


def pairs(
    marks: list[Mark], leg: PlannedLeg, turn: PlannedTurn | None, following: PlannedLeg | None
) -> Iterator[Line]:
    """Yield pairs of conspicuous marks that stand in line along the leg or the new course."""
    plain = [one for one in marks if one.leading_deg is None and _conspicuous(one)]
    if len(plain) < 2 or leg.path is None:
        return
    lat = np.array([one.position.lat_deg for one in plain])
    lon = np.array([one.position.lon_deg for one in plain])
    first, second = np.triu_indices(len(plain), 1)
    bearing, _, away = geodesic.inverse(lat[first], lon[first], lat[second], lon[second])
    courses = [leg.path.course_deg]
    if turn is not None and following is not None and following.path is not None:
        courses.append(following.path.course_deg)
    near = np.zeros(first.size, np.bool_)
    for course_deg in courses:
        off = np.abs(signed_change_deg(bearing, course_deg))
        near |= np.minimum(off, 180.0 - off) <= NEAR_COURSE_DEG
    for row in np.flatnonzero(near & (away >= LEAST_APART_M)).tolist():
        one, other = plain[int(first[row])], plain[int(second[row])]
        for front, rear in ((one, other), (other, one)):
            bearing_deg, apart_m = _between(front, rear)
            yield _in_line(front, rear, bearing_deg, apart_m, "two_marks")


def _conspicuous(mark: Mark) -> bool:
    """Return whether a mark is said to be conspicuous to the eye, or is lit."""
    return bool(mark.visually_conspicuous) or mark.lit
