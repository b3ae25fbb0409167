"""Lines to steer by as JSON values: what each leg is given of them."""

from typing import Any

from wheelover.core.types.aid_lines import IndexLimit, IndexLine, LegIndex, SideRoom
from wheelover.core.types.chart import Chart
from wheelover.core.types.marks import Mark
from wheelover.core.types.plan import Plan
from wheelover.core.units import nm_from_m
from wheelover.render.clearing_lines import clearing_document, transit_rows
from wheelover.render.rounding import DEGREES, METRES, MILES, course, rounded

Document = dict[str, Any]


def leg_lines(plan: Plan, chart: Chart) -> dict[int, Document]:
    """Return the members of each leg that are lines to steer by, by the index of the leg."""
    lines, marks = plan.aid_lines, marks_by_id(plan)
    index = {one.leg_index: one for one in lines.index}
    clearing = {one.leg_index: one for one in lines.clearing}
    transits = {one.leg_index: one for one in lines.transits}
    return {
        leg.index: {
            "index_lines": _leg_index(index.get(leg.index), plan, chart),
            "clearing_lines": clearing_document(clearing.get(leg.index), marks, chart),
            "transits": transit_rows(transits.get(leg.index)),
        }
        for leg in plan.legs
    }


def marks_by_id(plan: Plan) -> dict[str, Mark]:
    """Return the marks that the lines of a plan speak of, by their ids."""
    return {one.id: one for one in plan.aid_lines.marks}


def _miles(length_m: float | None) -> float | None:
    """Return a length in miles, rounded."""
    return None if length_m is None else rounded(nm_from_m(length_m), MILES)


def _leg_index(index: LegIndex | None, plan: Plan, chart: Chart) -> Document | None:
    """Return the index lines of a leg; None where no mark is known."""
    if index is None or plan.aid_lines.radar is None:
        return None
    marks = marks_by_id(plan)
    return {
        "range_scale_nm": rounded(plan.aid_lines.radar.range_scale_nm, MILES),
        "range_scale_source": "ship" if plan.aid_lines.radar.is_given else "default",
        "reason": index.reason,
        "rows": [_line(one, marks[one.mark_id], chart) for one in index.lines],
        "not_served": [
            {"from_nm": _miles(one.from_m), "to_nm": _miles(one.to_m)} for one in index.not_served
        ],
        "not_usable": [{"mark_id": one.mark_id, "reason": one.reason} for one in index.not_usable],
        "left_out_count": index.left_out_count,
    }


def _line(line: IndexLine, mark: Mark, chart: Chart) -> Document:
    """Return one index line."""
    over = line.hand_over_to_id
    return {
        "mark_id": mark.id,
        "mark_name": mark.name,
        "kind": mark.kind,
        "floating": mark.floating,
        "radar_conspicuous": mark.radar_conspicuous,
        "use": line.use,
        "side": line.side,
        "range_nm": _miles(line.range_m),
        "set_nm": rounded(line.set_nm, MILES),
        "set_off_track_m": rounded(line.set_off_m, METRES),
        "line_bearing_deg": course(line.line_bearing_deg),
        "abeam_nm": _miles(line.abeam_m),
        "serves_from_nm": _miles(line.serves_from_m),
        "serves_to_nm": _miles(line.serves_to_m),
        "use_from_nm": _miles(line.use_from_m),
        "use_to_nm": _miles(line.use_to_m),
        "hand_over": None
        if over is None
        else {
            "to_mark_id": over,
            "from_nm": _miles(line.hand_over_from_m),
            "to_nm": _miles(line.hand_over_to_m),
        },
        "varies_m": rounded(line.varies_m, METRES),
        "course_change_deg": rounded(line.course_change_deg, DEGREES),
        "heading_error_m": rounded(line.heading_error_m, METRES),
        "uncertain_m": rounded(line.uncertain_m, METRES),
        "limits": [_limit(one, chart) for one in line.limits],
        "notes": list(line.notes),
    }


def _limit(limit: IndexLimit, chart: Chart) -> Document:
    """Return one limit of an index range."""
    return {
        "word": limit.word,
        "range_nm": rounded(limit.range_nm, MILES),
        "reason": limit.reason,
        **_room(limit.room, chart),
    }


def _room(room: SideRoom, chart: Chart) -> Document:
    """Return what bounds the room on one side."""
    which = room.hazard_index
    return {
        "side": room.side,
        "room_m": rounded(room.room_m, METRES),
        "source": room.source,
        "hazard_id": None if which is None else chart.hazards.ids[which],
        "hazard_name": None if which is None else chart.hazards.names[which],
        "clearance_m": rounded(room.clearance_m, METRES),
        "margin_m": rounded(room.margin_m, METRES),
        "not_checked": room.not_checked,
    }
