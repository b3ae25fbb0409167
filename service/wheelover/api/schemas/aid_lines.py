"""Lines to steer by in an answer: index lines of legs and bends, clearing lines, transits."""

from typing import Literal

from wheelover.api.schemas.answer import Answer, PositionOut

SideName = Literal["port", "starboard"]
MarkKindName = Literal["light", "beacon", "buoy", "structure", "landmark", "point_of_land", "other"]


class HandOverOut(Answer):
    """The index object that follows, and the stretch of the leg on which both serve."""

    to_mark_id: str
    from_nm: float
    to_nm: float


class IndexLimitOut(Answer):
    """A limit of an index range, and what bounds the room on that side.

    ``range_nm`` is null where the room is not known or the object marks no limit; ``reason`` says
    which. ``not_checked`` says what the room does not know of.
    """

    word: Literal["NLT", "NMT"]
    range_nm: float | None
    reason: str | None
    side: SideName
    room_m: float | None
    source: Literal["danger", "coast", "cross_track", "searched"] | None
    hazard_id: str | None
    hazard_name: str | None
    clearance_m: float | None
    margin_m: float | None
    not_checked: str | None


class IndexLineOut(Answer):
    """An object to index on along a leg; distances along count from the leg's first waypoint.

    ``range_nm`` is its distance from the leg's line and ``set_nm`` that range as set, which lets
    her run ``set_off_track_m`` beside the track, starboard positive. Offered ones have no limits.
    """

    mark_id: str
    mark_name: str
    kind: MarkKindName
    floating: bool
    radar_conspicuous: bool | None
    use: Literal["chosen", "proposed", "offered"]
    side: SideName
    range_nm: float
    set_nm: float
    set_off_track_m: float
    line_bearing_deg: float
    abeam_nm: float
    serves_from_nm: float
    serves_to_nm: float
    use_from_nm: float | None
    use_to_nm: float | None
    hand_over: HandOverOut | None
    varies_m: float
    course_change_deg: float
    heading_error_m: float
    uncertain_m: float
    limits: list[IndexLimitOut]
    notes: list[str]


class NotServedOut(Answer):
    """A stretch of a leg that no index object serves."""

    from_nm: float
    to_nm: float


class NotUsableOut(Answer):
    """A chosen mark that gives no line, and why."""

    mark_id: str
    reason: str


class LegIndexOut(Answer):
    """The index lines of a leg: those in use in sailing order, then those offered."""

    range_scale_nm: float
    range_scale_source: Literal["ship", "default"]
    reason: str | None
    rows: list[IndexLineOut]
    not_served: list[NotServedOut]
    not_usable: list[NotUsableOut]
    left_out_count: int


class InsideLinesOut(Answer):
    """The lines at the radius inside both legs of a turn: they cross at its centre."""

    radius_nm: float
    side: SideName
    cross_at: PositionOut


class BendObjectOut(Answer):
    """One object to index on through a bend.

    ``inside_in_m`` and ``inside_out_m`` are how far it lies beyond the lines at the radius inside
    both legs, seen from the legs. Its range goes from ``least_nm`` to ``most_nm`` along the arc;
    ``ring_nm`` is the one range to hold, where it lies near the centre. ``helm_range_nm`` is how
    far it is from the wheel-over line, and setting it as rounded gives the helm ``helm_late_m``
    late, early where that is negative.
    """

    mark_id: str
    mark_name: str
    floating: bool
    radar_conspicuous: bool | None
    in_range_nm: float
    in_side: SideName
    out_range_nm: float
    out_side: SideName
    centre_m: float
    centre_bearing_deg: float
    inside_in_m: float
    inside_out_m: float
    least_nm: float
    most_nm: float
    ring_nm: float | None
    helm_range_nm: float | None
    helm_side: SideName | None
    helm_set_nm: float | None
    helm_late_m: float | None
    notes: list[str]


class TurnIndexOut(Answer):
    """The index lines of a turn; ``reason`` says why there is no object."""

    reason: str | None
    inside_lines: InsideLinesOut | None
    rows: list[BendObjectOut]


class DangerNameOut(Answer):
    """A danger by its id and name."""

    hazard_id: str
    hazard_name: str | None


class _ClearingOut(Answer):
    """What clearing bearings and ranges say alike.

    They hold from ``from_nm`` to ``to_nm`` of the leg, where the track has ``room_m`` at least to
    the line as set. ``radius_m`` is the margin with the uncertainty of the positions of the danger
    and of the mark. ``clears`` are other dangers that the line clears too, with theirs.
    """

    mark_id: str
    mark_name: str
    floating: bool
    hazard_id: str
    hazard_name: str | None
    use: Literal["chosen", "proposed"]
    word: Literal["NLT", "NMT"]
    danger_side: SideName
    radius_m: float
    room_m: float
    from_nm: float
    to_nm: float
    clears: list[DangerNameOut]
    notes: list[str]


class ClearingBearingOut(_ClearingOut):
    """A clearing bearing: true, of the mark from her, and rounded to half a degree with care.

    ``not_cleared`` are other dangers on that side that it does not clear.
    """

    bearing_deg: float
    set_deg: float
    mark_ahead: bool
    angle_deg: float
    sight: Literal["in_sight", "not_known"]
    not_cleared: list[DangerNameOut]


class ClearingRangeOut(_ClearingOut):
    """A clearing range, and the same rounded to 0.01 NM with care."""

    range_nm: float
    set_nm: float


class ClearingTransitOut(Answer):
    """Two marks that clear a danger while the rear one stands open to ``open_side`` of the front.

    ``bearing_deg`` is that of the line, from seaward. She is ``open_tenth_deg_m`` beside the line
    where the marks stand open by a tenth of a degree, at the far end of what it serves; the danger
    lies behind it by ``radius_m`` and as much again. The rest as of bearings and ranges.
    """

    front_mark_id: str
    front_mark_name: str
    rear_mark_id: str
    rear_mark_name: str
    hazard_id: str
    hazard_name: str | None
    use: Literal["chosen", "proposed"]
    open_side: SideName
    bearing_deg: float
    danger_side: SideName
    mark_ahead: bool
    angle_deg: float
    radius_m: float
    room_m: float
    open_tenth_deg_m: float
    from_nm: float
    to_nm: float
    sight: Literal["in_sight", "not_known"]
    clears: list[DangerNameOut]
    not_cleared: list[DangerNameOut]
    notes: list[str]


class LegClearingOut(Answer):
    """The clearing lines of a leg; ``none_for`` are dangers near it that no loaded mark clears."""

    bearings: list[ClearingBearingOut]
    ranges: list[ClearingRangeOut]
    transits: list[ClearingTransitOut]
    none_for: list[DangerNameOut]
    not_usable: list[NotUsableOut]
    reason: str | None


class TransitOut(Answer):
    """Marks in line, or one that leads on a bearing, from seaward.

    ``off_m`` is how far the line lies from the track, or from the wheel-over point, at ``at_nm`` of
    the leg, to starboard of the course positive: for a wheel-over of the new course. She is
    ``open_tenth_deg_m`` off the line when the marks stand open by a tenth of a degree.
    """

    name: str
    front_mark_id: str | None
    rear_mark_id: str | None
    source: Literal["charted_line", "leading_marks", "leading_mark", "two_marks"]
    use: Literal["track", "wheel_over"]
    bearing_deg: float
    marks_ahead: bool
    angle_deg: float
    off_m: float
    at_nm: float
    open_tenth_deg_m: float | None
