"""The plan: everything that was computed, found, checked and not checked."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from wheelover.core.types.aid_lines import NO_AID_LINES, AidLines
from wheelover.core.types.bridge import NOTHING_FOUND, BridgeFound
from wheelover.core.types.chart import Chart
from wheelover.core.types.charted import ChartedTrack
from wheelover.core.types.clearance import Clearances, Piece
from wheelover.core.types.coast import Land
from wheelover.core.types.compass import NO_SKY, SkyFound
from wheelover.core.types.cues import TurnCues
from wheelover.core.types.depth import NO_DEPTHS, Depths
from wheelover.core.types.limits import LimitSet, Rule, Waiver
from wheelover.core.types.marks import Mark
from wheelover.core.types.route import Route
from wheelover.core.types.schedule import NO_SCHEDULE, Schedule
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import LateHelm, SweptLeg, SweptTurn
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn

Grade = Literal["must_resolve", "must_explain", "note", "not_checked"]
Result = Literal["met", "must_explain", "must_resolve", "not_checked"]
Source = Literal["you", "file", "ship", "set", "default"]
RuleResult = Literal["met", "missed", "waived", "not_checked"]
SubjectKind = Literal["plan", "waypoint", "leg", "turn", "hazard"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a finding or a check is about. ``index`` counts from 0; ``id`` is stable."""

    kind: SubjectKind
    index: int | None = None
    id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found. ``id`` comes from code and subject, so a re-run gives the same one.

    ``about`` is the id of the danger concerned, where there is one, and ``rules`` names the rules
    of the limit set that are missed. Of one that is not ``waivable`` a waiver leaves the grade.
    """

    code: str
    grade: Grade
    subject: Subject
    message: str
    measured: float | None = None
    limit: float | None = None
    unit: str | None = None
    about: str | None = None
    rules: tuple[str, ...] = ()
    waiver: Waiver | None = None
    waivable: bool = True

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
    source: Source
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleMiss:
    """Where a rule is missed: the leg or turn, the danger if any, and the waiver if any."""

    subject: Subject
    about: str | None
    measured: float | None
    finding_id: str
    waiver: Waiver | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleRow:
    """What became of one rule of the limit set; ``reason`` says what was not checked of it."""

    rule: Rule
    result: RuleResult
    reason: str | None
    misses: tuple[RuleMiss, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything computed from one set of inputs.

    ``chart`` holds all dangers that it was checked against, those of its cells too, and
    ``on_chart`` what else the cells say; None where no cells are loaded. ``marks`` are all loaded
    ones, the user's own first.
    """

    route: Route
    legs: tuple[PlannedLeg, ...]
    turns: tuple[PlannedTurn, ...]
    clearances: Clearances
    findings: tuple[Finding, ...]
    checks: tuple[CheckRow, ...]
    basis: tuple[BasisRow, ...]
    track_m: float | None
    loa_m: float | None = None
    swept_turns: tuple[SweptTurn, ...] = ()
    swept_legs: tuple[SweptLeg, ...] = ()
    depths: Depths = NO_DEPTHS
    land: Land | None = None
    chart: Chart | None = None
    on_chart: ChartedTrack | None = None
    late_helms: tuple[LateHelm, ...] = ()
    sky: SkyFound = NO_SKY
    limit_set: LimitSet | None = None
    rules: tuple[RuleRow, ...] = ()
    times: Mapping[Piece, PieceTime] = field(default_factory=dict)
    aid_lines: AidLines = NO_AID_LINES
    marks: tuple[Mark, ...] = ()
    cues: tuple[TurnCues, ...] = ()
    bridge: BridgeFound = NOTHING_FOUND
    sources_max_age_days: float | None = None
    schedule: Schedule = NO_SCHEDULE
    ship: ShipProfile | None = None
