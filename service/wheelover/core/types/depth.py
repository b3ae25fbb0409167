"""Water under the keel and over the mast: what is known of it, and the open sums made of it."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.clearance import Piece
from wheelover.core.types.survey import Catzoc

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
TermSource = Literal["you", "ship", "chart", "default", "computed"]
"""Where a term of a sum comes from; ``you`` is whoever asked for the plan."""

End = Literal["fore", "aft", "midships"]
FormulaName = Literal[
    "barrass_open", "barrass_confined", "barrass_general", "barrass_2004", "icorels", "huuska"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthUnder:
    """What is charted under a piece of the track: its least depth, and how well it is surveyed.

    ``depth_m`` counts down from chart datum and is None where none is known; ``reason`` says why,
    or what of the piece is not covered by it. ``what`` says in words where it is from.
    """

    piece: Piece
    depth_m: float | None = None
    source: Literal["you", "chart"] = "you"
    catzoc: Catzoc | None = None
    what: str | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectOver:
    """An object that a piece of the track passes beneath.

    ``height_m`` is the clearance under it as charted or typed, None where it is not known, above a
    level that lies ``datum_m`` above chart datum, None where nobody says how far; ``datum`` names
    the level, and ``level_of_plan`` says that it may be the one whose height is given for the plan:
    an object that counts from a level of its own is not. ``is_cable`` asks for an electrical
    distance, but where ``electrical_off`` says that it is taken off already.
    """

    piece: Piece
    hazard_id: str
    hazard_name: str | None
    height_m: float | None
    datum: str | None = None
    datum_m: float | None = None
    level_of_plan: bool = True
    is_cable: bool = False
    electrical_off: bool = False
    source: Literal["you", "chart"] = "you"
    what: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One term of a sum, rounded to the centimetre in the cautious direction.

    ``value_m`` is added as it stands: what is taken off is negative. It is None where the term is
    not known, and ``reason`` then says why; else where it is from and how it was made.
    """

    name: TermName
    value_m: float | None
    source: TermSource
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SquatRow:
    """What one published formula says. ``squat_m`` is None where it has no answer.

    ``in_range`` says whether the formula is made for this ship, depth and speed, and ``range`` for
    what it is made.
    """

    formula: FormulaName
    squat_m: float | None
    in_range: bool
    range: str
    used: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """From when to when, in seconds since 1970 UTC."""

    from_s: float
    to_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthSum:
    """The under-keel clearance of one piece of the track, with every term it is made of.

    ``static_ukc_m`` is that of the ship stopped: depth and tide less draught. ``dynamic_ukc_m``
    takes off what moving and weather add, ``net_ukc_m`` the survey allowance as well; that is what
    is held against ``required_ukc_m``. Each is None where a term that it needs is not known, and
    ``left_out`` says which terms these are, and what else was not taken into account.
    ``required_by`` says whose rule it is, ``missed_rules`` names the rules of the limit set that
    are missed, and ``own_missed`` says that the plan's own is.
    ``tide_needed_m`` is the height at which the requirement is met at the planned speed, and
    ``limiting_speed_kn`` the greatest speed at which it is met at the tide used; where there is
    none ``limiting_speed_reason`` says why. ``windows`` are the times within the table of tides, or
    around her passing, at which it is met.
    """

    piece: Piece
    terms: tuple[Term, ...]
    squats: tuple[SquatRow, ...] = ()
    static_ukc_m: float | None = None
    dynamic_ukc_m: float | None = None
    net_ukc_m: float | None = None
    required_ukc_m: float | None = None
    required_by: str | None = None
    missed_rules: tuple[str, ...] = ()
    own_missed: bool = False
    met: bool | None = None
    draught_fore_m: float | None = None
    draught_aft_m: float | None = None
    draught_midships_m: float | None = None
    critical_end: End | None = None
    squats_by: Literal["bow", "stern", "both"] | None = None
    speed_kn: float | None = None
    froude_depth_ratio: float | None = None
    critical_speed_kn: float | None = None
    blockage_ratio: float | None = None
    turn_heel_deg: float | None = None
    wind_heel_deg: float | None = None
    tide_needed_m: float | None = None
    limiting_speed_kn: float | None = None
    limiting_speed_reason: str | None = None
    passing: Span | None = None
    windows: tuple[Span, ...] | None = None
    left_out: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OverheadSum:
    """The clearance over the mast under one object that the track passes beneath.

    ``clearance_m`` is None where a term is not known, and ``left_out`` says which. Squat and heel
    are never credited.
    """

    piece: Piece
    hazard_id: str
    hazard_name: str | None
    terms: tuple[Term, ...]
    clearance_m: float | None
    required_m: float | None
    required_by: str | None
    missed_rules: tuple[str, ...]
    own_missed: bool
    met: bool | None
    passing: Span | None = None
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Depths:
    """Water under the keel and over the mast along a planned track.

    ``sums`` holds the pieces of which a depth is known, ``overheads`` what is passed beneath.
    ``reasons`` says of a piece without a sum why there is none.
    """

    sums: tuple[DepthSum, ...] = ()
    overheads: tuple[OverheadSum, ...] = ()
    reasons: tuple[tuple[Piece, str], ...] = ()


NO_DEPTHS = Depths()
