"""A plan as the JSON document that the API answers with."""

from typing import Any

from wheelover.core.types.chart import Chart
from wheelover.core.types.clearance import Piece
from wheelover.core.types.plan import BasisRow, CheckRow, Finding, Plan, Subject
from wheelover.core.types.route import CanalWaiver
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import nm_from_m
from wheelover.render.aid_lines import leg_lines
from wheelover.render.bend_lines import turn_lines
from wheelover.render.cautions import caution_rows
from wheelover.render.charted import charts_document
from wheelover.render.clearances import clearance_rows
from wheelover.render.contingencies import contingency_rows
from wheelover.render.cues import marks_document, turn_cues
from wheelover.render.depth import depth_rows
from wheelover.render.hull import late_helm, leg_hull, turn_hull
from wheelover.render.land import land_rows
from wheelover.render.least import judged, least_row
from wheelover.render.limits import limit_set, rule_rows, waiver
from wheelover.render.methods import planned_wheel_over, spread, wheel_over
from wheelover.render.monitoring import RULE, monitoring_rows
from wheelover.render.near import near_by_piece
from wheelover.render.pilot_card import pilot_card_document
from wheelover.render.points import found_rows, point_rows
from wheelover.render.rounding import (
    DEGREES,
    METRES,
    MILES,
    OTHER,
    SECONDS,
    course,
    position,
    rounded,
)
from wheelover.render.schedule import schedule_document
from wheelover.render.sky import leg_courses_documents, sun_documents
from wheelover.render.sources import checklists_document, sources_document

Document = dict[str, Any]


def plan_document(plan: Plan, chart: Chart) -> Document:
    """Return a plan as JSON values, without its layers and digests.

    Every number says its unit in its name, is rounded once, and is finite; what could not be
    computed is null, and a finding or a reason says why.
    """
    return {
        "name": plan.route.name,
        **_pieces(plan, chart),
        "clearances": clearance_rows(plan.clearances.rows, chart, plan.on_chart),
        "charts": charts_document(plan.on_chart),
        "marks": marks_document(plan),
        "depths": depth_rows(plan),
        "schedule": {**schedule_document(plan), "sun": sun_documents(plan)},
        "findings": [_finding(finding) for finding in plan.findings],
        "checks": _checks(plan.checks),
        "limit_set": limit_set(plan.limit_set),
        "rules": rule_rows(plan),
        "basis": [_basis(row) for row in plan.basis],
        "track": {
            "distance_nm": None if plan.track_m is None else rounded(nm_from_m(plan.track_m), MILES)
        },
        "cautions": caution_rows(),
        "fixing_rule": RULE,
        "points": point_rows(plan),
        "points_found": found_rows(plan),
        "pilot_card": pilot_card_document(plan),
        "sources": sources_document(plan),
        "checklists": checklists_document(plan),
        "contingencies": contingency_rows(plan, chart, plan_document),
    }


def _pieces(plan: Plan, chart: Chart) -> Document:
    """Return the legs and the turns with all that is known of each."""
    least = {one.piece: least_row(one, chart) for one in plan.clearances.least}
    near = near_by_piece(plan.clearances.near, chart, plan.times)
    swept = {one.turn_index: one for one in plan.swept_turns}
    late = {one.turn_index: one for one in plan.late_helms}
    strips = {one.leg_index: one for one in plan.swept_legs}
    land = land_rows(plan)
    cues = {one.turn_index: one for one in plan.cues}
    left_out = plan.clearances.near_left_out
    lines, bends = leg_lines(plan, chart), turn_lines(plan)
    watched = monitoring_rows(plan, chart)
    courses = leg_courses_documents(plan)
    legs, turns = [], []
    for leg in plan.legs:
        piece = Piece(kind="leg", index=leg.index)
        row = {
            **_leg(leg),
            "least_clearance": judged(least.get(piece), track_exists=leg.room),
            "hull": leg_hull(strips.get(leg.index)),
            "land": land.get(piece),
            "near": near.get(piece, []),
            "near_left_out_count": left_out.get(piece, 0),
            **lines[leg.index],
            "monitoring": watched[leg.index],
            "courses": courses[leg.index],
        }
        legs.append(row)
    for turn in plan.turns:
        piece = Piece(kind="turn", index=turn.index)
        row = {
            **_turn(turn, plan.loa_m),
            "least_clearance": judged(least.get(piece), track_exists=turn.fits),
            "hull": turn_hull(swept.get(turn.index), chart),
            "land": land.get(piece),
            "near": near.get(piece, []),
            "near_left_out_count": left_out.get(piece, 0),
            "late_helm": late_helm(late.get(turn.index), chart),
            "index_lines": bends[turn.index],
            "cues": turn_cues(cues.get(turn.index), plan),
        }
        turns.append(row)
    return {"legs": legs, "turns": turns}


def _miles(length_m: float | None) -> float | None:
    """Return a length in miles, rounded."""
    return None if length_m is None else rounded(nm_from_m(length_m), MILES)


