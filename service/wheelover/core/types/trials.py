"""What a ship's papers say of how she manoeuvres: pilot card, wheelhouse poster and booklet.

The papers are those of resolution A.601(15) [A601]_. Numbers are kept as they are given: metres,
seconds, knots and degrees, for the point of the ship that the paper names, midships where it names
none. Nothing here is signed: a side is named.
"""

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

Side = Literal["port", "starboard"]
LengthKind = Literal["overall", "between_perpendiculars"]
SteeredBy = Literal["rudder", "pods", "rudder_and_thrusters"]
PerMinute: TypeAlias = float
"""Revolutions a minute."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialShip:
    """The ship the trials were made with.

    ``propeller_count`` is of those that drive her ahead; ``rudder_rate_deg_per_s`` and
    ``helm_delay_s`` are those of the trials. Draughts of a trial belong to its set.
    """

    name: str
    loa_m: float
    lpp_m: float | None = None
    beam_m: float | None = None
    draught_fore_m: float | None = None
    draught_aft_m: float | None = None
    block_coefficient: float | None = None
    rudder_area_m2: float | None = None
    speed_kn: float | None = None
    max_rudder_deg: float = 35.0
    rudder_rate_deg_per_s: float = 2.33
    helm_delay_s: float = 0.0
    propeller_count: int = 1
    steered_by: SteeredBy = "rudder"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPoint:
    """When a change of heading of a circle was reached, and the speed then."""

    heading_change_deg: float
    time_s: float | None = None
    speed_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CircleTrial:
    """A turning circle from the helm order on: advance and transfer at 90 degrees of heading."""

    side: Side
    rudder_deg: float
    speed_kn: float
    depth_m: float | None = None
    advance_m: float | None = None
    transfer_m: float | None = None
    tactical_diameter_m: float | None = None
    final_diameter_m: float | None = None
    points: tuple[RoundPoint, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ZigZagTrial:
    """A zig-zag, first to the side named; overshoots beyond the heading of the order."""

    side: Side
    rudder_deg: float
    heading_change_deg: float
    speed_kn: float
    depth_m: float | None = None
    first_overshoot_deg: float | None = None
    second_overshoot_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InitialTurning:
    """How far ahead she goes from a helm order until her heading has changed by so much."""

    side: Side
    rudder_deg: float
    heading_change_deg: float
    speed_kn: float
    distance_m: float
    depth_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseChange:
    """A point of a course-change curve: helm, opposite helm of the same angle, steady.

    The distance is from the helm order along the old course to where it meets the new one.
    """

    side: Side
    rudder_deg: float
    change_deg: float
    speed_kn: float
    distance_m: float
    depth_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopping:
    """A stop from a speed: the track reach. The response says nothing of it; it is kept."""

    order: str
    speed_kn: float
    track_reach_m: float
    time_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTurnRow:
    """A row of a recorded turn; rudder is where it was, starboard positive, heading any turns.

    Places are over the ground, from any one point.
    """

    time_s: float
    heading_deg: float
    rudder_deg: float
    east_m: float | None = None
    north_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTurn:
    """A turn of her own as it was recorded, from steady on a course at a speed."""

    name: str
    speed_kn: float
    rows: tuple[OwnTurnRow, ...]
    depth_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineOrder:
    """A line of the table of engine orders."""

    order: str
    propeller_rpm: PerMinute | None = None
    pitch_ratio: float | None = None
    laden_speed_kn: float | None = None
    ballast_speed_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialSet:
    """The trials of one loading, in water of one depth unless a trial names its own.

    Without a depth the water is deep. ``lengths_are`` says which length numbers given in lengths
    were counted in; here they stand in metres.
    """

    loading: str
    draught_fore_m: float
    draught_aft_m: float
    depth_m: float | None = None
    reference_from_bow_m: float | None = None
    lengths_are: LengthKind = "between_perpendiculars"
    source: str | None = None
    circles: tuple[CircleTrial, ...] = ()
    zig_zags: tuple[ZigZagTrial, ...] = ()
    initial_turnings: tuple[InitialTurning, ...] = ()
    course_changes: tuple[CourseChange, ...] = ()
    stoppings: tuple[Stopping, ...] = ()
    own_turns: tuple[OwnTurn, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedUse:
    """What the response is wanted for; what is not given is not looked at."""

    speed_kn: float | None = None
    depth_m: float | None = None
    draught_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipPapers:
    """Everything that the papers gave."""

    ship: TrialShip
    sets: tuple[TrialSet, ...] = ()
    engine_orders: tuple[EngineOrder, ...] = ()
    wanted: WantedUse = field(default_factory=WantedUse)
