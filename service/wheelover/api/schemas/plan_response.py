"""The answer to a plan request, for the description of the API.

The document itself is made by ``render``; a test holds every answer against these models.
"""

from typing import Any, Literal

from pydantic import Field

from wheelover.api.schemas.aid_lines import LegClearingOut, LegIndexOut, TransitOut, TurnIndexOut
from wheelover.api.schemas.answer import Answer, PositionOut
from wheelover.api.schemas.charts_answer import ChartedDangerOut, ChartsOut
from wheelover.api.schemas.cues import MarksOut, TurnCuesOut
from wheelover.api.schemas.depth import DepthsOut
from wheelover.api.schemas.hull import LateHelmOut, LegHullOut, TurnHullOut
from wheelover.api.schemas.land import CanalOut, LandOut
from wheelover.api.schemas.monitoring import MonitoringOut
from wheelover.api.schemas.near import NearOut
from wheelover.api.schemas.pilot_card import PilotCardOut
from wheelover.api.schemas.plan_rows import (
    AlternativeOut,
    BasisOut,
    CautionOut,
    ChecksOut,
    FindingsCountOut,
    TrackOut,
)
from wheelover.api.schemas.points import PlaceOut, PointFoundOut, PointOut
from wheelover.api.schemas.rules_out import LimitSetOut, RuleOut, SubjectOut, WaiverOut
from wheelover.api.schemas.schedule import CurrentSourceName, ScheduleOut, SpeedSourceName
from wheelover.api.schemas.sky import LegCoursesOut
from wheelover.api.schemas.sources import ChecklistsOut, SourcesOut
from wheelover.api.schemas.voyage import VoyageOut
from wheelover.core.types.clearance import LimitSource
from wheelover.core.types.contingency import ContingencyKind
from wheelover.core.types.dangers import DangerClass, WaterKind

MethodName = Literal["geometric", "rule_of_thumb", "advance_transfer", "simulated"]


class LeastOut(Answer):
    """The danger nearest to one piece of the track.

    ``on_track`` says that it lies on it as far as its position is known, limit or none.
    """

    hazard_id: str
    hazard_name: str | None
    distance_m: float
    clearance_m: float
    limit_m: float | None
    limit_source: LimitSource | None
    met: bool | None
    on_track: bool
    infringed_count: int


class LegOut(Answer):
    """A leg, from waypoint to waypoint. Courses are null where it has no length.

    The current is the leg's own, else that of ``conditions``, else null. ``water`` is what the leg
    itself says.
    """

    from_id: str
    to_id: str
    line: Literal["rhumb", "geodesic"]
    course_deg: float | None
    arrival_course_deg: float | None
    distance_nm: float
    track_distance_nm: float | None
    speed_kn: float | None
    speed_source: SpeedSourceName | None
    xtd_port_nm: float | None
    xtd_starboard_nm: float | None
    min_clearance_m: float | None
    set_deg: float | None
    drift_kn: float | None
    current_source: CurrentSourceName | None
    water: WaterKind | None
    min_clearance_by_class: dict[DangerClass, float] | None
    least_clearance: LeastOut | None
    hull: LegHullOut | None
    land: LandOut | None
    canal: CanalOut | None
    near: list[NearOut]
    near_left_out_count: int
    index_lines: LegIndexOut | None
    clearing_lines: LegClearingOut | None
    transits: list[TransitOut]
    monitoring: MonitoringOut
    courses: LegCoursesOut


class TableUsedOut(Answer):
    """The ship's turning table in use, and what was read out of it at this change of course."""

    rudder_deg: float
    speed_kn: float
    loading: str | None
    side: Literal["port", "starboard"] | None
    source: str | None
    rows_are: Literal["heading_reached", "steadied"] | None
    advance_m: float
    transfer_m: float


class OrderGivenOut(Answer):
    """An order, starboard positive, and where she is when it is given.

    It orders a rudder, a rate or a radius; the order to steady on the new heading names none.
    """

    order: Literal["helm", "counter_helm", "midships", "rate", "radius", "steady"]
    at_s: float
    rudder_deg: float | None
    rate_deg_per_min: float | None
    radius_nm: float | None
    heading_deg: float
    position: PositionOut


