"""The route of a request."""

from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from wheelover.api.schemas.limit_set import ClassMarginsIn, class_margins
from wheelover.api.schemas.monitoring import MonitoringIn
from wheelover.api.schemas.strict import (
    ClearanceLimit,
    Direction,
    Drift,
    GroundKnots,
    Knots,
    Label,
    Latitude,
    Longitude,
    Miles,
    Radius,
    Strict,
    Word,
)
from wheelover.api.schemas.utc import UtcTime, seconds_or_none
from wheelover.core.errors import UnreadableFile
from wheelover.core.types.dangers import WaterKind
from wheelover.core.types.route import (
    CanalWaiver,
    Carried,
    LegWishes,
    Route,
    TurnWishes,
    Waypoint,
    WheelOverChoice,
)
from wheelover.formats.carrying import (
    MOST_PIECE_XML,
    MOST_PIECES,
    MOST_XML,
    PLACES,
    is_own,
    speaks_for_plan,
)
from wheelover.formats.xml_text import read_fragment

MethodName = Literal["geometric", "rule_of_thumb", "advance_transfer", "simulated"]
CueId = Annotated[str, Field(min_length=1, max_length=210)]
Rudder = Annotated[float, Field(ge=0.001, le=90.0, description="Degrees")]


class CanalByIn(Strict):
    """Who answers for a leg through a canal."""

    name: Annotated[str, Field(min_length=1, max_length=120, pattern=r"\S")]
    rank: Annotated[str, Field(min_length=1, max_length=60, pattern=r"\S")] | None = None


class CanalIn(Strict):
    """That a leg leads through a canal which the coastline closes: on whose word and why.

    ``from_nm`` and ``to_nm`` say where on the leg it is, from its first waypoint on, both or
    neither. Without them it is the longest connected stretch on land, or the known canal there.
    """

    reason: Annotated[str, Field(min_length=1, max_length=2000, pattern=r"\S")]
    by: CanalByIn
    at_utc: UtcTime | None = None
    from_nm: Annotated[float, Field(ge=0.0, le=22_000.0)] | None = None
    to_nm: Annotated[float, Field(gt=0.0, le=22_000.0)] | None = None

    @model_validator(mode="after")
    def _bounds(self) -> "CanalIn":
        """Refuse half a stretch, and one that ends before it begins."""
        if (self.from_nm is None) != (self.to_nm is None):
            raise ValueError("from_nm and to_nm are given both or neither")
        if self.from_nm is not None and self.to_nm is not None and self.to_nm <= self.from_nm:
            raise ValueError(f"to_nm is {self.to_nm:g}; it must be above from_nm, {self.from_nm:g}")
        return self

    def to_core(self) -> CanalWaiver:
        """Return it as the core takes it."""
        return CanalWaiver(
            reason=self.reason,
            by_name=self.by.name,
            by_rank=self.by.rank,
            at_utc=self.at_utc,
            from_nm=self.from_nm,
            to_nm=self.to_nm,
        )


ChartedDepth = Annotated[
    float, Field(ge=-20.0, le=12_000.0, description="Metres below chart datum; negative dries")
]
ChannelWidth = Annotated[float, Field(ge=0.001, le=100_000.0, description="Metres")]
ChosenMarks = Annotated[list[Word], Field(max_length=20)]
CatzocName = Literal["A1", "A2", "B", "C", "D", "U"]


class LegIn(Strict):
    """The leg that leads to a waypoint, and the current on it: set and drift, both or neither.

    ``min_clearance_m`` counts for dangers whose class is not in ``min_clearance_by_class``;
    ``water`` says which limits of a limit set count on the leg. The charted depth is the least on
    it as the officer reads it, with the zone of confidence of its survey; a width makes it a
    channel, in which she squats more. Of the speed through the water and that over the ground at
    most one is given. ``index_mark_ids`` and ``clearing_mark_ids`` name the marks chosen to index
    on and to clear dangers by; without them marks are proposed.
    """

    line: Literal["rhumb", "geodesic"] | None = None
    speed_kn: Knots | None = None
    speed_over_ground_kn: GroundKnots | None = None
    xtd_port_nm: Miles | None = None
    xtd_starboard_nm: Miles | None = None
    min_clearance_m: ClearanceLimit | None = None
    set_deg: Direction | None = None
    drift_kn: Drift | None = None
    water: WaterKind | None = None
    min_clearance_by_class: ClassMarginsIn | None = None
    canal: CanalIn | None = None
    charted_depth_m: ChartedDepth | None = None
    catzoc: CatzocName | None = None
    channel_width_m: ChannelWidth | None = None
    index_mark_ids: ChosenMarks | None = None
    clearing_mark_ids: ChosenMarks | None = None
    monitoring: MonitoringIn | None = None

    @field_validator("index_mark_ids", "clearing_mark_ids")
    @classmethod
    def _each_mark_once(cls, ids: list[str] | None) -> list[str] | None:
        """Refuse a mark that is chosen twice for one purpose."""
        if ids is not None and len(set(ids)) != len(ids):
            raise ValueError("each mark may be chosen once")
        return ids

    def to_core(self) -> LegWishes:
        """Return it as the core takes it."""
        return LegWishes(
            **self.model_dump(
                exclude={
                    "min_clearance_by_class",
                    "canal",
                    "monitoring",
                    "index_mark_ids",
                    "clearing_mark_ids",
                }
            ),
            min_clearance_by_class=class_margins(self.min_clearance_by_class),
            canal=None if self.canal is None else self.canal.to_core(),
            monitoring=None if self.monitoring is None else self.monitoring.to_core(),
            index_mark_ids=tuple(self.index_mark_ids or ()),
            clearing_mark_ids=tuple(self.clearing_mark_ids or ()),
        )


