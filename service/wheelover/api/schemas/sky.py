"""Compasses, daylight and harmonic constants in requests; courses and the sun in answers."""

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field, field_validator

from wheelover.api.schemas.answer import Answer, PositionOut
from wheelover.api.schemas.strict import Latitude, Strict, Word
from wheelover.api.schemas.utc import UtcTime
from wheelover.core.errors import Fault, InvalidConditions, InvalidInput
from wheelover.core.schedule.harmonic import require_known
from wheelover.core.types.compass import CardHeading, DeviationCard, DeviationRow, card_fault
from wheelover.core.types.sky import DaylightNeed, Light, PointPart
from wheelover.core.types.tide import Constituent, Harmonics

GyroError = Annotated[
    float,
    Field(ge=-30.0, le=30.0, description="Degrees added to the gyro's reading; low is positive"),
]


class DeviationRowIn(Strict):
    """The deviation on one heading, degrees, east positive."""

    heading_deg: Annotated[float, Field(ge=0.0, lt=360.0)]
    deviation_deg: Annotated[float, Field(ge=-90.0, le=90.0)]

    def to_core(self) -> DeviationRow:
        """Return it as the core takes it."""
        return DeviationRow(heading_deg=self.heading_deg, deviation_deg=self.deviation_deg)


class DeviationCardIn(Strict):
    """A deviation card, by headings in order; without by they are read from the compass itself."""

    rows: Annotated[list[DeviationRowIn], Field(min_length=2, max_length=360)]
    by: CardHeading | None = None
    swung_utc: UtcTime | None = None

    @field_validator("rows")
    @classmethod
    def _one_course_each(cls, rows: list[DeviationRowIn]) -> list[DeviationRowIn]:
        """Refuse a card from which no one course could be read."""
        fault = card_fault(tuple(row.to_core() for row in rows))
        if fault is not None:
            raise ValueError(fault)
        return rows

    def to_core(self) -> DeviationCard:
        """Return it as the core takes it."""
        rows = tuple(row.to_core() for row in self.rows)
        return DeviationCard(rows=rows, by=self.by, swung_utc=self.swung_utc)


class ConstituentIn(Strict):
    """A harmonic constituent by its name, such as M2, with its phase lag on Greenwich (g)."""

    name: Annotated[str, Field(min_length=1, max_length=12)]
    amplitude_m: Annotated[float, Field(ge=0.0, le=20.0, description="Metres")]
    phase_deg: Annotated[float, Field(ge=-360.0, le=360.0, description="Degrees, Greenwich")]


class HarmonicsIn(Strict):
    """Harmonic constants of a station; the mean level (Z0) is above chart datum."""

    mean_level_m: Annotated[float, Field(ge=-20.0, le=20.0, description="Metres")]
    lat_deg: Latitude
    constituents: Annotated[list[ConstituentIn], Field(min_length=1, max_length=146)]

    def to_core(self) -> Harmonics:
        """Return them as the core takes them.

        Raises
        ------
        InvalidConditions
            For a constituent that is not known, or given twice.
        """
        rows = tuple(Constituent(**one.model_dump()) for one in self.constituents)
        require_known(rows)
        return Harmonics(mean_level_m=self.mean_level_m, lat_deg=self.lat_deg, constituents=rows)


def harmonics_at(given: HarmonicsIn | None, pointer: str) -> Harmonics | None:
    """Return harmonic constants as the core takes them, faults named from the top.

    Raises
    ------
    InvalidConditions
        As ``HarmonicsIn.to_core``.
    """
    if given is None:
        return None
    try:
        return given.to_core()
    except InvalidConditions as error:
        faults = tuple(
            Fault(pointer=f"{pointer}{one.pointer}", message=one.message) for one in error.faults
        )
        raise InvalidConditions(str(error), faults) from error


class DaylightNeedIn(Strict):
    """She must be at a waypoint, or at its wheel-over, by day: from sunrise to sunset there."""

    waypoint_id: Word
    part: PointPart = "wheel_over"
    reason: Annotated[str, Field(min_length=1, max_length=500)]

    def to_core(self) -> DaylightNeed:
        """Return it as the core takes it."""
        return DaylightNeed(waypoint_id=self.waypoint_id, part=self.part, reason=self.reason)


def daylight_needs(needs: Sequence[DaylightNeedIn], ids: Sequence[str]) -> tuple[DaylightNeed, ...]:
    """Return needs of daylight as the core takes them.

    Parameters
    ----------
    needs : sequence of DaylightNeedIn
        The needs.
    ids : sequence of str
        The waypoints of the route.

    Raises
    ------
    InvalidInput
        For a waypoint that is not in the route, or a need given twice.
    """
    faults, seen = [], set()
    for index, need in enumerate(needs):
        pointer = f"/daylight_needs/{index}/waypoint_id"
        if need.waypoint_id not in ids:
            message = f"{need.waypoint_id[:60]!r} is no waypoint of the route"
            faults.append(Fault(pointer=pointer, message=message))
        elif (need.waypoint_id, need.part) in seen:
            message = f"the need of daylight at {need.waypoint_id[:60]!r} is given twice"
            faults.append(Fault(pointer=pointer, message=message))
        seen.add((need.waypoint_id, need.part))
    if faults:
        raise InvalidInput(faults[0].message, tuple(faults))
    return tuple(one.to_core() for one in needs)


class CoursesOut(Answer):
    """One direction as each compass shows it; null is not known, and never zero."""

    true_deg: float | None
    magnetic_deg: float | None
    gyro_deg: float | None
    deviation_deg: float | None
    compass_deg: float | None


class LegCoursesOut(CoursesOut):
    """The courses of a leg where it begins, on the day that she begins it.

    East is positive. The uncertainty of the variation is one standard deviation of the model, and
    where its horizontal field is weak (zone) a magnetic compass is used with caution or not at all.
    ``to_steer`` allows for the stream on the leg.
    """

    variation_deg: float | None
    variation_end_deg: float | None
    uncertainty_deg: float | None
    horizontal_nt: float | None
    zone: Literal["caution", "blackout"] | None
    model: str
    to_steer: CoursesOut | None
    not_known: list[str]
    notes: list[str]


class AboveOut(Answer):
    """From when to when the sun is above a height that day; ``lasting``: all day, or never."""

    from_utc: str | None
    to_utc: str | None
    lasting: Literal["always", "never"] | None


class SunRowOut(Answer):
    """The sun at a waypoint or planned wheel-over at the time that she is there.

    The day is that by the sun, midnight to midnight. ``up`` is from sunrise to sunset, of the upper
    limb at a horizon at sea level; the others are from the beginning of the twilight of the morning
    to the end of that of the evening. Without a time ``reason`` says why.
    """

    waypoint_id: str
    waypoint_index: int
    part: PointPart
    position: PositionOut
    at_utc: str | None
    reason: str | None
    light: Light | None
    altitude_deg: float | None
    noon_utc: str | None
    up: AboveOut | None
    civil: AboveOut | None
    nautical: AboveOut | None
    astronomical: AboveOut | None
