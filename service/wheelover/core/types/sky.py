"""The sun at a place and time: how light it is, and when it rises and sets."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.route import Position

Light = Literal["day", "civil", "nautical", "astronomical", "night"]
"""Day from sunrise to sunset, the three twilights, and the night."""

Lasting = Literal["always", "never"]
PointPart = Literal["waypoint", "wheel_over"]
MagneticZone = Literal["caution", "blackout"]

LIGHT_WORDS: dict[Light, str] = {
    "day": "day",
    "civil": "civil twilight",
    "nautical": "nautical twilight",
    "astronomical": "astronomical twilight",
    "night": "night",
}
"""What each light is called in a sentence."""

DARK: frozenset[Light] = frozenset(("nautical", "astronomical", "night"))
"""Darker than civil twilight: shapes ashore no longer tell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Above:
    """From when to when on one day the sun stands above a height, in seconds since 1970 UTC.

    ``lasting`` says that it stays above it all day, or below it; then no times exist. On the day
    on which such a time begins or ends one of the two may be None by itself.
    """

    from_s: float | None
    to_s: float | None
    lasting: Lasting | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SunDay:
    """The light at a time, and the day by the sun, midnight to midnight, in which it falls.

    ``altitude_deg`` is that of the sun's centre, without refraction. ``up`` is from sunrise to
    sunset; ``civil``, ``nautical`` and ``astronomical`` from the beginning of the twilight of the
    morning to the end of that of the evening.
    """

    light: Light
    altitude_deg: float
    noon_s: float
    up: Above
    civil: Above
    nautical: Above
    astronomical: Above


@dataclass(frozen=True, slots=True, kw_only=True)
class CriticalPoint:
    """A waypoint or planned wheel-over, and how long after the departure she is there.

    Without a time ``reason`` says why.
    """

    waypoint_index: int
    waypoint_id: str
    part: PointPart
    position: Position
    after_s: float | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SunRow:
    """The sun at a critical point; ``reason`` says why nothing is known of it."""

    point: CriticalPoint
    at_s: float | None = None
    day: SunDay | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DaylightNeed:
    """Somebody's wish to be at a waypoint, or at its wheel-over, by day, and why."""

    waypoint_id: str
    part: PointPart
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Variation:
    """The magnetic variation at a place on a day, east positive, or why it is not known.

    ``horizontal_nt`` is the horizontal intensity of the field: where it is small a magnetic
    compass does not hold its direction.
    """

    value_deg: float | None = None
    uncertainty_deg: float | None = None
    horizontal_nt: float | None = None
    zone: MagneticZone | None = None
    reason: str | None = None
