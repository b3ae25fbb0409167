"""The plan: everything that was computed, found, checked and not checked."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.route import Position, Route
from wheelover.core.types.track import PlannedLeg, PlannedTurn, Side

Grade = Literal["must_resolve", "must_explain", "note", "not_checked"]
Result = Literal["met", "must_explain", "must_resolve", "not_checked"]
SubjectKind = Literal["plan", "waypoint", "leg", "turn", "hazard"]
Whereabouts = Literal["port", "starboard", "ahead", "astern", "crossed"]
LimitSource = Literal["hazard", "leg", "plan"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a finding or a check is about. ``index`` counts from 0; ``id`` is stable."""

    kind: SubjectKind
    index: int | None = None
    id: str | None = None


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
    """A piece of the track on which a danger is not outside its limit.

    ``crossed`` says that the piece lies on the danger. ``limit_source`` is None where no limit is
    given: then the danger lies on the track as far as its position is known.
    """

    hazard_index: int
    piece: Piece
    clearance_m: float
    crossed: bool
    limit_m: float
    limit_source: LimitSource | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceLeast:
    """The danger that matters most to one piece of the track: that with the least margin.

    ``infringed_count`` says how many dangers are inside their limit, or without one on the track.
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
class Intrusion:
    """A danger inside the cross-track limit of one side of a leg: the nearest, and how many."""

    leg_index: int
    side: Side
    hazard_index: int
    clearance_m: float
    limit_m: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Corridors:
    """The dangers inside the cross-track limits, and the legs whose corridor was not measured."""

    intrusions: tuple[Intrusion, ...] = ()
    unmeasured: tuple[int, ...] = ()


NO_CORRIDORS = Corridors()


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
