"""What the cells of a plan say, as the answer to a plan request holds it."""

from typing import Literal

from pydantic import Field

from wheelover.api.schemas.answer import Answer, PositionOut
from wheelover.core.types.dangers import DangerClass


class ChartedDangerOut(Answer):
    """What the chart says of a danger, and why it counts.

    ``doubtful`` says that it counts only because the chart does not say enough. ``zone`` is the
    worst zone of confidence under it, null where none is charted or none applies.
    """

    object_class: str
    why: str
    doubtful: bool
    scale: int
    zone: Literal["A1", "A2", "B", "C", "D", "U"] | None
    cell: str


class CellUsedOut(Answer):
    """A cell of the plan: edition, updates, scale, and what came of it.

    ``scale`` is the denominator of its compilation scale. ``safety_contour_m`` is its own nearest
    contour equal to the one wanted or deeper, null for none. ``superseded`` says what puts the cell
    out of date. ``unknown_classes`` counts objects of
    classes that there is no rule for: nothing was made of them.
    """

    id: str
    name: str
    stored_edition: int | None
    edition: int
    update: int
    updates_missing: list[int]
    superseded: str | None
    issued: str | None
    scale: int
    band: int | None
    depth_datum: str | None
    height_datum: str | None
    states_coverage: bool
    safety_contour_m: float | None
    object_count: int
    danger_count: int
    unknown_classes: dict[str, int]


class SafetyContourOut(Answer):
    """The contour and the depth wanted, where they come from, and the contour in use.

    Of source ``ship`` they are proposed from her draught, of ``default`` no draught is known.
    ``used_m`` is null where no loaded contour is as deep.
    """

    wanted_m: float
    wanted_source: Literal["you", "set", "ship", "default"]
    used_m: float | None
    depth_wanted_m: float
    depth_source: Literal["you", "set", "ship", "default"]


class StretchOut(Answer):
    """A stretch of a piece of the track, along it from where it begins."""

    from_nm: float
    to_nm: float


class TrackPieceOut(Answer):
    """A piece of the planned track."""

    kind: Literal["leg", "turn"]
    index: int


class CoverageOut(Answer):
    """How far a piece of the track lies in water that loaded cells cover.

    ``half_width_m`` is how far to either side it was looked at, and ``cells`` names those that
    count there, the largest scale first. ``zones`` are the zones of confidence of its water, the
    best first; ``unzoned`` says that some of it lies in none.
    """

    piece: TrackPieceOut
    half_width_m: float
    covered: bool
    uncovered: list[StretchOut]
    cells: list[str]
    zones: list[Literal["A1", "A2", "B", "C", "D", "U"]]
    unzoned: bool


class AreaEnteredOut(Answer):
    """A restricted or special area or a part of a routeing measure that a leg leads through."""

    id: str
    name: str | None
    danger_class: DangerClass | None = Field(alias="class")
    object_class: str
    leg_index: int
    enters: PositionOut
    leaves: PositionOut
    enters_nm: float
    leaves_nm: float
    course_in_deg: float
    course_out_deg: float


class ChartsOut(Answer):
    """What the cells of a plan say; shapes from them are drawn within a distance of the track."""

    cells: list[CellUsedOut]
    safety_contour: SafetyContourOut
    coverage: list[CoverageOut]
    areas_entered: list[AreaEnteredOut]
    drawn_within_nm: float
