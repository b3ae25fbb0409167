"""Lines to steer by in an answer: index lines of legs and bends, clearing lines, transits."""

from typing import Literal

from wheelover.api.schemas.answer import Answer

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
    reason: str | None
    rows: list[IndexLineOut]
    not_served: list[NotServedOut]
    not_usable: list[NotUsableOut]
    left_out_count: int
