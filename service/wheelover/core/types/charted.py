"""What the cells of a plan say: dangers with why they count, areas, and the water they cover."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.types.cells import AttributeValue, CellAbout, Geometries
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import Clearances, Piece
from wheelover.core.types.marks import Mark
from wheelover.core.types.track import Arc, LegLine, Side

Geometry: TypeAlias = Any
"""One shapely geometry, longitude and latitude in degrees; the package brings no types."""

WantedSource = Literal["you", "set", "ship", "default"]
Zone = Literal["A1", "A2", "B", "C", "D", "U"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """The least depths that charted water is held against, and what gives each of them.

    ``contour_m`` judges depth areas and contours, ``depth_m`` soundings and single dangers. Of
    source ``ship`` it is proposed from her draught, of ``default`` there was no draught either.
    """

    contour_m: float
    depth_m: float
    contour_source: WantedSource = "you"
    depth_source: WantedSource = "you"


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyContour:
    """The contour wanted, and the one in use: the nearest loaded one equal to it or deeper.

    ``used_m`` is None where no loaded contour is as deep, and ``of_cells_m`` says it for each cell.
    """

    wanted: Wanted
    used_m: float | None
    of_cells_m: tuple[float | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CellUsed:
    """A cell of the plan and what came of it.

    ``object_count`` counts its objects, ``danger_count`` the dangers found in what no larger scale
    covers. ``unknown_classes`` names the classes of objects that there is no rule for, with counts.
    """

    about: CellAbout
    object_count: int
    danger_count: int
    covers: bool
    unknown_classes: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """Charted things in columns of shape (n,), with their places in ``hazards``.

    ``of`` is the object that each comes from, ``why`` says in words why it counts, and ``doubtful``
    that it counts only because the chart does not say enough. ``scale`` is the denominator of the
    compilation scale of its cell, and ``zone`` the worst zone of confidence under it, None where
    none is charted or none applies. ``cell`` numbers the cells of the plan.
    """

    hazards: Hazards
    object_classes: tuple[str, ...]
    attributes: tuple[Mapping[str, AttributeValue], ...]
    why: tuple[str, ...]
    doubtful: Bools
    scale: Ints
    zone: tuple[Zone | None, ...]
    cell: Ints
    geometries: Geometries

    @property
    def count(self) -> int:
        """Return how many there are."""
        return self.hazards.count


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Charted:
    """Everything that the cells of a plan say.

    ``dangers`` are kept off horizontally. ``areas`` are those with special conditions, restricted
    ones and parts of routeing measures; ``overhead`` what crosses above; ``cables`` what lies on
    the bottom and concerns anchoring. ``coverages`` holds where each cell is the one that counts,
    None where none of it does, and ``coverage``, alone in its column, all of it together.
    ``marks`` can be seen, or a radar shows them.
    ``quality`` are the areas of survey quality, ``quality_rank`` numbers the zone of each from the
    best on, beyond the last where none is named, and ``depth_areas`` say where depth is charted.
    """

    cells: tuple[CellUsed, ...]
    contour: SafetyContour
    dangers: Listed
    areas: Listed
    overhead: Listed
    cables: Listed
    coverages: Geometries
    coverage: Geometries
    quality: Geometries
    quality_rank: Ints
    depth_areas: Geometries
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A piece of the track and how far to either side its water is looked at.

    Of a leg the stretch from ``low_m`` to ``high_m`` is looked at, counted from its first waypoint
    and also beyond its ends; of an arc all of it.
    """

    piece: Piece
    half_width_m: float
    length_m: float
    leg: LegLine | None = None
    low_m: float = 0.0
    high_m: float = 0.0
    arc: Arc | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of a piece of the track, in metres along it from where it begins."""

    from_m: float
    to_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceCovered:
    """How far a piece of the track lies in water that loaded cells cover.

    ``half_width_m`` is how far to either side the water was looked at. ``uncovered`` are the
    stretches where some of that width is not covered; ``cells`` are those that cover any of it,
    by number, the largest scale first.
    """

    piece: Piece
    length_m: float
    half_width_m: float
    uncovered: tuple[Stretch, ...]
    cells: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceSurvey:
    """The zones of confidence of the water beside a piece of the track, the best first.

    ``unzoned`` says that some of its water lies in no zone, or in one without its name.
    """

    piece: Piece
    zones: tuple[Zone, ...]
    unzoned: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaPassed:
    """A stretch of a leg inside a charted area: where it enters and leaves, and on what course.

    ``area`` numbers the areas of the chart. ``enters_m`` and ``leaves_m`` count along the leg from
    its first waypoint; the courses are those there.
    """

    leg_index: int
    area: int
    enters_m: float
    leaves_m: float
    enters_deg: tuple[float, float]
    leaves_deg: tuple[float, float]
    course_in_deg: float
    course_out_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaBeside:
    """A charted area within the cross-track limit of one side of a leg, and how near it comes."""

    leg_index: int
    side: Side
    area: int
    distance_m: float
    limit_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnArea:
    """A shape near the track, and the number of the danger, area or cell that it is of."""

    number: int
    shape: Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class NearTrack:
    """Shapes within ``near_m`` of the track, between -180 and 180 degrees.

    ``dangers`` are the charted dangers cut to that, by their number among the charted ones,
    ``areas`` charted areas and ``covers`` what each cell counts for.
    ``holes`` is the water that was to be looked at and that no cell covers.
    """

    near_m: float
    no_go: Geometry
    margin: Geometry
    dangers: tuple[DrawnArea, ...]
    areas: tuple[DrawnArea, ...]
    covers: tuple[DrawnArea, ...]
    holes: Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartedTrack:
    """What the cells say of one track.

    ``typed_count`` is how many dangers of the plan stand before the charted ones. ``near_areas``
    holds how near the track comes to charted areas, ``passed`` the stretches inside them,
    and ``under`` those beneath overhead objects, by their number among them.
    ``ways`` and ``margin_m``, what is asked of the track for each charted danger, say what is drawn
    beside it. ``surveys`` says how well the water beside each piece was surveyed, and ``beside``
    which areas reach into the corridors.
    """

    charted: Charted
    typed_count: int
    covered: tuple[PieceCovered, ...]
    near_areas: Clearances
    passed: tuple[AreaPassed, ...]
    under: tuple[AreaPassed, ...]
    ways: tuple[Way, ...]
    margin_m: Floats
    surveys: tuple[PieceSurvey, ...] = ()
    beside: tuple[AreaBeside, ...] = ()
