"""Marks and cues of a plan as JSON values and as features."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from wheelover.core.types.cues import Cue, Ranges, Rounded, TurnCues, WarningPoint
from wheelover.core.types.marks import Mark
from wheelover.core.types.plan import Plan
from wheelover.core.types.track import PlannedTurn
from wheelover.core.units import nm_from_m
from wheelover.render.lines import between, feature, point
from wheelover.render.rounding import METRES, MILES, OTHER, SECONDS, course, position, rounded

Document = dict[str, Any]

MOST_OWN = 1000
"""So many of the user's own marks are listed, besides all that a cue uses."""


def marks_document(plan: Plan) -> Document:
    """Return the loaded marks: how many and from where, and those listed.

    Listed are those that a cue of any turn uses, and the user's own.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    counts = Counter(one.source for one in plan.marks)
    listed = listed_marks(plan)
    return {
        "loaded_count": len(plan.marks),
        "sources": [{"source": source, "count": count} for source, count in sorted(counts.items())],
        "rows": [_mark(one) for one in listed],
        "left_out_count": len(plan.marks) - len(listed),
    }


def listed_marks(plan: Plan) -> list[Mark]:
    """Return the marks that are listed and drawn, in the order in which they are loaded."""
    used = {cue.mark.id for cues in plan.cues for cue in cues.rows}
    own = [one.id for one in plan.marks if one.source == "you"][:MOST_OWN]
    used.update(own)
    return [one for one in plan.marks if one.id in used]


def _mark(mark: Mark) -> Document:
    """Return one mark."""
    return {
        "id": mark.id,
        "name": mark.name,
        "kind": mark.kind,
        "what": mark.what,
        "source": mark.source,
        "position": position(mark.position),
        "floating": mark.floating,
        "lit": mark.lit,
        "height_m": rounded(mark.height_m, METRES),
        "nominal_range_nm": rounded(mark.nominal_range_nm, OTHER),
        "light_character": mark.light_character,
        "lights": [
            {
                "nominal_range_nm": rounded(one.nominal_range_nm, OTHER),
                "height_m": rounded(one.height_m, METRES),
                "character": one.character,
                "sector_from_deg": course(one.sector_from_deg),
                "sector_to_deg": course(one.sector_to_deg),
                "only_at": one.only_at,
            }
            for one in mark.lights
        ],
        "visually_conspicuous": mark.visually_conspicuous,
        "radar_conspicuous": mark.radar_conspicuous,
        "racon": mark.racon,
        "position_uncertainty_m": rounded(mark.position_uncertainty_m, METRES),
        "leading_deg": course(mark.leading_deg),
    }


def turn_cues(cues: TurnCues | None, plan: Plan) -> Document | None:
    """Return the cues of a turn, None where none were looked for.

    Parameters
    ----------
    cues : TurnCues or None
        The cues.
    plan : Plan
        Names the legs and turns that warning points lie on.
    """
    if cues is None:
        return None
    sources = ["you" if chosen else "default" for chosen in cues.chosen]
    first = None if cues.first is None else cues.rows[cues.first]
    return {
        "reason": cues.reason,
        "rows": [_cue(one) for one in cues.rows],
        "first": cues.first,
        "first_source": None if cues.first is None else sources[0],
        "second": cues.second,
        "second_source": None if cues.second is None else sources[1],
        "unknown_ids": list(cues.unknown_ids),
        "dark": cues.dark,
        "dark_reason": cues.dark_reason,
        "after_s": rounded(cues.at_s, SECONDS),
        "at_utc": None,
        "wheel_over_set": _set(cues.distance_set, first),
        "warning_points": [_warning(one, plan) for one in cues.warnings],
    }


def _cue(cue: Cue) -> Document:
    """Return one cue."""
    return {
        "id": cue.id,
        "kind": cue.kind,
        "mark_id": cue.mark.id,
        "mark_name": cue.mark.name,
        "mark_kind": cue.mark.kind,
        "floating": cue.mark.floating,
        "bearing_deg": course(cue.bearing_deg),
        "relative_bearing_deg": rounded(cue.relative_deg, OTHER),
        "range_nm": rounded(nm_from_m(cue.range_m), MILES),
        "index_nm": rounded(nm_from_m(abs(cue.index_m)), MILES),
        "index_side": "starboard" if cue.index_m >= 0.0 else "port",
        "off_parallel_deg": rounded(cue.off_parallel_deg, OTHER),
        "crossing_deg": rounded(cue.crossing_deg, OTHER),
        "bearing_rate_deg_per_min": rounded(cue.bearing_rate_deg_per_min, OTHER),
        "range_rate_kn": rounded(cue.range_rate_kn, OTHER),
        "error_half_degree_m": rounded(cue.error_half_degree_m, METRES),
        "error_hundredth_nm_m": rounded(cue.error_hundredth_nm_m, METRES),
        "error_radar_m": rounded(cue.error_radar_m, METRES),
        "off_line_ratio": rounded(cue.off_line_ratio, OTHER),
        "radar_scale_nm": rounded(cue.radar_scale_nm, OTHER),
        "radar_scale_given": cue.radar_scale_given,
        **_ranges(cue.ranges),
        "by_day": {"seen": cue.by_day.seen, "why": cue.by_day.why},
        "by_night": {"seen": cue.by_night.seen, "why": cue.by_night.why},
        "by_radar": {"seen": cue.by_radar.seen, "why": cue.by_radar.why},
        "seen": cue.seen,
        "means": cue.means,
        "reasons": list(cue.reasons),
        "set_to": None if cue.set_to is None else _rounded(cue.set_to),
    }


def _ranges(ranges: Ranges) -> Document:
    """Return how far a mark can be made out."""
    return {
        "geographical_range_nm": rounded(ranges.geographical_nm, OTHER),
        "luminous_range_nm": rounded(ranges.luminous_nm, OTHER),
        "nominal_range_nm": rounded(ranges.nominal_range_nm, OTHER),
        "radar_range_nm": rounded(ranges.radar_nm, OTHER),
        "light_character": ranges.light_character,
        "in_sector": ranges.in_sector,
        "vertical_angle_deg": None
        if ranges.angle_min is None
        else rounded(ranges.angle_min / 60.0, OTHER),
    }


def _rounded(found: Rounded) -> Document:
    """Return a set value with what the turn does then."""
    side = None if found.unit == "deg" else "starboard" if found.value >= 0.0 else "port"
    return {
        "bearing_deg": course(found.value) if found.unit == "deg" else None,
        "distance_nm": rounded(abs(found.value), MILES) if found.unit == "NM" else None,
        "side": side,
        **_run(found),
    }


def _run(found: Rounded) -> Document:
    """Return what the turn does when the helm comes at a set value."""
    return {
        "later_m": rounded(found.later_m, METRES),
        "later_s": rounded(found.later_s, SECONDS),
        "off_track_m": rounded(found.off_track_m, METRES),
        "inside_window": found.inside_window,
    }


def _set(found: Rounded | None, first: Cue | None) -> Document | None:
    """Return the wheel-over as it is set: distance to go, and what the first cue reads there."""
    if found is None:
        return None
    set_to = None if first is None or first.set_to is None else first.set_to
    of_range = set_to is not None and first is not None and first.kind == "range"
    return {
        "distance_to_go_nm": rounded(found.value, MILES),
        "range_nm": rounded(set_to.value, MILES) if set_to is not None and of_range else None,
        "bearing_deg": course(set_to.value)
        if set_to is not None and set_to.unit == "deg"
        else None,
        **_run(found),
    }


def _warning(one: WarningPoint, plan: Plan) -> Document:
    """Return one warning point; a leg is named by the waypoint that it leads to."""
    waypoint_id = None
    if one.on_index is not None:
        on_leg, index = one.on == "leg", one.on_index
        waypoint_id = plan.legs[index].to_id if on_leg else plan.turns[index].waypoint_id
    return {
        "before_s": rounded(one.before_s, SECONDS),
        "before_nm": rounded(one.before_nm, MILES),
        "source": "default" if one.assumed else "you",
        "distance_nm": None
        if one.distance_m is None
        else rounded(nm_from_m(one.distance_m), MILES),
        "position": position(one.position),
        "on": one.on,
        "waypoint_id": waypoint_id,
        "after_s": rounded(one.at_s, SECONDS),
        "at_utc": None,
        "reason": one.reason,
    }


def cue_features(plan: Plan) -> Iterator[Document]:
    """Yield listed marks, the lines of the first and second cue, and the warning points.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    for mark in listed_marks(plan):
        yield feature(
            "mark",
            point(mark.position),
            id=mark.id,
            name=mark.name,
            kind=mark.kind,
            source=mark.source,
            floating=mark.floating,
            lit=mark.lit,
            light_character=mark.light_character,
        )
    turns = {one.index: one for one in plan.turns}
    for cues in plan.cues:
        turn = turns[cues.turn_index]
        yield from _lines(turn, cues)
        for one in cues.warnings:
            if one.position is not None:
                yield feature(
                    "warning_point",
                    point(one.position),
                    index=turn.index,
                    waypoint_id=turn.waypoint_id,
                    before_s=rounded(one.before_s, SECONDS),
                    before_nm=rounded(one.before_nm, MILES),
                )


def _lines(turn: PlannedTurn, cues: TurnCues) -> Iterator[Document]:
    """Yield the lines from the wheel-over to the marks of the first and the second cue."""
    helm = turn.planned.position
    for order, number in (("first", cues.first), ("second", cues.second)):
        if number is None or helm is None:
            continue
        cue = cues.rows[number]
        yield feature(
            "cue_line",
            between(helm, cue.mark.position),
            index=turn.index,
            waypoint_id=turn.waypoint_id,
            order=order,
            kind=cue.kind,
            mark_id=cue.mark.id,
            mark_name=cue.mark.name,
            bearing_deg=course(cue.bearing_deg),
            range_nm=rounded(nm_from_m(cue.range_m), MILES),
        )
