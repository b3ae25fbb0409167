"""Legs, marks and waters of the tests of index and clearing lines. All data here is invented."""

import math
from collections.abc import Mapping, Sequence

from geographiclib.geodesic import Geodesic

from tests import zoo
from wheelover.core.aids.index_lines import index_lines
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.leg_light import When
from wheelover.core.aids.lines import seen_from
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.aids.near_marks import near_marks
from wheelover.core.aids.room import Waters
from wheelover.core.aids.sight import Lookout
from wheelover.core.track import Track, lay_track
from wheelover.core.types.aid_lines import LegIndex
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.marks import Mark
from wheelover.core.types.route import LegWishes, LineKind, Position
from wheelover.core.types.track import PlannedLeg

NOT_TIMED = When()

NORTH = [(47.0, -30.0), (47.1, -30.0)]
"""One leg due north, six miles long."""


def off(start: tuple[float, float], bearing_deg: float, distance_m: float) -> tuple[float, float]:
    """Return a place by another library's geodesic."""
    found = Geodesic.WGS84.Direct(*start, bearing_deg, distance_m)
    return found["lat2"], found["lon2"]


def beside(
    along_m: float, across_m: float, start: tuple[float, float] = NORTH[0]
) -> tuple[float, float]:
    """Return a place beside a leg due north, across to starboard."""
    return off(off(start, 0.0, along_m), 90.0 if across_m >= 0.0 else 270.0, abs(across_m))


def mark(name: str, place: tuple[float, float], **more: object) -> Mark:
    """Return a fixed mark that radar shows; members given replace its own."""
    members: dict[str, object] = {"kind": "beacon", "source": "you", "radar_conspicuous": True}
    position = Position(lat_deg=place[0], lon_deg=place[1])
    return Mark(id=name, name=name, position=position, **{**members, **more})  # type: ignore[arg-type]


def seen(*marks: Mark, scale_nm: float = 6.0, when: When = NOT_TIMED, **more: float | None) -> Seen:
    """Return marks whose radar horizon is not known; heights given and visibility as in Lookout."""
    members: dict[str, float | None] = {"visibility_nm": 20.0, **more}
    lookout = Lookout(range_scale_nm=scale_nm, **members)  # type: ignore[arg-type]
    return seen_from(MarkSet(marks), lookout, when)


def index_of(
    legs: Sequence[PlannedLeg], of: Seen, chosen: Mapping[int, tuple[str, ...]], around: Waters
) -> tuple[LegIndex, ...]:
    """Return the index lines of legs."""
    return index_lines(
        legs, of, near_marks(legs, MarkSet(tuple(of.marks)), of.scale_m), chosen, around
    )


def track(
    places: Sequence[tuple[float, float]] = NORTH,
    *,
    lines: Sequence[LineKind] | None = None,
    leg: LegWishes | None = None,
) -> Track:
    """Return the track through places."""
    return lay_track(zoo.route(places, lines=lines, leg=leg), zoo.SHIP)


def waters(chart: Chart = zoo.NO_CHART, *, limit_m: float | None = None) -> Waters:
    """Return waters without cells or coastline."""
    return Waters(chart=chart, on_chart=None, land=None, limits=Limits(min_clearance_m=limit_m))


def ceiled(value_nm: float) -> float:
    """Return miles up to a hundredth."""
    return math.ceil(value_nm * 100.0 - 0.01) / 100.0


def floored(value_nm: float) -> float:
    """Return miles down to a hundredth."""
    return math.floor(value_nm * 100.0 + 0.01) / 100.0
