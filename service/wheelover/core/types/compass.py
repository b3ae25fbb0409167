"""The ship's compasses: her deviation card, and courses as each compass shows them."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from wheelover.core.errors import Fault, InvalidShip
from wheelover.core.types.sky import SunRow, Variation

CardHeading = Literal["compass", "magnetic"]

WIDEST_GAP_DEG = 45.0
"""Between rows of a deviation card that are further apart nothing is read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviationRow:
    """The deviation on one heading, east positive."""

    heading_deg: float
    deviation_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviationCard:
    """A deviation card, by headings round the compass in order.

    ``by`` says whether its headings are read from the compass itself or are magnetic; where
    nobody has said (None) they are taken as read from the compass. ``swung_utc`` is when it was
    made.

    Raises
    ------
    InvalidShip
        For a card from which no one course could be read.
    """

    rows: tuple[DeviationRow, ...]
    by: CardHeading | None = None
    swung_utc: str | None = None

    def __post_init__(self) -> None:
        """Refuse what no deviation can be read from."""
        message = card_fault(self.rows)
        if message is not None:
            pointer = "/ship/deviation_card"
            raise InvalidShip(message, (Fault(pointer=pointer, message=message),))


def card_fault(rows: tuple[DeviationRow, ...]) -> str | None:
    """Return why no course can be read from a card, None where one can.

    Between two headings the magnetic heading must grow as that of the compass does: where the
    deviation falls faster than the heading rises, two courses by compass would be one.
    """
    if len(rows) < 2:
        return "a deviation card needs at least 2 headings"
    for one, after in pairwise(rows):
        if after.heading_deg <= one.heading_deg:
            return (
                f"headings of a deviation card come in order and once each; {after.heading_deg:g} "
                f"follows {one.heading_deg:g}"
            )
    first = rows[0]
    closed = (*rows, DeviationRow(heading_deg=first.heading_deg + 360.0,
                                  deviation_deg=first.deviation_deg))  # fmt: skip
    for one, after in pairwise(closed):
        if abs(after.deviation_deg - one.deviation_deg) >= after.heading_deg - one.heading_deg:
            return (
                f"between {one.heading_deg:g} and {after.heading_deg % 360.0:g} the deviation "
                "changes by more than the heading: no course can be read there"
            )
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Courses:
    """One direction as true, magnetic, gyro and compass show it; what is None is not known."""

    true_deg: float
    magnetic_deg: float | None = None
    gyro_deg: float | None = None
    deviation_deg: float | None = None
    compass_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegCourses:
    """The course of a leg by each compass where she begins it, and the course to steer.

    ``to_steer`` allows for the stream on the leg; None where none is known or the course cannot
    be made good. ``variation_end`` is that at the far end of the leg, ``weakest_nt`` the least
    horizontal field found on it. ``not_known`` names what is missing and ``notes`` what must be
    thought of.
    """

    leg_index: int
    course: Courses | None
    to_steer: Courses | None
    variation: Variation
    variation_end: Variation
    weakest_nt: float | None = None
    not_known: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SkyFound:
    """Courses by compass of the legs, and the sun at waypoints and wheel-overs."""

    courses: tuple[LegCourses, ...] = ()
    sun: tuple[SunRow, ...] = ()


NO_SKY = SkyFound()