class SimulatedTurnOut(Answer):
    """The turn as this ship makes it; times count from the helm order."""

    steering: Literal["rudder", "rate", "radius"]
    rudder_for: Literal["radius", "rudder"] | None
    rudder_deg: float
    heading_in_deg: float
    heading_out_deg: float
    orders: list[OrderGivenOut]
    steady_at_s: float
    steady_position: PositionOut
    steady_speed_kn: float
    rate_max_deg_per_min: float


class WheelOverOut(Answer):
    """What one method says. There is one row for each method, always.

    ``off_track_m`` is where the simulated manoeuvre begun here leaves her beside the outbound leg,
    starboard positive; ``before_waypoint_s`` is the run to the waypoint over the ground.
    """

    method: MethodName
    status: Literal["computed", "not_applicable"]
    reason: str | None
    distance_nm: float | None
    position: PositionOut | None
    reach_m: float | None
    tangent_m: float | None
    off_track_m: float | None
    off_track_lengths: float | None
    off_track_side: Literal["inside", "outside"] | None
    before_waypoint_s: float | None
    working: list[str]
    notes: list[str]
    table: TableUsedOut | None
    manoeuvre: SimulatedTurnOut | None


class SpreadOut(Answer):
    """How far the methods are apart; the earliest lies farthest back. Time through the water."""

    earliest: MethodName
    latest: MethodName
    distance_m: float
    time_s: float | None


class PlannedOut(Answer):
    """The planned wheel-over; off track and before the waypoint as in the rows of the methods."""

    method: Literal["geometric", "rule_of_thumb", "advance_transfer", "simulated", "own"]
    source: Literal["waypoint", "default"]
    distance_nm: float | None
    position: PositionOut | None
    off_track_m: float | None
    off_track_lengths: float | None
    off_track_side: Literal["inside", "outside"] | None
    before_waypoint_s: float | None


class WheelOverLineOut(Answer):
    """The line through the wheel-over point parallel to the new course."""

    course_deg: float
    offset_m: float
    offset_nm: float
    offset_side: Literal["port", "starboard"]
    from_: PositionOut = Field(alias="from")
    to: PositionOut


class CurrentOut(Answer):
    """The current in a turn: its own, else that of the leg that leads to it, else the plan's."""

    set_deg: float
    drift_kn: float
    source: Literal["turn", "leg", "stream", "plan"]


class TurnOut(Answer):
    """An alteration of course. Without a circle its members are null and ``reason`` says why."""

    waypoint_id: str
    waypoint_index: int
    course_in_deg: float | None
    course_out_deg: float | None
    course_change_deg: float | None
    side: Literal["port", "starboard"] | None
    radius_nm: float | None
    radius_source: Literal["waypoint", "ship"] | None
    centre: PositionOut | None
    start: PositionOut | None
    end: PositionOut | None
    tangent_in_m: float | None
    tangent_out_m: float | None
    arc_m: float | None
    speed_kn: float | None
    rate_of_turn_deg_per_min: float | None
    trade_rate_of_turn_deg_per_min: float | None
    duration_s: float | None
    reach_m: float | None
    reach_source: Literal["ship", "default"] | None
    steering: Literal["rudder", "rate", "radius"]
    current: CurrentOut | None
    wheel_overs: list[WheelOverOut]
    planned: PlannedOut
    wheel_over_line: WheelOverLineOut | None
    spread: SpreadOut | None
    fits: bool
    missing_m: float | None
    reason: str | None
    least_clearance: LeastOut | None
    hull: TurnHullOut | None
    land: LandOut | None
    near: list[NearOut]
    near_left_out_count: int
    late_helm: LateHelmOut | None
    index_lines: TurnIndexOut | None
    cues: TurnCuesOut | None


class PieceOut(Answer):
    """A piece of the planned track."""

    kind: Literal["leg", "turn"]
    index: int


