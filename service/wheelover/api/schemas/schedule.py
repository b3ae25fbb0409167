"""The schedule of a plan, in answers."""

from typing import Literal

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.sky import SunRowOut

SpeedSourceName = Literal["leg", "ground", "eta", "ship"]
CurrentSourceName = Literal["leg", "stream", "plan"]
TimeSourceName = Literal["given", "computed"]


class ScheduleRowOut(Answer):
    """When she is at a waypoint: at a turn, in the middle of its arc.

    ``eta_given_utc`` is the ETA that was given; ``eta_source`` says given where it is made.
    """

    waypoint_id: str
    waypoint_index: int
    name: str | None
    eta_utc: str | None
    eta_after_s: float | None
    eta_source: TimeSourceName | None
    eta_given_utc: str | None
    stay_s: float
    etd_utc: str | None
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
    sun: list[SunRowOut]
