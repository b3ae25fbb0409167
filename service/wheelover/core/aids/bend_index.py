"""Index lines of a bend: one object on both courses, the turn's centre, and when to give helm.

The lines that run at the radius inside both legs cross at the centre of the planned arc. An object
there would stay on one range ring all through the bend; any other lies so far from the ring as it
lies from the centre at most.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from wheelover.core.aids.careful import nearest_nm
from wheelover.core.aids.index_objects import Seen, rank_of
from wheelover.core.arrays import Floats
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import normal_course_deg, sin_cos_deg
from wheelover.core.legs import LegColumns, feet_on_leg, in_columns
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
    number = {mark.id: at for at, mark in enumerate(seen.marks)}
    by_leg = {one.leg_index: one for one in index}
    into = {leg.from_index + 1: leg for leg in legs}
    out_of = {leg.from_index: leg for leg in legs}
    central = _central(turns, seen)
    asked: list[_Asked] = []
    for turn in turns:
        before, after = into[turn.waypoint_index], out_of[turn.waypoint_index]
        if turn.arc is None or before.path is None or after.path is None:
            continue
        nearest = central.get(turn.index, ())
        ids = [
            *nearest[:1],
            *_last(by_leg.get(before.index)),
            *_first(by_leg.get(after.index)),
            *nearest[1:],
        ]
        marks = [number[one] for one in dict.fromkeys(ids) if one in number][:MOST_OBJECTS]
        asked += [_Asked(turn, turn.arc, before.path, after.path, mark) for mark in marks]
    found: dict[int, list[BendObject]] = {}
    for one, made in zip(asked, _objects(asked, seen), strict=True):
        if made is not None:
            found.setdefault(one.turn.index, []).append(made)
    return tuple(
        BendIndex(
            turn_index=turn.index,
            objects=tuple(found.get(turn.index, ())),
            reason=_why_none(turn, turn.index in found),
        )
        for turn in turns
    )


class _Asked(NamedTuple):
    """A turn with its arc, the lines of both legs, and the number of a mark."""

    turn: PlannedTurn
    arc: Arc
    into: LegLine
    out_of: LegLine
    mark: int


def _why_none(turn: PlannedTurn, has_some: bool) -> str | None:
    """Return why a turn has no index object, None where it has one."""
    if has_some:
        return None
    return "no index object near the bend" if turn.arc is not None else turn.reason


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


def _last(index: LegIndex | None) -> list[str]:
    """Return the object that is in use last on a leg, if any."""
    lines = [] if index is None else [one for one in index.in_use if one.use_to_m is not None]
    return [max(lines, key=lambda one: one.use_to_m or 0.0).mark_id] if lines else []


def _first(index: LegIndex | None) -> list[str]:
    """Return the object that is in use first on a leg, if any."""
    lines = [] if index is None else [one for one in index.in_use if one.use_from_m is not None]
    return [min(lines, key=lambda one: one.use_from_m or 0.0).mark_id] if lines else []


def _objects(asked: list[_Asked], seen: Seen) -> list[BendObject | None]:
    """Return what each object is to its bend; None where it is out of the radar's range there."""
    if not asked:
        return []
    which = np.array([one.mark for one in asked])
    lat, lon = seen.lat_deg[which], seen.lon_deg[which]
    arcs = [one.arc for one in asked]
    centres = np.array([(arc.centre.lat_deg, arc.centre.lon_deg) for arc in arcs]).T
    bearing_deg, _, centre_m = geodesic.inverse(centres[0], centres[1], lat, lon)
    reach_m = 2.0 * (
        centre_m + np.array([arc.radius_m + arc.tangent_in_m + arc.tangent_out_m for arc in arcs])
    )
    lines = [
        *(one.into for one in asked),
        *(one.out_of for one in asked),
        *(_helm_line(one) for one in asked),
    ]
    at_m = np.zeros(len(lines))
    at_m[: len(asked)] = [one.into.length_m for one in asked]
    in_m, out_m, helm_m = np.split(
        _across_m(in_columns(lines), at_m, np.tile(reach_m, 3), (np.tile(lat, 3), np.tile(lon, 3))),
        3,
    )
    least_m, most_m = _along_arcs(arcs, (lat, lon), bearing_deg, centre_m)
    out: list[BendObject | None] = []
    for row, one in enumerate(asked):
        if centre_m[row] > seen.scale_m + one.arc.radius_m:
            out.append(None)
            continue
        has_helm = one.turn.planned.position is not None
        out.append(
            _object(
                one,
                seen.marks[one.mark],
                (float(in_m[row]), float(out_m[row]), float(helm_m[row]) if has_helm else None),
                (float(centre_m[row]), float(bearing_deg[row])),
                (float(least_m[row]), float(most_m[row])),
            )
        )
    return out


