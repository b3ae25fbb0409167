"""Index lines of a bend: one object on both courses, the turn's centre, and when to give helm.

The lines that run at the radius inside both legs cross at the centre of the planned arc. An object
there would stay on one range ring all through the bend; any other lies so far from the ring as it
lies from the centre at most.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from wheelover.core.aids.careful import nearest_nm
from wheelover.core.aids.index_objects import Seen, rank_of
from wheelover.core.arrays import Floats
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import normal_course_deg, sin_cos_deg
from wheelover.core.legs import Feet, feet_on_leg
from wheelover.core.types.aid_lines import BendIndex, BendObject, LegIndex
from wheelover.core.types.marks import Mark
from wheelover.core.types.track import Arc, LegLine, PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M, m_from_nm

MOST_OBJECTS = 3

RING_RATIO = 0.1
RING_LEAST_M = 0.05 * NM_M
"""An object serves as a ring where it lies within this part of the radius, or this distance, of
the centre: common practice of the trade is a fixed object near the centre."""


def bend_lines(
    turns: Sequence[PlannedTurn],
    legs: Sequence[PlannedLeg],
    seen: Seen,
    index: Sequence[LegIndex],
) -> tuple[BendIndex, ...]:
    """Return the index lines of every turn.

    Its objects are those in use on the legs beside it, and marks so near its centre that one range
    ring serves the bend.

    Parameters
    ----------
    turns : sequence of PlannedTurn
        The turns.
    legs : sequence of PlannedLeg
        The legs.
    seen : Seen
        The marks and the radar.
    index : sequence of LegIndex
        The index lines of the legs.

    Notes
    -----
    Distances from the legs' lines and from the wheel-over line are geodesic, to 1e-6 m.
    """
    marks = {mark.id: mark for mark in seen.marks}
    by_leg = {one.leg_index: one for one in index}
    into = {leg.from_index + 1: leg for leg in legs}
    out_of = {leg.from_index: leg for leg in legs}
    central = _central(turns, seen)
    return tuple(
        _of_turn(
            turn,
            (into[turn.waypoint_index], out_of[turn.waypoint_index]),
            central.get(turn.index, ()),
            by_leg,
            (marks, seen),
        )
        for turn in turns
    )


def _central(turns: Sequence[PlannedTurn], seen: Seen) -> dict[int, tuple[str, ...]]:
    """Return the fixed marks near the centre of each turn, the nearest first."""
    usable = [mark for mark in seen.marks if rank_of(mark) in (0, 1)]
    arcs = [(turn.index, turn.arc) for turn in turns if turn.arc is not None]
    if not usable or not arcs:
        return {}
    lat = np.array([mark.position.lat_deg for mark in usable])
    lon = np.array([mark.position.lon_deg for mark in usable])
    found = {}
    for index, arc in arcs:
        ring_m = _ring_m(arc)
        # A degree of latitude is 110 km at least, one of longitude that by the cosine.
        wide_deg = ring_m / 110_000.0
        near = np.abs(lat - arc.centre.lat_deg) <= wide_deg
        cosine = np.cos(np.radians(np.minimum(np.abs(lat) + wide_deg, 89.9)))
        apart_deg = np.abs(np.mod(lon - arc.centre.lon_deg + 180.0, 360.0) - 180.0)
        rows = np.flatnonzero(near & (apart_deg * cosine <= wide_deg))
        if rows.size == 0:
            continue
        away_m = geodesic.inverse(arc.centre.lat_deg, arc.centre.lon_deg, lat[rows], lon[rows])[2]
        order = np.argsort(away_m, kind="stable")
        found[index] = tuple(
            usable[int(rows[one])].id for one in order.tolist() if away_m[one] <= ring_m
        )
    return found


def _ring_m(arc: Arc) -> float:
    """Return how near the centre an object must be to serve as a ring."""
    return max(RING_LEAST_M, RING_RATIO * arc.radius_m)


def _of_turn(
    turn: PlannedTurn,
    legs: tuple[PlannedLeg, PlannedLeg],
    central: tuple[str, ...],
    by_leg: Mapping[int, LegIndex],
    known: tuple[Mapping[str, Mark], Seen],
) -> BendIndex:
    """Return the index lines of one turn."""
    marks, seen = known
    into, out_of = legs
    if turn.arc is None or into.path is None or out_of.path is None:
        return BendIndex(turn_index=turn.index, reason=turn.reason or "the turn has no arc")
    ids = dict.fromkeys(
        [
            *central[:1],
            *(_last(by_leg.get(into.index))),
            *(_first(by_leg.get(out_of.index))),
            *central[1:],
        ]
    )
    objects = [
        one
        for mark_id in list(ids)[:MOST_OBJECTS]
        if mark_id in marks
        and (one := _object(turn, turn.arc, into, out_of, marks[mark_id], seen)) is not None
    ]
    reason = None if objects else "no index object near the bend"
    return BendIndex(turn_index=turn.index, objects=tuple(objects), reason=reason)


def _last(index: LegIndex | None) -> list[str]:
    """Return the object that is in use last on a leg, if any."""
    lines = [] if index is None else [one for one in index.in_use if one.use_to_m is not None]
    return [max(lines, key=lambda one: one.use_to_m or 0.0).mark_id] if lines else []


def _first(index: LegIndex | None) -> list[str]:
    """Return the object that is in use first on a leg, if any."""
    lines = [] if index is None else [one for one in index.in_use if one.use_from_m is not None]
    return [min(lines, key=lambda one: one.use_from_m or 0.0).mark_id] if lines else []


def _object(
    turn: PlannedTurn, arc: Arc, into: PlannedLeg, out_of: PlannedLeg, mark: Mark, seen: Seen
) -> BendObject | None:
    """Return what one object is to a bend; None where it is out of the radar's range there."""
    if into.path is None or out_of.path is None:
        return None
    at, centre = mark.position, arc.centre
    bearing, _, away = geodesic.inverse(centre.lat_deg, centre.lon_deg, at.lat_deg, at.lon_deg)
    centre_m, bearing_deg = float(away[0]), float(bearing[0])
    if centre_m > seen.scale_m + arc.radius_m:
        return None
    reach_m = centre_m + arc.radius_m + arc.tangent_in_m + arc.tangent_out_m
    in_m = _across_m(into.path, into.length_m, reach_m, mark)
    out_m = _across_m(out_of.path, 0.0, reach_m, mark)
    inside = 1.0 if arc.sweep_deg >= 0.0 else -1.0
    least_m, most_m = _along_arc(arc, mark, bearing_deg, centre_m)
    helm_m = _from_line(turn, out_of.path, mark, reach_m)
    helm_set_nm = None if helm_m is None else nearest_nm(abs(helm_m))
    notes = []
    if mark.floating:
        notes.append("A floating mark: it swings and may be off its place.")
    return BendObject(
        mark_id=mark.id,
        in_range_m=in_m,
        out_range_m=out_m,
        centre_m=centre_m,
        centre_bearing_deg=bearing_deg,
        inside_in_m=inside * in_m - arc.radius_m,
        inside_out_m=inside * out_m - arc.radius_m,
        least_m=least_m,
        most_m=most_m,
        ring_nm=nearest_nm(arc.radius_m) if centre_m <= _ring_m(arc) else None,
        helm_range_m=helm_m,
        helm_set_nm=helm_set_nm,
        helm_rounding_m=_rounding_m(turn, helm_m, helm_set_nm),
        notes=tuple(notes),
    )


