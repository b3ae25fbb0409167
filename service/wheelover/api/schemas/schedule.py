"""The schedule of a plan, in answers."""

from typing import Literal

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.depth import DepthPieceOut
from wheelover.api.schemas.sky import SunRowOut

SpeedSourceName = Literal["leg", "ground", "eta", "ship"]
CurrentSourceName = Literal["leg", "stream", "plan"]
TimeSourceName = Literal["given", "computed"]


class ScheduleRowOut(Answer):
    """When she is at a waypoint: at a turn, in the middle of its arc.

    The zone description is what is added to zone time to have UTC, and ``eta_zone`` the ETA in zone
    time. ``eta_given_utc`` is the ETA that was given; ``eta_source`` says given where it is made.
    """

    waypoint_id: str
    waypoint_index: int
    name: str | None
    eta_utc: str | None
    eta_after_s: float | None
    zone_description_h: float
    zone_source: Literal["longitude", "given"]
    eta_zone: str | None
    eta_source: TimeSourceName | None
    eta_given_utc: str | None
    stay_s: float
    etd_utc: str | None
    etd_zone: str | None
    etd_after_s: float | None
    distance_nm: float | None
    to_go_nm: float | None
    reason: str | None


class WheelOverTimeOut(Answer):
    """When she is at the planned wheel-over of a turn and on its arc, and what slowing costs."""

    waypoint_id: str
    waypoint_index: int
    turn_index: int
    at_utc: str | None
    at_zone: str | None
    after_s: float | None
    to_go_nm: float | None
    arc_start_utc: str | None
    arc_start_after_s: float | None
    arc_end_utc: str | None
    arc_end_after_s: float | None
    time_lost_s: float | None
    reason: str | None
    arc_reason: str | None


class StreamStepOut(Answer):
    """The stream at a time on a leg, and what is steered and made good in it."""

    at_utc: str | None
    set_deg: float
    drift_kn: float
    steer_deg: float
    speed_over_ground_kn: float


class LegTimeOut(Answer):
    """When she is on the track's part of a leg, how fast, and what she steers in the mean stream.

    ``covered`` is false where the table of streams does not cover all the time.
    """

    leg_index: int
    from_id: str
    to_id: str
    start_utc: str | None
    start_after_s: float | None
    end_utc: str | None
    end_after_s: float | None
    duration_s: float | None
    distance_nm: float | None
    course_deg: float | None
    steer_deg: float | None
    speed_kn: float | None
    speed_source: SpeedSourceName | None
    speed_over_ground_kn: float | None
    set_deg: float | None
    drift_kn: float | None
    current_source: CurrentSourceName | None
    station: str | None
    covered: bool
    streams: list[StreamStepOut]
    reason: str | None
    note: str | None


class ArrivalWindowOut(Answer):
    """A window of arrival, and whether she meets it or is early or late by how much."""

    waypoint_id: str
    waypoint_index: int
    from_utc: str | None
    to_utc: str | None
    result: Literal["met", "early", "late", "not_known"]
    off_s: float | None
    reason: str | None


class SchedulePositionOut(Answer):
    """A position."""

    lat_deg: float
    lon_deg: float


class AreaEdgeOut(Answer):
    """Where and when she crosses the edge of an area, and on which piece of the track."""

    position: SchedulePositionOut
    piece: DepthPieceOut
    at_utc: str | None
    after_s: float | None


class AreaTimeOut(Answer):
    """A stretch of the track in a restricted or special area or a routeing measure.

    Without ``enters`` the track begins in it, without ``leaves`` it ends there.
    """

    area_id: str
    name: str | None
    danger_class: str | None
    source: Literal["chart", "you"]
    enters: AreaEdgeOut | None
    leaves: AreaEdgeOut | None


class LegFuelOut(Answer):
    """What a leg and the turn at its end burn of one fuel, and the stay there; null: not known."""

    leg_index: int
    fuel: str | None
    rate_t_per_day: float | None
    burnt_t: float | None
    stay_t: float | None
    reason: str | None


class FuelTotalOut(Answer):
    """What the passage burns of one fuel; the total is null where some of it is not known."""

    fuel: str | None
    known_t: float
    total_t: float | None
    reason: str | None


class FuelOut(Answer):
    """Fuel from the ship's own table, between its rows and never beyond them."""

    legs: list[LegFuelOut]
    fuels: list[FuelTotalOut]
    reason: str | None


class ScheduleOut(Answer):
    """The schedule. Times count from the departure; the clock stands beside it where it is known.

    ``departure_source`` is computed where it was counted back from a given ETA.
    """

    departure_utc: str | None
    departure_source: TimeSourceName | None
    arrival_utc: str | None
    distance_nm: float | None
    duration_s: float | None
    reason: str | None
    rows: list[ScheduleRowOut]
    wheel_overs: list[WheelOverTimeOut]
    legs: list[LegTimeOut]
    windows: list[ArrivalWindowOut]
    areas: list[AreaTimeOut]
    areas_reason: str | None
    fuel: FuelOut
    sun: list[SunRowOut]
