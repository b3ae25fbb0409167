"""The dangers that matter to a leg or a turn, in answers."""

from typing import Literal

from wheelover.api.schemas.answer import Answer, PositionOut
from wheelover.core.types.clearance import LimitSource
from wheelover.core.types.dangers import DangerClass

SideOut = Literal["port", "starboard", "ahead", "astern", "crossed"]


class AbeamOut(Answer):
    """Where she has a danger abeam, and when.

    ``along_nm`` counts from the leg's first waypoint, in a turn from where its arc begins.
    ``after_s`` counts from the start of the track, at the speed over the ground; ``at_utc`` is null
    without it or without a departure, and ``time_reason`` says which. ``time_note`` says what is
    assumed of the time.
    """

    position: PositionOut
    side: SideOut
    distance_m: float
    along_nm: float
    after_s: float | None
    at_utc: str | None
    time_reason: str | None
    time_note: str | None


class NearOut(Answer):
    """One of the dangers that matter to a leg or a turn, at the nearest place of it.

    Listed are the three with the least margin, of those that it is nearest to, and every one inside
    its limit there, 12 at most: ``near_left_out_count`` says how many more. One that keeps its own
    limit and misses a rule is listed where this is the nearest of the track; else a finding tells.
    ``rule`` is that of the limit set for its class there, whether or not it is what limits.
    ``abeam`` is null where the piece ends before.
    """

    hazard_id: str
    hazard_name: str | None
    danger_class: DangerClass | None
    distance_m: float
    clearance_m: float
    side: SideOut
    nearest: PositionOut
    hazard_point: PositionOut
    limit_m: float | None
    limit_source: LimitSource | None
    margin_m: float | None
    met: bool | None
    on_track: bool
    rule: str | None
    rule_missed: bool
    abeam: AbeamOut | None
    abeam_reason: str | None
