"""The plan: everything that was computed, found, checked and not checked."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.route import LineKind, Method, Position, Route

Grade = Literal["must_resolve", "must_explain", "note", "not_checked"]
Result = Literal["met", "must_explain", "must_resolve", "not_checked"]
SubjectKind = Literal["plan", "waypoint", "leg", "turn", "hazard"]
Side = Literal["port", "starboard"]
Whereabouts = Literal["port", "starboard", "ahead", "astern", "crossed"]
LimitSource = Literal["hazard", "leg", "plan"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a finding or a check is about. ``index`` counts from 0; ``id`` is stable."""

    kind: SubjectKind
    index: int | None = None
    id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegLine:
    """The line of one leg: where it starts, on what course, and how long it is.

    ``arrival_course_deg`` is the course at its far end; on a rhumb line the same.
    """

    line: LineKind
    start: Position
    course_deg: float
    arrival_course_deg: float
    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedLeg:
    """One leg. ``path`` is None on a leg of no length, which has no course.

    ``track_from_m`` and ``track_to_m`` are where the planned track joins and leaves the leg,
    along it from its first waypoint: the tangent points of the turns at its ends.
    """

    index: int
    from_index: int
    from_id: str
    to_id: str
    line: LineKind
    path: LegLine | None
    track_from_m: float
    track_to_m: float
    room: bool
    speed_kn: float | None
    speed_source: Literal["leg", "ship"] | None
    xtd_port_nm: float | None
    xtd_starboard_nm: float | None
    min_clearance_m: float | None

    @property
    def length_m(self) -> float:
        """Return its length from waypoint to waypoint."""
        return 0.0 if self.path is None else self.path.length_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """The circle of constant geodesic radius tangent to both legs of a turn.

    ``from_bearing_deg`` is the bearing of the arc's start from its centre and ``sweep_deg`` the
    angle at the centre to its end, starboard positive.
    """

    centre: Position
    start: Position
    end: Position
    radius_m: float
    tangent_in_m: float
    tangent_out_m: float
    arc_m: float
    from_bearing_deg: float
    sweep_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelOver:
    """Where one method puts the wheel-over: before the waypoint, along the inbound leg."""

    method: Method
    distance_m: float
    position: Position
    reach_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NotApplicable:
    """A method that gives no wheel-over here, and why."""

    method: Method
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedWheelOver:
    """The wheel-over chosen for the plan; ``distance_m`` is None when the choice gives none."""

    method: Method | Literal["own"]
    source: Literal["waypoint", "default"]
    distance_m: float | None
    position: Position | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelOverLine:
    """The line through the wheel-over point parallel to the new course.

    ``offset_m`` is its distance from the outbound leg, positive where it lies to starboard of it;
    ``offset_side`` says the same in a word.
    """

    course_deg: float
    offset_m: float
    offset_side: Side
    start: Position
    end: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTurn:
    """One alteration of course. Without an ``arc`` the ``reason`` says why there is none.

    Rates are positive to starboard: ``rate_deg_per_min`` holds the radius at the speed in the
    turn, ``trade_rate_deg_per_min`` is what the bridge rule V / R says.
    """

    index: int
    waypoint_index: int
    waypoint_id: str
    course_in_deg: float | None
    course_out_deg: float | None
    radius_m: float | None
    radius_source: Literal["waypoint", "ship"] | None
    approach_speed_kn: float | None
    wheel_overs: tuple[WheelOver | NotApplicable, ...]
    planned: PlannedWheelOver
    fits: bool
    course_change_deg: float | None = None
    arc: Arc | None = None
    reason: str | None = None
    turn_speed_kn: float | None = None
    rate_deg_per_min: float | None = None
    trade_rate_deg_per_min: float | None = None
    duration_s: float | None = None
    reach_m: float | None = None
    reach_source: Literal["ship", "default"] | None = None
    wheel_over_line: WheelOverLine | None = None
    missing_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The piece of the planned track that is nearest: a leg or a turn."""

    kind: Literal["leg", "turn"]
    index: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """How near the planned track comes to one danger.

    ``distance_m`` is the raw geodesic distance; ``clearance_m`` is what is left of it after the
    uncertainty of the danger's position. ``limit_m`` is what is asked for on ``limit_piece``: the
    nearest piece, or, where the danger is inside a limit on any piece, the one where it is worst.
    ``met`` is None where no limit is given.
    """

    hazard_index: int
    hazard_id: str
    distance_m: float
    clearance_m: float
    nearest: Position
    hazard_point: Position
    piece: Piece
    side: Whereabouts
    limit_m: float | None
    limit_source: LimitSource | None
    limit_piece: Piece | None
    met: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Infringement:
    """A piece of the track on which a danger is not outside its limit."""

    hazard_index: int
    piece: Piece
    clearance_m: float
    limit_m: float
    limit_source: LimitSource


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceLeast:
    """The danger that matters most to one piece of the track: that with the least margin.

    ``infringed_count`` says how many dangers are inside their limit there.
    """

    piece: Piece
    hazard_index: int
    distance_m: float
    clearance_m: float
    limit_m: float | None
    limit_source: LimitSource | None
    met: bool | None
    infringed_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearances:
    """How near the track comes to the dangers.

    ``rows`` holds one row for each danger within its limit and uncertainty, or 2 NM, whichever
    is larger: its nearest piece, nearest dangers first. ``infringements`` holds one for each
    danger and piece where the limit that counts there is not kept, also where another piece is
    nearer but has a smaller limit. ``least`` holds the nearest danger of each piece, of the
    dangers within 2 NM or their limit. ``unmeasured`` names the pieces whose nearest points could
    not be found.
    """

    rows: tuple[Clearance, ...] = ()
    infringements: tuple[Infringement, ...] = ()
    least: tuple[PieceLeast, ...] = ()
    unmeasured: tuple[Piece, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found. ``id`` comes from code and subject, so a re-run gives the same one.

    ``about`` is the id of the danger concerned, where there is one.
    """

    code: str
    grade: Grade
    subject: Subject
    message: str
    measured: float | None = None
    limit: float | None = None
    unit: str | None = None
    about: str | None = None

    @property
    def id(self) -> str:
        """Return the stable id of this finding; a slash in a user's id is written ~1."""
        parts = (self.code, self.subject.kind, self.subject.id, self.about)
        escaped = (part.replace("~", "~0").replace("/", "~1") for part in parts if part is not None)
        return "/".join(escaped)


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """One row of the check register: a check of one subject, and what came of it.

    ``not_checked`` says what was left out, also where something worse was found.
    """

    check: str
    title: str
    subject: Subject
    result: Result
    reason: str | None
    not_checked: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BasisRow:
    """One input of the plan, with the word for where it came from."""

    input: str
    value: float | str
    unit: str | None
    source: Literal["you", "file", "ship", "set", "default"]
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything computed from one set of inputs."""

    route: Route
    legs: tuple[PlannedLeg, ...]
    turns: tuple[PlannedTurn, ...]
    clearances: Clearances
    findings: tuple[Finding, ...]
    checks: tuple[CheckRow, ...]
    basis: tuple[BasisRow, ...]
    track_m: float | None
