"""Lines that marks make: leading marks, charted navigation lines, and two marks in line."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.arrays import Bools, Floats, Ints
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

ALONG_DEG = 5.0
ALONG_OFF_M = 0.25 * NM_M
"""A line leads along a leg where it is as near as this to its course and to its track."""

HELM_DEG = 3.0
HELM_OFF_M = 0.1 * NM_M
"""A line marks a wheel-over where it is as near as this to the new course and to the point."""

MOST_MARKS = 16
MOST_PAIRS = 3
_SLACK_DEG = 0.5
_SLACK_M = 60.0
_LEADS = ("NAVLNE", "RECTRC")

Pairs = list[tuple[Mark, Mark]]
"""Front and rear marks."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Traits:
    """What is known of the marks in columns of shape (n,): nan for one that leads nowhere."""

    fixed: Bools
    conspicuous: Bools
    leading_deg: Floats


def traits_of(seen: Seen) -> Traits:
    """Return what lines hang on, of all marks."""
    marks = seen.marks
    leading = [np.nan if one.leading_deg is None else one.leading_deg for one in marks]
    return Traits(
        fixed=np.array([not one.floating for one in marks], np.bool_),
        conspicuous=np.array(
            [bool(one.visually_conspicuous) or one.lit for one in marks], np.bool_
        ),
        leading_deg=np.array(leading, np.float64),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A leg and, where there is one, the wheel-over at its end and the course that follows."""

    leg: PlannedLeg
    course_deg: float
    turn: PlannedTurn | None = None
    next_deg: float | None = None

    @property
    def helm_m(self) -> float | None:
        """Return where on the leg the wheel-over is, None where there is none."""
        if self.turn is None or self.next_deg is None or self.turn.planned.position is None:
            return None
        if self.turn.planned.distance_m is None:
            return None
        return self.leg.length_m - self.turn.planned.distance_m

    def is_near_course(self, bearing_deg: Floats) -> Bools:
        """Return whether lines run nearly along the leg, or along the next, either way."""
        near = _off_line_deg(bearing_deg - self.course_deg) <= ALONG_DEG + _SLACK_DEG
        if self.next_deg is not None:
            near |= _off_line_deg(bearing_deg - self.next_deg) <= HELM_DEG + _SLACK_DEG
        return np.asarray(near)


def _off_line_deg(angle_deg: Floats) -> Floats:
    """Return how far angles are from a line, whichever way along it."""
    return np.asarray(np.abs(np.mod(angle_deg + 90.0, 180.0) - 90.0))


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


def leading(seen: Seen, traits: Traits, near: NearMarks, bend: Bend) -> tuple[list[Line], Pairs]:
    """Return the lines of single leading marks near a leg, and pairs that lead on one bearing."""
    rows = near.mark[traits.fixed[near.mark] & ~np.isnan(traits.leading_deg[near.mark])]
    rows = rows[bend.is_near_course(traits.leading_deg[rows])]
    found, paired = [], set()
    for front, rear in ((a, b) for a in rows.tolist() for b in rows.tolist() if a != b):
        apart_deg = signed_change_deg(traits.leading_deg[front], traits.leading_deg[rear])
        if abs(float(apart_deg)) > SAME_LINE_DEG:
            continue
        one, other = seen.marks[front], seen.marks[rear]
        bearing_deg, apart_m = between([(one, other)])
        off = float(signed_change_deg(bearing_deg[0], traits.leading_deg[front]))
        if abs(off) <= SAME_LINE_DEG and apart_m[0] >= LEAST_APART_M:
            paired |= {front, rear}
            found.append((one, other))
    alone = [
        Line(
            name=mark.name,
            front=mark.position,
            end=mark.position,
            bearing_deg=float(traits.leading_deg[number]),
            source="leading_mark",
            front_id=mark.id,
        )
        for number in rows.tolist()
        if number not in paired and (mark := seen.marks[number])
    ]
    return alone, found


def between(pairs: Pairs) -> tuple[Floats, Floats]:
    """Return the bearings and distances of rear marks from front ones."""
    ends = np.array(
        [
            (a.position.lat_deg, a.position.lon_deg, b.position.lat_deg, b.position.lon_deg)
            for a, b in pairs
        ]
    ).reshape(-1, 4)
    bearing, _, away = geodesic.inverse(*ends.T)
    return bearing, away


def in_line(pairs: Pairs, source: TransitSource) -> list[Line]:
    """Return the lines of pairs of marks, the front one first."""
    if not pairs:
        return []
    bearings, apart = between(pairs)
    return [
        Line(
            name=f"{front.name} and {rear.name}",
            front=front.position,
            end=rear.position,
            bearing_deg=bearing_deg,
            source=source,
            front_id=front.id,
            rear_id=rear.id,
            apart_m=apart_m,
        )
        for (front, rear), bearing_deg, apart_m in zip(
            pairs, bearings.tolist(), apart.tolist(), strict=True
        )
    ]


def pairs_near(seen: Seen, traits: Traits, near: NearMarks, bend: Bend) -> Pairs:
    """Return pairs of conspicuous marks that stand about in line along a leg or at its wheel-over.

    A rough look beside the leg, as if it were straight: some are no such line when measured.
    """
    plain = traits.fixed & traits.conspicuous & np.isnan(traits.leading_deg)
    rows = np.flatnonzero(plain[near.mark])
    rows = rows[np.argsort(np.abs(near.across_m[rows]), kind="stable")][:MOST_MARKS]
    if rows.size < 2:
        return []
    first, second = np.triu_indices(rows.size, 1)
    along, across = near.along_m[rows], near.across_m[rows]
    run, rise = along[second] - along[first], across[second] - across[first]
    apart = np.hypot(run, rise)
    angle = np.degrees(np.arctan2(rise, run))
    wide = apart >= LEAST_APART_M
    slope = np.divide(rise, run, out=np.full(run.shape, np.inf), where=np.abs(run) > 1.0)
    leg = bend.leg
    ends = [
        across[first] + (at - along[first]) * slope for at in (leg.track_from_m, leg.track_to_m)
    ]
    least = np.where(ends[0] * ends[1] <= 0.0, 0.0, np.minimum(*np.abs(ends)))
    good = wide & (_off_line_deg(angle) <= ALONG_DEG + _SLACK_DEG)
    kept = _least_few(good & (least <= ALONG_OFF_M + _SLACK_M), least)
    if bend.helm_m is not None and bend.next_deg is not None:
        away = (bend.helm_m - along[first]) * rise - (0.0 - across[first]) * run
        off = np.abs(away) / np.maximum(apart, 1.0)
        turned = _off_line_deg(angle - (bend.next_deg - bend.course_deg))
        good = wide & (turned <= HELM_DEG + _SLACK_DEG) & (off <= HELM_OFF_M + _SLACK_M)
        kept = np.union1d(kept, _least_few(good, off))
    marks = [seen.marks[one] for one in near.mark[rows].tolist()]
    found = [(marks[int(first[one])], marks[int(second[one])]) for one in kept.tolist()]
    return [*found, *((rear, front) for front, rear in found)]


def _least_few(good: Bools, off_m: Floats) -> Ints:
    """Return the rows that are good, the few with the least distance."""
    rows = np.flatnonzero(good)
    return rows[np.argsort(off_m[rows], kind="stable")][:MOST_PAIRS]


def leads_near(leads: Sequence[Line], bend: Bend, middle: tuple[float, float]) -> list[Line]:
    """Return the charted lines that may lead along a leg or mark its wheel-over.

    Parameters
    ----------
    leads : sequence of Line
        All of them.
    bend : Bend
        The leg.
    middle : tuple of float
        The middle of the leg, degrees.
    """
    if not leads:
        return []
    bearings = np.array([one.bearing_deg for one in leads])
    rows = np.flatnonzero(bend.is_near_course(bearings))
    if rows.size == 0:
        return []
    lat = np.array([leads[one].front.lat_deg for one in rows.tolist()])
    lon = np.array([leads[one].front.lon_deg for one in rows.tolist()])
    away_m = geodesic.inverse(*middle, lat, lon)[2]
    reach_m = np.array([leads[one].reach_m for one in rows.tolist()])
    near = away_m <= reach_m + bend.leg.length_m / 2.0 + NM_M
    return [leads[one] for one in rows[near].tolist()]