def _leg(leg: PlannedLeg) -> Document:
    """Return a leg; courses are null where it has no length."""
    path = leg.path
    return {
        "from_id": leg.from_id,
        "to_id": leg.to_id,
        "line": leg.line,
        "course_deg": None if path is None else course(path.course_deg),
        "arrival_course_deg": None if path is None else course(path.arrival_course_deg),
        "distance_nm": _miles(leg.length_m),
        "track_distance_nm": _miles(leg.track_to_m - leg.track_from_m) if leg.room else None,
        "speed_kn": rounded(leg.speed_kn, OTHER),
        "speed_source": leg.speed_source,
        "xtd_port_nm": rounded(leg.xtd_port_nm, MILES),
        "xtd_starboard_nm": rounded(leg.xtd_starboard_nm, MILES),
        "min_clearance_m": rounded(leg.min_clearance_m, METRES),
        "set_deg": course(leg.set_deg),
        "drift_kn": rounded(leg.drift_kn, OTHER),
        "current_source": leg.current_source,
        "water": leg.water,
        "min_clearance_by_class": dict(leg.min_clearance_by_class) or None,
        "canal": None if leg.canal is None else _canal(leg.canal),
    }


def _canal(waiver: CanalWaiver) -> Document:
    """Return a canal waiver as it was given."""
    return {
        "reason": waiver.reason,
        "by": {"name": waiver.by_name, "rank": waiver.by_rank},
        "at_utc": waiver.at_utc,
        "from_nm": rounded(waiver.from_nm, MILES),
        "to_nm": rounded(waiver.to_nm, MILES),
    }


def _turn(turn: PlannedTurn, loa_m: float | None) -> Document:
    """Return a turn, with one row for each wheel-over method."""
    arc = turn.arc
    change = turn.course_change_deg
    return {
        "waypoint_id": turn.waypoint_id,
        "waypoint_index": turn.waypoint_index,
        "course_in_deg": course(turn.course_in_deg),
        "course_out_deg": course(turn.course_out_deg),
        "course_change_deg": rounded(change, DEGREES),
        "side": None if change is None else ("starboard" if change >= 0.0 else "port"),
        "radius_nm": _miles(turn.radius_m),
        "radius_source": turn.radius_source,
        "centre": position(None if arc is None else arc.centre),
        "start": position(None if arc is None else arc.start),
        "end": position(None if arc is None else arc.end),
        "tangent_in_m": rounded(None if arc is None else arc.tangent_in_m, METRES),
        "tangent_out_m": rounded(None if arc is None else arc.tangent_out_m, METRES),
        "arc_m": rounded(None if arc is None else arc.arc_m, METRES),
        "speed_kn": rounded(turn.turn_speed_kn, OTHER),
        "rate_of_turn_deg_per_min": rounded(turn.rate_deg_per_min, OTHER),
        "trade_rate_of_turn_deg_per_min": rounded(turn.trade_rate_deg_per_min, OTHER),
        "duration_s": rounded(turn.duration_s, SECONDS),
        "reach_m": rounded(turn.reach_m, METRES),
        "reach_source": turn.reach_source,
        "steering": turn.steering,
        "current": _current(turn),
        "wheel_overs": [wheel_over(row, turn, loa_m) for row in turn.wheel_overs],
        "spread": spread(turn.spread),
        "planned": planned_wheel_over(turn, loa_m),
        "wheel_over_line": _line(turn),
        "fits": turn.fits,
        "missing_m": rounded(turn.missing_m, METRES),
        "reason": turn.reason,
    }


def _current(turn: PlannedTurn) -> Document | None:
    """Return the current in a turn and what gives it."""
    if turn.current_source is None:
        return None
    return {
        "set_deg": course(turn.current_set_deg),
        "drift_kn": rounded(turn.current_drift_kn, OTHER),
        "source": turn.current_source,
    }


def _line(turn: PlannedTurn) -> Document | None:
    """Return the wheel-over line of the planned wheel-over."""
    line = turn.wheel_over_line
    if line is None:
        return None
    return {
        "course_deg": course(line.course_deg),
        "offset_m": rounded(line.offset_m, METRES),
        "offset_nm": _miles(line.offset_m),
        "offset_side": line.offset_side,
        "from": position(line.start),
        "to": position(line.end),
    }


def _subject(subject: Subject) -> Document:
    """Return what a finding or check is about."""
    return {"kind": subject.kind, "index": subject.index, "id": subject.id}


def _finding(finding: Finding) -> Document:
    """Return a finding."""
    return {
        "id": finding.id,
        "code": finding.code,
        "grade": finding.grade,
        "subject": _subject(finding.subject),
        "message": finding.message,
        "measured": rounded(finding.measured, METRES),
        "limit": rounded(finding.limit, METRES),
        "unit": finding.unit,
        "about": finding.about,
        "rules": list(finding.rules),
        "waiver": waiver(finding.waiver),
    }


def _checks(rows: tuple[CheckRow, ...]) -> Document:
    """Return the check register, with how many of the checks due were made."""
    return {
        "expected_count": len(rows),
        "done_count": sum(1 for row in rows if row.result != "not_checked"),
        "rows": [
            {
                "check": row.check,
                "title": row.title,
                "subject": _subject(row.subject),
                "result": row.result,
                "reason": row.reason,
            }
            for row in rows
        ],
    }


def _basis(row: BasisRow) -> Document:
    """Return one input with its source word."""
    value = row.value if isinstance(row.value, str) else rounded(row.value, OTHER)
    return {
        "input": row.input,
        "value": value,
        "unit": row.unit,
        "source": row.source,
        "note": row.note,
    }