class WheelOverIn(Strict):
    """The planned wheel-over: a method, or a distance before the waypoint."""

    method: MethodName | None = None
    distance_nm: Miles | None = None

    @model_validator(mode="after")
    def _one_of_both(self) -> "WheelOverIn":
        """Refuse a choice that chooses nothing, or twice."""
        if (self.method is None) == (self.distance_nm is None):
            raise ValueError("give either method or distance_nm")
        return self

    def to_core(self) -> WheelOverChoice:
        """Return it as the core takes it."""
        return WheelOverChoice(method=self.method, distance_nm=self.distance_nm)


class TurnIn(Strict):
    """The turn at a waypoint: how it is steered (with the rudder, where it is not said), the
    rudder planned for it, and its current where it is not that of the leg that leads to it. The
    cues chosen for its wheel-over, first and second, are named by the ids of marks, or of cues:
    bearing, range or index, a slash, and the id of the mark.
    """

    steering: Literal["rudder", "rate", "radius"] | None = None
    rudder_deg: Rudder | None = None
    set_deg: Direction | None = None
    drift_kn: Drift | None = None
    cue_ids: Annotated[list[CueId], Field(max_length=2)] | None = None

    def to_core(self) -> TurnWishes:
        """Return it as the core takes it."""
        plain = self.model_dump(exclude={"cue_ids"})
        return TurnWishes(**plain, cue_ids=tuple(self.cue_ids or ()))


class WaypointIn(Strict):
    """A waypoint. gap_before and gap_after mark rows that were not understood.

    An ETA makes the speed of the legs since the last known time that give none of their own.
    stay_min is how long she stops there; the window of arrival may have one end or both.
    """

    id: Word
    lat_deg: Latitude
    lon_deg: Longitude
    name: Label | None = None
    turn_radius_nm: Radius | None = None
    gap_before: bool = False
    gap_after: bool = False
    wheel_over: WheelOverIn | None = None
    leg: LegIn | None = None
    turn: TurnIn | None = None
    eta_utc: UtcTime | None = None
    stay_min: Annotated[float, Field(ge=0.0, le=525_600.0, description="Minutes")] | None = None
    arrive_from_utc: UtcTime | None = None
    arrive_to_utc: UtcTime | None = None
    fixed: Annotated[bool | None, Field(description="Others may not move it")] = None

    def to_core(self) -> Waypoint:
        """Return it as the core takes it."""
        return Waypoint(
            id=self.id,
            lat_deg=self.lat_deg,
            lon_deg=self.lon_deg,
            name=self.name,
            turn_radius_nm=self.turn_radius_nm,
            gap_before=self.gap_before,
            gap_after=self.gap_after,
            wheel_over=None if self.wheel_over is None else self.wheel_over.to_core(),
            leg=None if self.leg is None else self.leg.to_core(),
            turn=None if self.turn is None else self.turn.to_core(),
            eta_s=seconds_or_none(self.eta_utc),
            stay_min=self.stay_min,
            arrive_from_s=seconds_or_none(self.arrive_from_utc),
            arrive_to_s=seconds_or_none(self.arrive_to_utc),
            fixed=bool(self.fixed),
        )


class CarriedIn(Strict):
    """A piece of the file the route was read from that no plan uses; kept, never interpreted."""

    format: Literal["gpx", "rtz"]
    into: Word
    kind: Literal["attributes", "element", "extension"]
    waypoint_id: Word | None = None
    xml: Annotated[str, Field(min_length=1, max_length=MOST_PIECE_XML)]

    @model_validator(mode="after")
    def _stands_on_its_own(self) -> "CarriedIn":
        """Refuse a piece that could not be written back."""
        if self.into not in PLACES[self.format]:
            raise ValueError(f"into must be one of {', '.join(PLACES[self.format])}")
        try:
            element = read_fragment(self.xml, "")
        except UnreadableFile as error:
            raise ValueError(f"xml is not an element that stands on its own: {error}") from error
        if self.kind == "element" and speaks_for_plan(self.format, self.into, element):
            raise ValueError(f"the plan speaks for {element.local}: it cannot be carried")
        if self.kind == "extension" and is_own(element):
            raise ValueError("an extension of wheelover is written from the plan, not carried")
        return self

    def to_core(self) -> Carried:
        """Return it as the core takes it."""
        return Carried(**self.model_dump())


class RouteIn(Strict):
    """Waypoints in sailing order, and what the file they came from said besides."""

    name: Label
    waypoints: Annotated[list[WaypointIn], Field(max_length=10_000)]
    carried: Annotated[list[CarriedIn], Field(max_length=MOST_PIECES)] | None = None

    @model_validator(mode="after")
    def _not_too_much(self) -> "RouteIn":
        """Refuse more than any route file that was read gives."""
        if sum(len(one.xml) for one in self.carried or ()) > MOST_XML:
            raise ValueError(f"carried holds over {MOST_XML} characters of xml")
        return self

    def to_core(self) -> Route:
        """Return it as the core takes it."""
        return Route(
            name=self.name,
            waypoints=tuple(one.to_core() for one in self.waypoints),
            carried=tuple(one.to_core() for one in self.carried or ()),
        )
