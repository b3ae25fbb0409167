"""What the checks look at, and what each of them answers."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from wheelover.core.aids.mark_set import NO_MARKS, MarkSet
from wheelover.core.charted import up_to_date
from wheelover.core.track import Track
from wheelover.core.types.aid_lines import NO_AID_LINES, AidLines
from wheelover.core.types.bridge import NOTHING_FOUND, BridgeFound
from wheelover.core.types.chart import Chart
from wheelover.core.types.charted import ChartedTrack
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import NO_CORRIDORS, Clearances, Corridors, Piece
from wheelover.core.types.coast import Land
from wheelover.core.types.compass import NO_SKY, SkyFound
from wheelover.core.types.cues import TurnCues
from wheelover.core.types.depth import NO_DEPTHS, Depths
from wheelover.core.types.limits import RULE_UNITS, Rule
from wheelover.core.types.plan import Finding, Result, Subject
from wheelover.core.types.route import Route
from wheelover.core.types.schedule import NO_SCHEDULE, Schedule
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import LateHelm, SweptLeg, SweptTurn
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn

METHOD_NAMES = {
    "geometric": "geometry",
    "rule_of_thumb": "the rule of thumb",
    "advance_transfer": "advance and transfer",
    "simulated": "simulation",
    "own": "a distance of its own",
}
"""What the methods are called in a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Workings:
    """Inputs and results of one computation, before it has been judged."""

    route: Route
    ship: ShipProfile | None
    chart: Chart
    conditions: Conditions
    limits: Limits
    track: Track
    clearances: Clearances
    corridors: Corridors = NO_CORRIDORS
    swept_turns: tuple[SweptTurn, ...] = ()
    swept_legs: tuple[SweptLeg, ...] = ()
    depths: Depths = NO_DEPTHS
    land: Land | None = None
    on_chart: ChartedTrack | None = None
    late_helms: tuple[LateHelm, ...] = ()
    sky: SkyFound = NO_SKY
    times: Mapping[Piece, PieceTime] = field(default_factory=dict)
    marks: MarkSet = NO_MARKS
    aid_lines: AidLines = NO_AID_LINES
    cues: tuple[TurnCues, ...] = ()
    bridge: BridgeFound = NOTHING_FOUND
    schedule: Schedule = NO_SCHEDULE


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The answer of one check on one subject.

    ``not_checked`` carries the reason, and no findings of its own: the register makes those, one
    for each cause.
    """

    check: str
    subject: Subject
    findings: tuple[Finding, ...] = ()
    not_checked: str | None = None

    @property
    def result(self) -> Result:
        """Return the worst that was found; ``met`` only when nothing was left out."""
        grades = {finding.grade for finding in self.findings}
        if "must_resolve" in grades:
            return "must_resolve"
        if self.not_checked is not None:
            return "not_checked"
        return "must_explain" if "must_explain" in grades else "met"


def plan_subject() -> Subject:
    """Return the plan as a whole as a subject."""
    return Subject(kind="plan")


def leg_subject(leg: PlannedLeg) -> Subject:
    """Return a leg as a subject; its id is that of the waypoint it leads to."""
    return Subject(kind="leg", index=leg.index, id=leg.to_id)


def turn_subject(turn: PlannedTurn) -> Subject:
    """Return a turn as a subject; its id is that of its waypoint."""
    return Subject(kind="turn", index=turn.index, id=turn.waypoint_id)


def leg_name(leg: PlannedLeg) -> str:
    """Return what a leg is called in a sentence."""
    return f"leg {leg.from_id} to {leg.to_id}"


def turn_name(turn: PlannedTurn) -> str:
    """Return what a turn is called in a sentence."""
    return f"turn at {turn.waypoint_id}"


def rule_asked(rule: Rule, workings: Workings) -> str:
    """Return which rule of which set and edition asks how much, as it stands in a sentence."""
    limit_set = workings.limits.limit_set
    label = "the limit set" if limit_set is None else limit_set.label
    unit = RULE_UNITS[rule.member]
    return f"{label} asks for {rule.value:g}{f' {unit}' if unit else ''} ({rule.id})"


def coverage_unknown(workings: Workings, piece: Piece) -> str | None:
    """Return why nothing measured from loaded dangers is simply met on a piece, None if it may be.

    It may be where loaded cells cover all the water that was looked at beside the piece, and none
    of them lacks an update. Typed dangers cover no water.
    """
    if workings.on_chart is None:
        if workings.chart.hazards.count == 0:
            return "the loaded set holds no danger, and what water it covers is not stated"
        return "only the loaded dangers were measured; what water they cover is not stated"
    found = {one.piece: one for one in workings.on_chart.covered}.get(piece)
    if found is None or not found.cells:
        return "no loaded chart covers it; only the loaded dangers were measured"
    if found.uncovered:
        return "a part of it lies outside the loaded charts, as the row of its charts says"
    lacking = updates_missing(workings.on_chart, found.cells)
    return None if not lacking else f"{lacking}; what they change was not measured"


def updates_missing(on_chart: ChartedTrack, cells: tuple[int, ...]) -> str | None:
    """Return which updates some cells lack and which were superseded, in words; None for none."""
    return up_to_date.updates_missing(on_chart.charted, cells)
