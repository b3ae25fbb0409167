"""Index lines of bends as JSON values."""

from typing import Any

from wheelover.core.types.aid_lines import BendIndex, BendObject
from wheelover.core.types.marks import Mark
from wheelover.core.types.plan import Plan
from wheelover.core.types.track import PlannedTurn
from wheelover.core.units import nm_from_m
from wheelover.render.rounding import METRES, MILES, course, position, rounded

Document = dict[str, Any]


def turn_lines(plan: Plan) -> dict[int, Document | None]:
    """Return the index lines of each turn, by the index of the turn."""
    marks = {one.id: one for one in plan.aid_lines.marks}
    turns = {turn.index: turn for turn in plan.turns}
    found: dict[int, Document | None] = dict.fromkeys(turns)
    for one in plan.aid_lines.bends:
        found[one.turn_index] = _bend(one, turns[one.turn_index], marks)
    return found


def _bend(bend: BendIndex, turn: PlannedTurn, marks: dict[str, Mark]) -> Document:
    """Return the index lines of a turn.

    The lines at the radius inside both legs are given by that radius and the side of the turn.
    """
    arc = turn.arc
    return {
        "reason": bend.reason,
        "inside_lines": None
        if arc is None
        else {
            "radius_nm": rounded(nm_from_m(arc.radius_m), MILES),
            "side": _side(arc.sweep_deg),
            "cross_at": position(arc.centre),
        },
        "rows": [_object(one, marks[one.mark_id]) for one in bend.objects],
    }


def _object(one: BendObject, mark: Mark) -> Document:
    """Return what one object is to a bend."""
    helm_m = one.helm_range_m
    return {
        "mark_id": mark.id,
        "mark_name": mark.name,
        "floating": mark.floating,
        "radar_conspicuous": mark.radar_conspicuous,
        "in_range_nm": rounded(nm_from_m(abs(one.in_range_m)), MILES),
        "in_side": _side(one.in_range_m),
        "out_range_nm": rounded(nm_from_m(abs(one.out_range_m)), MILES),
        "out_side": _side(one.out_range_m),
        "centre_m": rounded(one.centre_m, METRES),
        "centre_bearing_deg": course(one.centre_bearing_deg),
        "inside_in_m": rounded(one.inside_in_m, METRES),
        "inside_out_m": rounded(one.inside_out_m, METRES),
        "least_nm": rounded(nm_from_m(one.least_m), MILES),
        "most_nm": rounded(nm_from_m(one.most_m), MILES),
        "ring_nm": rounded(one.ring_nm, MILES),
        "helm_range_nm": None if helm_m is None else rounded(nm_from_m(abs(helm_m)), MILES),
        "helm_side": None if helm_m is None else _side(helm_m),
        "helm_set_nm": rounded(one.helm_set_nm, MILES),
        "helm_late_m": rounded(one.helm_rounding_m, METRES),
        "notes": list(one.notes),
    }


def _side(off: float) -> str:
    """Return on which side something lies, starboard positive."""
    return "starboard" if off >= 0.0 else "port"
