"""A plan as GeoJSON layers (RFC 7946): what the Plot draws and the export carries."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from wheelover.core.turns.compare import simulated_row
from wheelover.core.turns.placed import places_from
from wheelover.core.types.chart import Chart
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Position, TurnWishes, Waypoint
from wheelover.core.types.track import PlannedLeg, PlannedTurn, WheelOver
from wheelover.core.units import nm_from_m
from wheelover.render.aid_layers import line_features
from wheelover.render.cautions import caution_rows
from wheelover.render.charted import charted_features
from wheelover.render.clearances import clearance_features
from wheelover.render.contingencies import contingency_features
from wheelover.render.cues import cue_features
from wheelover.render.exports.rows import by_class
from wheelover.render.land import land_features
from wheelover.render.lines import along_arcs, along_legs, between, feature, lines_from, point
from wheelover.render.points import point_features
from wheelover.render.rounding import METRES, MILES, OTHER, SECONDS, course, rounded
from wheelover.render.schedule_more import time_labels
from wheelover.render.shapes import shapes_of, vertex_count

Feature = dict[str, Any]

MOST_HAZARDS = 2000
"""Above this only the dangers near the track are drawn, and the layers say how many are not."""

MOST_VERTICES = 20_000
"""The same where they are lines and areas with more vertices than this in all; one danger with more
is not drawn."""


def layers(plan: Plan, chart: Chart, marks: dict[str, Any]) -> dict[str, Any]:
    """Return the plan as a FeatureCollection that stands on its own.

    Parameters
    ----------
    plan : Plan
        The plan.
    chart : Chart
        The dangers it was checked against.
    marks : dict
        Members that tell one document from another: digest, engine version, demonstration.
    """
    drawn = _drawn_hazards(plan, chart)
    charted = []
    if plan.on_chart is not None:
        charted = list(charted_features(plan.on_chart, plan.clearances.rows))
    features = [
        *_waypoints(plan),
        *_legs(plan),
        *_turns(plan),
        *_hazards(chart, drawn),
        *charted,
        *clearance_features(plan.clearances.rows),
        *land_features(plan),
        *line_features(plan),
        *time_labels(plan),
        *cue_features(plan),
        *point_features(plan),
        *contingency_features(plan),
    ]
    return {
        "type": "FeatureCollection",
        "name": plan.route.name,
        **marks,
        "hazards_not_drawn_count": chart.hazards.count
        - len(drawn)
        - sum(one["properties"]["layer"] == "hazard" for one in charted),
        "cautions": caution_rows(),
        "features": features,
    }


def _waypoints(plan: Plan) -> Iterator[Feature]:
    """Yield the waypoints, with the courses that meet there."""
    turns = {turn.waypoint_index: turn for turn in plan.turns}
    by_end = {leg.from_index + 1: leg for leg in plan.legs if leg.path is not None}
    by_start = {leg.from_index: leg for leg in plan.legs if leg.path is not None}
    for index, waypoint in enumerate(plan.route.waypoints):
        before, after, turn = by_end.get(index), by_start.get(index), turns.get(index)
        change = None if turn is None else turn.course_change_deg
        yield feature(
            "waypoint",
            point(Position(lat_deg=waypoint.lat_deg, lon_deg=waypoint.lon_deg)),
            id=waypoint.id,
            name=waypoint.name,
            index=index,
            course_in_deg=_arrival(before),
            course_out_deg=_departure(after),
            side=None if change is None else ("starboard" if change >= 0.0 else "port"),
            gap_before=waypoint.gap_before,
            gap_after=waypoint.gap_after,
            turn_radius_nm=waypoint.turn_radius_nm,
            **_wishes(waypoint),
        )


def _wishes(waypoint: Waypoint) -> dict[str, Any]:
    """Return the wishes for the leg to a waypoint and the turn there, named as in route files."""
    leg, turn = waypoint.leg or LegWishes(), waypoint.turn or TurnWishes()
    members = {
        "line": leg.line,
        "speed_kn": leg.speed_kn,
        "xtd_port_nm": leg.xtd_port_nm,
        "xtd_starboard_nm": leg.xtd_starboard_nm,
        "min_clearance_m": leg.min_clearance_m,
        "leg_set_deg": leg.set_deg,
        "leg_drift_kn": leg.drift_kn,
        "charted_depth_m": leg.charted_depth_m,
        "catzoc": leg.catzoc,
        "channel_width_m": leg.channel_width_m,
        "leg_water": leg.water,
        "leg_min_clearance_by_class": by_class(dict(leg.min_clearance_by_class)),
        "turn_steering": turn.steering,
        "turn_rudder_deg": turn.rudder_deg,
        "turn_set_deg": turn.set_deg,
        "turn_drift_kn": turn.drift_kn,
    }
    return {name: value for name, value in members.items() if value is not None}


def _arrival(leg: PlannedLeg | None) -> float | None:
    """Return the course at the end of a leg."""
    return None if leg is None or leg.path is None else course(leg.path.arrival_course_deg)


def _departure(leg: PlannedLeg | None) -> float | None:
    """Return the course at the start of a leg."""
    return None if leg is None or leg.path is None else course(leg.path.course_deg)


def _legs(plan: Plan) -> Iterator[Feature]:
    """Yield the planned stretch of each leg, and the construction on to its waypoints."""
    stretches = [
        (layer, leg, leg.path, from_m, to_m)
        for leg in plan.legs
        if leg.path is not None
        for layer, from_m, to_m in (
            ("leg", leg.track_from_m, leg.track_to_m),
            ("course_line", 0.0, leg.track_from_m),
            ("course_line", leg.track_to_m, leg.length_m),
        )
        if layer == "leg" or to_m > from_m
    ]
    geometries = along_legs([(path, from_m, to_m) for _, _, path, from_m, to_m in stretches])
    for (layer, leg, path, _, _), geometry in zip(stretches, geometries, strict=True):
        if layer == "course_line":
            yield feature(layer, geometry, index=leg.index)
            continue
        yield feature(
            layer,
            geometry,
            index=leg.index,
            from_id=leg.from_id,
            to_id=leg.to_id,
            line=leg.line,
            course_deg=course(path.course_deg),
            distance_nm=rounded(nm_from_m(leg.length_m), MILES),
            track_exists=leg.room,
        )


def _turns(plan: Plan) -> Iterator[Feature]:
    """Yield arcs, wheel-over points of every method and the planned wheel-over with its line."""
    arcs = iter(along_arcs([turn.arc for turn in plan.turns if turn.arc is not None]))
    ways = _simulated(plan.turns)
    for turn in plan.turns:
        if turn.arc is not None:
            yield feature(
                "turn",
                next(arcs),
                index=turn.index,
                waypoint_id=turn.waypoint_id,
                radius_nm=rounded(nm_from_m(turn.arc.radius_m), MILES),
                side="starboard" if turn.arc.sweep_deg >= 0.0 else "port",
                track_exists=turn.fits,
            )
        yield from _wheel_overs(turn, ways.get(turn.index))


def _wheel_overs(turn: PlannedTurn, way: Feature | None) -> Iterator[Feature]:
    """Yield the wheel-over points of one turn, the planned one marked as such."""
    for row in turn.wheel_overs:
        if isinstance(row, WheelOver):
            yield _wheel_over(turn, row.position, row.distance_m, method=row.method, planned=False)
    planned = turn.planned
    if planned.position is not None and planned.distance_m is not None:
        yield _wheel_over(
            turn, planned.position, planned.distance_m, method=planned.method, planned=True
        )
    if way is not None:
        yield way
    marked = turn.wheel_over_line
    if marked is not None:
        yield feature(
            "wheel_over_line",
            between(marked.start, marked.end),
            index=turn.index,
            waypoint_id=turn.waypoint_id,
            offset_m=rounded(marked.offset_m, METRES),
            offset_nm=rounded(nm_from_m(marked.offset_m), MILES),
            offset_side=marked.offset_side,
        )


def _simulated(turns: Sequence[PlannedTurn]) -> dict[int, Feature]:
    """Return the ways of her midships through simulated turns, each begun where helm is planned.

    All are brought onto the chart at once; they are told apart by the index of the turn.
    """
    rows = ((turn, turn.planned.position, simulated_row(turn.wheel_overs)) for turn in turns)
    runs = [
        (turn, place, row.manoeuvre)
        for turn, place, row in rows
        if place is not None and row is not None and row.manoeuvre is not None
    ]
    if not runs:
        return {}
    motions = [found.motion for _, _, found in runs]
    count = np.array([one.time_s.size for one in motions])
    helms = np.repeat([(one.lat_deg, one.lon_deg) for _, one, _ in runs], count, axis=0)
    lat, lon = places_from(
        (helms[:, 0], helms[:, 1]),
        np.concatenate([one.east_m for one in motions]),
        np.concatenate([one.north_m for one in motions]),
    )
    lines = lines_from(np.cumsum(count) - count, lat, lon)
    return {
        turn.index: feature(
            "simulated_track",
            line,
            index=turn.index,
            waypoint_id=turn.waypoint_id,
            rudder_deg=rounded(found.rudder_deg, OTHER),
            steady_at_s=rounded(found.steady_at_s, SECONDS),
            off_track_m=rounded(turn.planned.off_track_m, METRES),
        )
        for (turn, _, found), line in zip(runs, lines, strict=True)
    }


def _wheel_over(
    turn: PlannedTurn, place: Position, distance_m: float, *, method: str, planned: bool
) -> Feature:
    """Return one wheel-over point."""
    return feature(
        "wheel_over",
        point(place),
        index=turn.index,
        waypoint_id=turn.waypoint_id,
        method=method,
        planned=planned,
        distance_nm=rounded(nm_from_m(distance_m), MILES),
    )


def _drawn_hazards(plan: Plan, chart: Chart) -> tuple[int, ...]:
    """Return which typed dangers are drawn: all, or those near the track when many or long."""
    hazards = chart.hazards
    typed = hazards.count if plan.on_chart is None else plan.on_chart.typed_count
    counts = vertex_count(hazards)[:typed]
    if typed <= MOST_HAZARDS and int(counts.sum()) <= MOST_VERTICES:
        return tuple(range(typed))
    near = plan.clearances.rows.hazard.tolist()
    return tuple(sorted(one for one in near if one < typed and counts[one] <= MOST_VERTICES))


def _hazards(chart: Chart, drawn: tuple[int, ...]) -> Iterator[Feature]:
    """Yield the drawn dangers."""
    hazards = chart.hazards
    shapes = shapes_of(hazards, drawn)
    for index in drawn:
        depth_m = float(hazards.depth_m[index])
        yield feature(
            "hazard",
            shapes[index],
            id=hazards.ids[index],
            name=hazards.names[index],
            kind=hazards.kinds[index],
            depth_m=None if math.isnan(depth_m) else depth_m,
        )
