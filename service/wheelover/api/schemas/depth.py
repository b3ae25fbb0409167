"""Water under the keel and over the mast, in answers."""

from typing import Literal

from wheelover.api.schemas.answer import Answer

TermName = Literal[
    "charted_depth",
    "tide",
    "draught",
    "density",
    "survey",
    "squat",
    "turn_heel",
    "wind_heel",
    "waves",
    "clearance_height",
    "datum",
    "air_draught",
    "draught_rise",
    "electrical",
]


class DepthPieceOut(Answer):
    """A piece of the planned track."""

    kind: Literal["leg", "turn"]
    index: int


class TermOut(Answer):
    """One term of a sum, added as it stands: what is taken off is negative; null is not known."""

    term: TermName
    value_m: float | None
    source: Literal["you", "ship", "chart", "default", "computed"]
    reason: str


class SquatOut(Answer):
    """What one published formula says, whether it is within its range, and whether it is used."""

    formula: Literal[
        "barrass_open", "barrass_confined", "barrass_general", "barrass_2004", "icorels", "huuska"
    ]
    squat_m: float | None
    in_range: bool
    range: str
    used: bool


class TimesOut(Answer):
    """From when to when."""

    from_utc: str
    to_utc: str


class KeelOut(Answer):
    """The water under the keel on a leg or in a turn, terms rounded so that they add up.

    Static is depth and tide less draught; dynamic takes off squat, heel and waves; net the survey
    allowance as well, and is held against what is required. The tide needed is that at the planned
    speed, the limiting speed that at the tide used. Windows are the times within the table of tides
    with water enough. What is left out could not be taken into account.
    """

    piece: DepthPieceOut
    waypoint_id: str
    terms: list[TermOut]
    static_ukc_m: float | None
    dynamic_ukc_m: float | None
    net_ukc_m: float | None
    required_ukc_m: float | None
    required_by: str | None
    missed_rules: list[str]
    margin_m: float | None
    met: bool | None
    squats: list[SquatOut]
    squats_by: Literal["bow", "stern", "both"] | None
    critical_end: Literal["fore", "aft", "midships"] | None
    draught_fore_m: float | None
    draught_midships_m: float | None
    draught_aft_m: float | None
    speed_kn: float | None
    froude_depth_ratio: float | None
    critical_speed_kn: float | None
    blockage_ratio: float | None
    turn_heel_deg: float | None
    wind_heel_deg: float | None
    tide_needed_m: float | None
    limiting_speed_kn: float | None
    limiting_speed_reason: str | None
    passing: TimesOut | None
    windows: list[TimesOut] | None
    left_out: list[str]
    notes: list[str]


class MastOut(Answer):
    """The clearance over the mast under one object: highest tide, lightest draught, no squat."""

    piece: DepthPieceOut
    waypoint_id: str
    hazard_id: str
    hazard_name: str | None
    terms: list[TermOut]
    clearance_m: float | None
    required_m: float | None
    required_by: str | None
    missed_rules: list[str]
    margin_m: float | None
    met: bool | None
    passing: TimesOut | None
    left_out: list[str]


class DepthsOut(Answer):
    """The sums under the keel and over the mast."""

    keel: list[KeelOut]
    mast: list[MastOut]
