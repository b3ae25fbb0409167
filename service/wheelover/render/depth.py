"""Water under the keel and over the mast as JSON values: every sum with all of its terms."""

import math
from typing import Any

from wheelover.core.types.clearance import Piece
from wheelover.core.types.depth import Depths, DepthSum, OverheadSum, Span, SquatRow, Term
from wheelover.core.types.plan import Plan
from wheelover.core.utc import utc_from_seconds
from wheelover.render.rounding import METRES, OTHER, rounded

Document = dict[str, Any]


def depth_rows(plan: Plan) -> Document:
    """Return the sums of a plan.

    ``keel`` has a row for each leg and turn of which a depth is known, ``mast`` one for each object
    that a leg or turn leads beneath. Numbers are rounded in the cautious direction, so that the
    terms add up to the sum.
    """
    ids = _ids(plan)
    depths: Depths = plan.depths
    return {
        "keel": [_keel(one, ids) for one in depths.sums],
        "mast": [_mast(one, ids) for one in depths.overheads],
    }


def _ids(plan: Plan) -> dict[Piece, str]:
    """Return the waypoint that each leg leads to and each turn is made at."""
    legs = {Piece(kind="leg", index=leg.index): leg.to_id for leg in plan.legs}
    turns = {Piece(kind="turn", index=turn.index): turn.waypoint_id for turn in plan.turns}
    return {**legs, **turns}


def _piece(piece: Piece) -> Document:
    """Return which piece of the track it is."""
    return {"kind": piece.kind, "index": piece.index}


def _keel(one: DepthSum, ids: dict[Piece, str]) -> Document:
    """Return a sum of water under the keel."""
    return {
        "piece": _piece(one.piece),
        "waypoint_id": ids[one.piece],
        "terms": [_term(term) for term in one.terms],
        "static_ukc_m": rounded(one.static_ukc_m, METRES),
        "dynamic_ukc_m": rounded(one.dynamic_ukc_m, METRES),
        "net_ukc_m": rounded(one.net_ukc_m, METRES),
        "required_ukc_m": rounded(one.required_ukc_m, METRES),
        "required_by": one.required_by,
        "missed_rules": list(one.missed_rules),
        "margin_m": _margin(one.net_ukc_m, one.required_ukc_m),
        "met": one.met,
        "squats": [_squat(row) for row in one.squats],
        "squats_by": one.squats_by,
        "critical_end": one.critical_end,
        "draught_fore_m": rounded(one.draught_fore_m, METRES),
        "draught_midships_m": rounded(one.draught_midships_m, METRES),
        "draught_aft_m": rounded(one.draught_aft_m, METRES),
        "speed_kn": rounded(one.speed_kn, OTHER),
        "froude_depth_ratio": rounded(one.froude_depth_ratio, OTHER),
        "critical_speed_kn": rounded(one.critical_speed_kn, OTHER),
        "blockage_ratio": rounded(one.blockage_ratio, OTHER),
        "turn_heel_deg": rounded(one.turn_heel_deg, OTHER),
        "wind_heel_deg": rounded(one.wind_heel_deg, OTHER),
        "tide_needed_m": rounded(one.tide_needed_m, METRES),
        "limiting_speed_kn": rounded(one.limiting_speed_kn, OTHER),
        "limiting_speed_reason": one.limiting_speed_reason,
        "passing": _times(one.passing),
        "windows": None if one.windows is None else [_inside(span) for span in one.windows],
        "left_out": list(one.left_out),
        "notes": list(one.notes),
    }


def _mast(one: OverheadSum, ids: dict[Piece, str]) -> Document:
    """Return a sum of clearance over the mast."""
    return {
        "piece": _piece(one.piece),
        "waypoint_id": ids[one.piece],
        "hazard_id": one.hazard_id,
        "hazard_name": one.hazard_name,
        "terms": [_term(term) for term in one.terms],
        "clearance_m": rounded(one.clearance_m, METRES),
        "required_m": rounded(one.required_m, METRES),
        "required_by": one.required_by,
        "missed_rules": list(one.missed_rules),
        "margin_m": _margin(one.clearance_m, one.required_m),
        "met": one.met,
        "passing": _times(one.passing),
        "left_out": list(one.left_out),
    }


def _term(term: Term) -> Document:
    """Return one term: what is taken off is negative."""
    return {
        "term": term.name,
        "value_m": rounded(term.value_m, METRES),
        "source": term.source,
        "reason": term.reason,
    }


def _squat(row: SquatRow) -> Document:
    """Return what one formula of squat says."""
    return {
        "formula": row.formula,
        "squat_m": rounded(row.squat_m, METRES),
        "in_range": row.in_range,
        "range": row.range,
        "used": row.used,
    }


def _margin(left_m: float | None, required_m: float | None) -> float | None:
    """Return by how much more is left than required."""
    return None if left_m is None or required_m is None else rounded(left_m - required_m, METRES)


def _times(span: Span | None) -> Document | None:
    """Return from when to when she may be there, to the seconds around it."""
    if span is None:
        return None
    return {
        "from_utc": utc_from_seconds(span.from_s),
        "to_utc": utc_from_seconds(math.ceil(span.to_s)),
    }


def _inside(span: Span) -> Document:
    """Return a time in which there is water enough, to the seconds within it."""
    return {
        "from_utc": utc_from_seconds(math.ceil(span.from_s)),
        "to_utc": utc_from_seconds(span.to_s),
    }
