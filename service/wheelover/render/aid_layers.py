"""Lines to steer by as GeoJSON features: what the Plot draws of them and the export carries."""

import math
from collections.abc import Iterator
from typing import Any

from wheelover.core.aids.parallels import parallels
from wheelover.core.types.aid_lines import IndexLimit, IndexLine
from wheelover.core.types.plan import Plan
from wheelover.core.types.track import LegLine, PlannedTurn, Side
from wheelover.core.units import nm_from_m
from wheelover.render.lines import between, feature, line
from wheelover.render.rounding import METRES, MILES, course, rounded

Feature = dict[str, Any]


def line_features(plan: Plan) -> Iterator[Feature]:
    """Yield the lines to steer by of a plan, those in use and not those offered."""
    yield from _index(plan)
    yield from _bends(plan)
    yield from _clearing(plan)
    yield from _clearing_transits(plan)
    yield from _transits(plan)


def _names(plan: Plan) -> tuple[dict[str, str], dict[int, str]]:
    """Return what marks are called by their ids, and where legs lead to by their index."""
    marks = {one.id: one.name for one in plan.aid_lines.marks}
    return marks, {leg.index: leg.to_id for leg in plan.legs}


def _index(plan: Plan) -> Iterator[Feature]:
    """Yield the index lines, through their objects, and the limits, beside the track."""
    names, to_ids = _names(plan)
    paths = {leg.index: leg.path for leg in plan.legs}
    wanted: list[tuple[LegLine, IndexLine, IndexLimit | None, float]] = []
    for one in (each for index in plan.aid_lines.index for each in index.in_use):
        path = paths[one.leg_index]
        if path is not None:
            wanted.append((path, one, None, _signed_m(one.side, one.range_m)))
            wanted += [
                (path, one, limit, _signed_m(limit.room.side, limit.room.room_m))
                for limit in one.limits
                if limit.room.room_m is not None and limit.room.room_m > 0.0
            ]
    drawn = parallels(
        [(path, one.serves_from_m, one.serves_to_m, off_m) for path, one, _, off_m in wanted]
    )
    for (_, one, bound, off_m), (lat, lon) in zip(wanted, drawn, strict=True):
        common = {
            "index": one.leg_index,
            "to_id": to_ids[one.leg_index],
            "mark_id": one.mark_id,
            "mark_name": names[one.mark_id],
            "off_track_nm": rounded(nm_from_m(off_m), MILES),
        }
        if bound is None:
            yield feature(
                "parallel_index",
                line(lat, lon),
                **common,
                side=one.side,
                use=one.use,
                set_nm=rounded(one.set_nm, MILES),
            )
            continue
        yield feature(
            "index_limit",
            line(lat, lon),
            **common,
            side=bound.room.side,
            word=bound.word,
            range_nm=rounded(bound.range_nm, MILES),
            room_m=rounded(bound.room.room_m, METRES),
            source=bound.room.source,
        )


def _signed_m(side: Side, off_m: float) -> float:
    """Return a distance off, starboard positive."""
    return off_m if side == "starboard" else -off_m


def _bends(plan: Plan) -> Iterator[Feature]:
    """Yield the lines at the radius inside both legs of turns that have an index object."""
    into = {leg.from_index + 1: leg for leg in plan.legs}
    out_of = {leg.from_index: leg for leg in plan.legs}
    turns = {turn.index: turn for turn in plan.turns}
    wanted: list[tuple[PlannedTurn, str, tuple[LegLine, float, float, float]]] = []
    for bend in plan.aid_lines.bends:
        turn = turns[bend.turn_index]
        before, after = into[turn.waypoint_index].path, out_of[turn.waypoint_index].path
        if turn.arc is None or not bend.objects or before is None or after is None:
            continue
        radius_m = turn.arc.radius_m
        off_m = math.copysign(radius_m, turn.arc.sweep_deg)
        begins_m = before.length_m - turn.arc.tangent_in_m
        ends_m = turn.arc.tangent_out_m
        wanted.append((turn, "in", (before, begins_m - radius_m, begins_m + radius_m, off_m)))
        wanted.append((turn, "out", (after, ends_m - radius_m, ends_m + radius_m, off_m)))
    drawn = parallels([one for _, _, one in wanted])
    for (turn, which, (_, _, _, off_m)), (lat, lon) in zip(wanted, drawn, strict=True):
        yield feature(
            "bend_index",
            line(lat, lon),
            index=turn.index,
            waypoint_id=turn.waypoint_id,
            course=which,
            radius_nm=rounded(nm_from_m(abs(off_m)), MILES),
            side="starboard" if off_m >= 0.0 else "port",
        )


def _clearing(plan: Plan) -> Iterator[Feature]:
    """Yield the clearing bearings, from the mark past the danger."""
    names, to_ids = _names(plan)
    ids = () if plan.chart is None else plan.chart.hazards.ids
    for one in (each for clearing in plan.aid_lines.clearing for each in clearing.bearings):
        yield feature(
            "clearing_line",
            between(one.line_from, one.line_to),
            index=one.leg_index,
            to_id=to_ids[one.leg_index],
            mark_id=one.mark_id,
            mark_name=names[one.mark_id],
            hazard_id=ids[one.hazard_index],
            word=one.word,
            set_deg=course(one.set_deg),
            room_m=rounded(one.room_m, METRES),
            danger_side=one.danger_side,
            use="chosen" if one.chosen else "proposed",
        )


def _clearing_transits(plan: Plan) -> Iterator[Feature]:
    """Yield the clearing transits, from the rear mark past the danger."""
    names, to_ids = _names(plan)
    ids = () if plan.chart is None else plan.chart.hazards.ids
    for one in (each for clearing in plan.aid_lines.clearing for each in clearing.transits):
        yield feature(
            "transit",
            between(one.line_from, one.line_to),
            index=one.leg_index,
            to_id=to_ids[one.leg_index],
            name=f"{names[one.rear_id]} open to {one.open_side} of {names[one.front_id]}",
            use="clearing",
            bearing_deg=course(one.bearing_deg),
            hazard_id=ids[one.hazard_index],
            room_m=rounded(one.room_m, METRES),
            danger_side=one.danger_side,
        )


def _transits(plan: Plan) -> Iterator[Feature]:
    """Yield the transits."""
    _, to_ids = _names(plan)
    for one in (each for leg in plan.aid_lines.transits for each in leg.transits):
        if one.line_from is None or one.line_to is None:
            continue
        yield feature(
            "transit",
            between(one.line_from, one.line_to),
            index=one.leg_index,
            to_id=to_ids[one.leg_index],
            name=one.name,
            use=one.use,
            bearing_deg=course(one.bearing_deg),
            off_m=rounded(one.off_m, METRES),
        )