def _across_m(path: LegLine, at_m: float, reach_m: float, mark: Mark) -> float:
    """Return how far a mark lies from the line of a leg, run on both ways, starboard positive."""
    at = mark.position
    return _signed_m(
        feet_on_leg(path, at_m - 2.0 * reach_m, at_m + 2.0 * reach_m, at.lat_deg, at.lon_deg)
    )


def _signed_m(feet: Feet) -> float:
    """Return the distance of one foot, starboard positive."""
    return float(np.copysign(feet.distance_m[0], feet.bearing_off_deg[0]))


def _along_arc(arc: Arc, mark: Mark, bearing_deg: float, centre_m: float) -> tuple[float, float]:
    """Return how near and how far the object is along the arc.

    It is nearest where the arc crosses its bearing from the centre and farthest opposite, or at an
    end of the arc.
    """
    turned = [0.0, abs(arc.sweep_deg)]
    way = 1.0 if arc.sweep_deg >= 0.0 else -1.0
    for towards_deg in (bearing_deg, bearing_deg + 180.0):
        on_deg = float(normal_course_deg(way * (towards_deg - arc.from_bearing_deg)))
        if centre_m > 0.0 and on_deg <= abs(arc.sweep_deg):
            turned.append(on_deg)
    bearings: Floats = arc.from_bearing_deg + way * np.array(turned)
    lat, lon, _ = geodesic.direct(arc.centre.lat_deg, arc.centre.lon_deg, bearings, arc.radius_m)
    at = mark.position
    away_m = geodesic.inverse(lat, lon, at.lat_deg, at.lon_deg)[2]
    return float(np.min(away_m)), float(np.max(away_m))


def _from_line(turn: PlannedTurn, out_of: LegLine, mark: Mark, reach_m: float) -> float | None:
    """Return how far the object lies from the wheel-over line, starboard positive."""
    planned = turn.planned.position
    if planned is None or turn.wheel_over_line is None:
        return None
    marked = LegLine(
        line="geodesic",
        start=planned,
        course_deg=out_of.course_deg,
        arrival_course_deg=out_of.course_deg,
        length_m=1.0,
    )
    return _across_m(marked, 0.0, reach_m, mark)


def _rounding_m(turn: PlannedTurn, helm_m: float | None, set_nm: float | None) -> float | None:
    """Return how far along the inbound leg the rounding of the range moves the helm, late positive.

    The offset of a line parallel to the new course grows along the old one by the sine of the
    change of course.
    """
    change_deg = turn.course_change_deg
    if helm_m is None or set_nm is None or change_deg is None:
        return None
    sine = float(sin_cos_deg(change_deg)[0])
    if abs(sine) < 0.05:
        return None
    # Sailing on along the old course she falls to port of the new one in a turn to starboard, so
    # that an object to starboard draws away.
    more_m = m_from_nm(set_nm) - abs(helm_m)
    return float(np.sign(helm_m) * more_m / sine)
