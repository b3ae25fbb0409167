"""Lines to steer by: parallel index lines of legs and bends, clearing lines, transits."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.marks import Mark
from wheelover.core.types.route import Position
from wheelover.core.types.track import Side

RoomSource = Literal["danger", "coast", "cross_track", "searched"]
LimitWord = Literal["NLT", "NMT"]
IndexUse = Literal["chosen", "proposed", "offered"]
Sight = Literal["in_sight", "not_known"]
TransitSource = Literal["charted_line", "leading_marks", "leading_mark", "two_marks"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RadarSet:
    """The range scale that index lines are made for, and whether that is given."""

    range_scale_nm: float
    is_given: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SideRoom:
    """How far to one side of a stretch of a leg she may be before something is too near.

    ``room_m`` is None where that is not known, and ``reason`` says why; it is zero or less where
    already the track does not keep the margin. ``hazard_index`` is the danger that bounds it, with
    what is left of its distance and the margin asked of it. ``not_checked`` says what the room does
    not know of, where it is known at all.
    """

    side: Side
    room_m: float | None
    source: RoomSource | None = None
    hazard_index: int | None = None
    clearance_m: float | None = None
    margin_m: float | None = None
    reason: str | None = None
    not_checked: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexLimit:
    """The range of the index object at which she has used up the room on one side.

    ``range_nm`` is rounded to what can be set, in the careful direction. It is None where the room
    is not known, and where the object lies within it and so marks no limit; ``reason`` says which.
    """

    word: LimitWord
    range_nm: float | None
    room: SideRoom
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexLine:
    """One object to index on along one leg.

    ``range_m`` is its perpendicular distance from the leg's line and ``set_nm`` that range as it is
    set, which lets her run ``set_off_m`` beside the track, starboard positive. ``abeam_m`` is where
    it is abeam, from the leg's first waypoint. It serves from ``serves_from_m`` to ``serves_to_m``
    and is used from ``use_from_m`` to ``use_to_m``, both None where it is only offered; the next is
    in use as well from ``hand_over_from_m`` to ``hand_over_to_m``. Against one bearing of the line
    the range would differ by ``varies_m`` at most along the stretch it serves, on the track;
    ``heading_error_m`` is what a degree of error of the heading line shifts the echo there, and
    ``uncertain_m`` how unsure the object's own place is.
    """

    leg_index: int
    mark_id: str
    use: IndexUse
    side: Side
    range_m: float
    set_nm: float
    set_off_m: float
    abeam_m: float
    line_bearing_deg: float
    serves_from_m: float
    serves_to_m: float
    varies_m: float
    course_change_deg: float
    heading_error_m: float
    uncertain_m: float = 0.0
    use_from_m: float | None = None
    use_to_m: float | None = None
    hand_over_to_id: str | None = None
    hand_over_from_m: float | None = None
    hand_over_to_m: float | None = None
    limits: tuple[IndexLimit, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NotServed:
    """A stretch of a leg that no index object serves, metres from its first waypoint."""

    from_m: float
    to_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUsable:
    """A mark that was chosen and gives no line, with the reason."""

    mark_id: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LegIndex:
    """Index lines of one leg: those in use in sailing order, then those offered."""

    leg_index: int
    lines: tuple[IndexLine, ...] = ()
    not_served: tuple[NotServed, ...] = ()
    not_usable: tuple[NotUsable, ...] = ()
    left_out_count: int = 0
    reason: str | None = None

    @property
    def in_use(self) -> tuple[IndexLine, ...]:
        """Return the lines that are chosen or proposed."""
        return tuple(one for one in self.lines if one.use != "offered")


@dataclass(frozen=True, slots=True, kw_only=True)
class BendObject:
    """One object to index on through a bend.

    ``in_range_m`` and ``out_range_m`` are its distances from the lines of both legs, starboard of
    them positive. ``centre_m`` is how far it lies from the turn's centre; ``inside_in_m`` and
    ``inside_out_m`` how far it lies from the lines that run at the radius inside both legs and
    cross at the centre, positive on the side away from the leg. Its range goes from ``least_m`` to
    ``most_m`` along the arc. ``ring_nm`` is the range to hold where it lies so near the centre
    that one ring serves the whole bend. ``helm_range_m`` is its distance from the wheel-over line,
    starboard positive, and ``helm_set_nm`` the same as it is set.
    """

    mark_id: str
    in_range_m: float
    out_range_m: float
    centre_m: float
    centre_bearing_deg: float
    inside_in_m: float
    inside_out_m: float
    least_m: float
    most_m: float
    ring_nm: float | None = None
    helm_range_m: float | None = None
    helm_set_nm: float | None = None
    helm_rounding_m: float | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BendIndex:
    """Index lines of one turn. ``reason`` says why there are none."""

    turn_index: int
    objects: tuple[BendObject, ...] = ()
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearingBearing:
    """A bearing of a mark that keeps her clear of a danger while it is not less, or not more.

    ``bearing_deg`` is that of the tangent from the mark to the danger with its margin, as seen from
    her, and ``set_deg`` the same rounded to half a degree in the careful direction. It serves from
    ``from_m`` to ``to_m`` of the leg, where the track has at least ``room_m`` to the line as set.
    ``angle_deg`` is that between the line and the course. ``clears`` are other dangers beside all
    of which it serves and clears as well, ``not_cleared`` those on its clear side.
    """

    leg_index: int
    mark_id: str
    hazard_index: int
    word: LimitWord
    bearing_deg: float
    set_deg: float
    danger_side: Side
    mark_ahead: bool
    room_m: float
    from_m: float
    to_m: float
    angle_deg: float
    radius_m: float
    sight: Sight
    line_from: Position
    line_to: Position
    chosen: bool = False
    clears: tuple[int, ...] = ()
    not_cleared: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearingRange:
    """A range of an object that keeps her clear of a danger while it is not less, or not more.

    ``sight`` says whether the radar shows the object as far off as is needed. ``clears`` and
    ``not_cleared`` as of a bearing.
    """

    leg_index: int
    mark_id: str
    hazard_index: int
    word: LimitWord
    range_m: float
    set_nm: float
    danger_side: Side
    room_m: float
    from_m: float
    to_m: float
    radius_m: float
    sight: Sight = "not_known"
    chosen: bool = False
    clears: tuple[int, ...] = ()
    not_cleared: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearingTransit:
    """Two marks that keep her clear of a danger while the rear stands open to one side.

    Seen from her the rear mark is kept open to ``open_side`` of the front one. ``bearing_deg`` is
    that of the line from seaward, ``open_m`` how far beside it the marks stand open by a tenth of a
    degree at the far end of what it serves: the danger lies behind the line by as much beyond
    ``radius_m``. The rest as of a clearing bearing.
    """

    leg_index: int
    front_id: str
    rear_id: str
    hazard_index: int
    open_side: Side
    bearing_deg: float
    danger_side: Side
    mark_ahead: bool
    room_m: float
    open_m: float
    from_m: float
    to_m: float
    angle_deg: float
    radius_m: float
    sight: Sight
    line_from: Position
    line_to: Position
    chosen: bool = False
    clears: tuple[int, ...] = ()
    not_cleared: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LegClearing:
    """Clearing lines of one leg. ``none_for`` are dangers near it that nothing loaded clears.

    Past ``left_out_count`` more dangers near it no line was sought.
    """

    leg_index: int
    bearings: tuple[ClearingBearing, ...] = ()
    ranges: tuple[ClearingRange, ...] = ()
    transits: tuple[ClearingTransit, ...] = ()
    none_for: tuple[int, ...] = ()
    not_usable: tuple[NotUsable, ...] = ()
    left_out_count: int = 0
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Transit:
    """Two marks in line, or one that leads on a bearing, beside a leg.

    ``bearing_deg`` is that of the line as seen from seaward, the marks ahead; ``angle_deg`` turns
    from it to the course, or from it reversed where she keeps the marks astern; for a wheel-over
    that is the new course. ``off_m`` is how far the line lies from the track, or from the
    wheel-over point, at ``at_m`` along the leg, to starboard of that course positive. ``open_m`` is
    how far off the line she is there when the marks stand open by a tenth of a degree; None where
    there are not two marks.
    """

    leg_index: int
    front_id: str | None
    rear_id: str | None
    name: str
    source: TransitSource
    bearing_deg: float
    marks_ahead: bool
    angle_deg: float
    off_m: float
    at_m: float
    use: Literal["track", "wheel_over"]
    open_m: float | None = None
    line_from: Position | None = None
    line_to: Position | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegTransits:
    """Transits along one leg, or at the wheel-over at its end."""

    leg_index: int
    transits: tuple[Transit, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AidLines:
    """All lines to steer by, for every leg and turn that has any.

    ``marks`` are those that any line speaks of.
    """

    marks: tuple[Mark, ...] = ()
    radar: RadarSet | None = None
    index: tuple[LegIndex, ...] = ()
    bends: tuple[BendIndex, ...] = ()
    clearing: tuple[LegClearing, ...] = ()
    transits: tuple[LegTransits, ...] = ()


NO_AID_LINES = AidLines()