def _object(
    one: _Asked,
    mark: Mark,
    off: tuple[float, float, float | None],
    centre: tuple[float, float],
    ranges: tuple[float, float],
) -> BendObject:
    """Return what one object is to a bend."""
    in_m, out_m, helm_m = off
    arc = one.arc
    inside = 1.0 if arc.sweep_deg >= 0.0 else -1.0
    helm_set_nm = None if helm_m is None else nearest_nm(abs(helm_m))
    notes = ("A floating mark: it swings and may be off its place.",) if mark.floating else ()
    return BendObject(
        mark_id=mark.id,
        in_range_m=in_m,
        out_range_m=out_m,
        centre_m=centre[0],
        centre_bearing_deg=centre[1],
        inside_in_m=inside * in_m - arc.radius_m,
        inside_out_m=inside * out_m - arc.radius_m,
        least_m=ranges[0],
        most_m=ranges[1],
        ring_nm=nearest_nm(arc.radius_m) if centre[0] <= _ring_m(arc) else None,
        helm_range_m=helm_m,
        helm_set_nm=helm_set_nm,
        helm_rounding_m=_rounding_m(one.turn, helm_m, helm_set_nm),
        notes=notes,
    )


def _across_m(
    lines: LegColumns, at_m: Floats, reach_m: Floats, places_deg: tuple[Floats, Floats]
) -> Floats:
    """Return how far marks lie from the lines of legs, run on both ways, starboard positive."""
    feet = feet_on_leg(lines, at_m - reach_m, at_m + reach_m, *places_deg)
    return np.copysign(feet.distance_m, feet.bearing_off_deg)


def _along_arcs(
    arcs: list[Arc], places_deg: tuple[Floats, Floats], bearing_deg: Floats, centre_m: Floats
) -> tuple[Floats, Floats]:
    """Return how near and how far the objects are along the arcs.

    One is nearest where the arc crosses its bearing from the centre and farthest opposite, or at an
    end of the arc.
    """
    from_deg, sweep_deg, radius_m, lat, lon = np.array(
        [
            (one.from_bearing_deg, one.sweep_deg, one.radius_m, one.centre.lat_deg,
             one.centre.lon_deg)
            for one in arcs
        ]
    ).T  # fmt: skip
    way = np.where(sweep_deg >= 0.0, 1.0, -1.0)
    width_deg = np.abs(sweep_deg)
    towards = np.stack([bearing_deg, bearing_deg + 180.0])
    turned = normal_course_deg(way * (towards - from_deg))
    turned = np.where((turned <= width_deg) & (centre_m > 0.0), turned, 0.0)
    turned = np.concatenate([turned, np.zeros_like(width_deg)[None], width_deg[None]])
    on_lat, on_lon, _ = geodesic.direct(lat, lon, from_deg + way * turned, radius_m)
    away_m = geodesic.inverse(on_lat, on_lon, *places_deg)[2]
    return np.min(away_m, axis=0), np.max(away_m, axis=0)


def _helm_line(one: _Asked) -> LegLine:
    """Return the wheel-over line; without a wheel-over any line, which is not looked at."""
    return LegLine(
        line="geodesic",
        start=one.turn.planned.position or one.out_of.start,
        course_deg=one.out_of.course_deg,
        arrival_course_deg=one.out_of.course_deg,
        length_m=1.0,
    )


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