class ClearanceOut(Answer):
    """One danger at the piece of track nearest to it.

    ``danger_class`` is what margins by class go by: the class of its kind. The uncertainty of its
    position is ``assumed`` for floating marks that state none: their swing.
    """

    hazard_id: str
    hazard_name: str | None
    kind: str | None
    shape: Literal[
        "Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"
    ]
    distance_m: float
    nearest: PositionOut
    hazard_point: PositionOut
    piece: PieceOut
    side: Literal["port", "starboard", "ahead", "astern", "crossed"]
    limit_m: float | None
    limit_source: LimitSource | None
    limit_piece: PieceOut | None
    position_uncertainty_m: float | None
    charted: ChartedDangerOut | None
    position_uncertainty_source: Literal["given", "assumed"] | None
    danger_class: DangerClass | None
    clearance_m: float
    met: bool | None
    on_track: bool
    margin_m: float | None


class FindingOut(Answer):
    """One thing found.

    ``rules`` names the rules of the limit set that are missed by it. One that is waived keeps its
    place, wants an explanation and is never met: the waiver says on whose word and why.
    """

    id: str
    code: str
    grade: Literal["must_resolve", "must_explain", "note", "not_checked"]
    subject: SubjectOut
    message: str
    measured: float | None
    limit: float | None
    unit: str | None
    about: str | None
    rules: list[str]
    waiver: WaiverOut | None


class CaseOut(Answer):
    """A kept case: the turn as it would be with what is tried, beside the plan."""

    name: str
    waypoint_id: str
    tried: dict[str, float | str]
    reason: str | None
    planned: PlannedOut | None
    simulated: WheelOverOut | None
    hull: TurnHullOut | None


class PlanPart(Answer):
    """What is computed and found of one route: of a plan, and of each of its contingencies."""

    name: str
    legs: list[LegOut]
    turns: list[TurnOut]
    clearances: list[ClearanceOut]
    depths: DepthsOut
    schedule: ScheduleOut
    charts: ChartsOut | None
    findings: list[FindingOut]
    checks: ChecksOut
    limit_set: LimitSetOut | None
    rules: list[RuleOut]
    basis: list[BasisOut]
    track: TrackOut


class LeavingOut(Answer):
    """The turn from the planned track onto the first leg of a contingency.

    ``begins`` is where she steadies on the leg that she leaves: times of ``turn`` count from there.
    ``wheel_over_m`` is how far the wheel-over lies before the place of leaving, ``decide`` the
    place by which she must have decided, and ``late_m`` how far the wheel-over lies before
    ``begins``: it is past then. ``reason`` says why there is no turn or no wheel-over.
    """

    begins: PlaceOut | None
    decide: PlaceOut | None
    wheel_over_m: float | None
    late_m: float | None
    reason: str | None
    turn: TurnOut | None
    findings: list[FindingOut]
    not_checked: list[str]
    notes: list[str]


class ContingencyOut(Answer):
    """A contingency and what came of its own plan, checked like the main one.

    ``leaves`` is the place of the main track nearest to where its route begins, and ``leaving`` the
    turn there.
    ``least_clearance_m`` is null where nothing loaded is near.
    """

    id: str
    kind: ContingencyKind
    from_id: str
    name: str
    remark: str | None
    leaves: PlaceOut | None
    leaving: LeavingOut
    off_track_nm: float | None
    off_track_side: Literal["port", "starboard"] | None
    distance_nm: float | None
    findings_count: FindingsCountOut
    least_clearance_m: float | None
    not_checked: list[str]
    notes: list[str]
    plan: PlanPart


class PlanResponse(PlanPart):
    """A plan. Nothing of it is stored."""

    demonstration: bool
    marks: MarksOut
    cautions: list[CautionOut]
    fixing_rule: str
    points: list[PointOut]
    points_found: list[PointFoundOut]
    voyage: VoyageOut | None
    contingencies: list[ContingencyOut]
    pilot_card: PilotCardOut | None
    sources: SourcesOut
    checklists: ChecklistsOut
    cases: list[CaseOut]
    alternatives: list[AlternativeOut]
    layers: dict[str, Any]
    inputs_sha256: str
    engine_version: str
