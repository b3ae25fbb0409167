"""No-go areas and margins of safety near the track, and holes in what charts cover.

A no-go area is what a charted danger may lie in: its shape with the uncertainty of its place about
it, depth areas shallower than the safety contour among them. The margin is what is asked of the
track beyond that.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
import shapely

from wheelover.core.arrays import Floats, Ints, numbered
from wheelover.core.charted.coverage import strip_areas
from wheelover.core.charted.globe import on_the_globe, turned_to
from wheelover.core.charted.widen import widened
from wheelover.core.types.cells import Geometries
from wheelover.core.types.charted import Charted, ChartedTrack, DrawnArea, NearTrack, Way
from wheelover.core.units import NM_M

NEAR_M = 2.0 * NM_M
"""Shapes are drawn so far to either side of the track, and no farther."""

_WINDOW_M = 8.0 * NM_M
_ROUGH_M = 2.0
_ROUGH_DEG = 2e-5
_ROUGH_SHARE = 0.03
_DEGREE_M = 111_700.0
_CHORDS = 4
_MOST_WINDOWS = 600


@dataclass(frozen=True, slots=True, kw_only=True)
class _Window:
    """What lies beside one stretch of the track: dangers cut to it, and both areas."""

    rows: Ints
    pieces: Geometries
    no_go: shapely.Geometry
    margin: shapely.Geometry


_KNOWN: WeakKeyDictionary[Charted, dict[tuple[bytes, bytes], _Window]] = WeakKeyDictionary()


def near_track(on_chart: ChartedTrack) -> NearTrack:
    """Return the no-go areas and margins beside a track, its dangers, and what is covered.

    Parameters
    ----------
    on_chart : ChartedTrack
        What the cells say of the track.

    Notes
    -----
    Shapes reach 2 NM to either side of the track. Edges of dangers are drawn to 2 m. No-go areas
    and margins are never too narrow, and too wide by 4 m and a tenth of their distances at most:
    they are drawn with fewer vertices than charts have, and widened for it
    (tests/core/charted/test_no_go.py).
    """
    charted, ways, margin_m = on_chart.charted, on_chart.ways, on_chart.margin_m
    windows = [_window(charted, one, margin_m) for one in _windows(ways)]
    no_go = shapely.union_all([one.no_go for one in windows])
    margin = shapely.difference(shapely.union_all([one.margin for one in windows]), no_go)
    rows = np.concatenate([*(one.rows for one in windows), np.empty(0, np.int64)])
    pieces = np.concatenate([*(one.pieces for one in windows), np.empty(0, np.object_)])
    return NearTrack(
        near_m=NEAR_M,
        no_go=on_the_globe(no_go),
        margin=on_the_globe(margin),
        dangers=_each(rows, pieces),
        areas=_beside(charted.areas.geometries, ways),
        covers=_beside(charted.coverages, ways),
        holes=_holes(charted, ways),
    )


def _windows(ways: Sequence[Way]) -> Geometries:
    """Return the water within reach of the track, in stretches of 8 NM at most."""
    if not ways:
        return np.empty(0, np.object_)
    wide = [
        Way(
            piece=way.piece,
            half_width_m=NEAR_M,
            length_m=way.length_m,
            leg=way.leg,
            arc=way.arc,
        )
        for way in ways
    ]
    return _strips(wide, np.array([way.length_m for way in ways]), _WINDOW_M)


def _strips(ways: Sequence[Way], length_m: Floats, step_m: float) -> Geometries:
    """Return the strips beside whole ways, cut into steps; arcs are cut every 15 degrees."""
    most = [
        step_m if way.arc is None else min(step_m, way.arc.radius_m * np.pi / 12.0) for way in ways
    ]
    count = np.maximum(1, np.ceil(length_m / np.array(most))).astype(np.int64)
    row, place = numbered(count)
    each_m = (length_m / count)[row]
    return strip_areas(ways, row, place * each_m, (place + 1) * each_m)


def _window(charted: Charted, area: shapely.Geometry, margin_m: Floats) -> _Window:
    """Return what lies beside one stretch of the track, as it was found before if it was."""
    known = _KNOWN.setdefault(charted, {})
    key = (shapely.to_wkb(area), margin_m.tobytes())
    found = known.pop(key, None)
    if found is None:
        found = _looked_at(charted, area, margin_m)
    known[key] = found
    if len(known) > _MOST_WINDOWS:
        known.pop(next(iter(known)))
    return found


def _looked_at(charted: Charted, area: shapely.Geometry, margin_m: Floats) -> _Window:
    """Return what lies beside one stretch of the track."""
    dangers = charted.dangers
    unsure_m = dangers.hazards.position_uncertainty_m
    around = widened(np.array([area, None], np.object_)[:1], np.full(1, _most(unsure_m, margin_m)))[
        0
    ]
    rows, shapes = _cut_to(dangers.geometries, around)
    groups = np.stack([unsure_m[rows], margin_m[rows]], axis=-1)
    no_go: list[shapely.Geometry] = []
    margin: list[shapely.Geometry] = []
    for group in np.unique(groups, axis=0):
        here = np.all(groups == group, axis=1)
        whole = shapely.union_all(shapes[here])
        rough_m = max(_ROUGH_M, _ROUGH_SHARE * group[0])
        plain = np.array([shapely.simplify(whole, rough_m / _DEGREE_M), None], np.object_)[:1]
        inner = widened(plain, np.full(1, group[0] + rough_m + _ROUGH_M), _CHORDS)
        no_go.append(inner[0])
        asked = group[1] > 0.0
        margin.append((widened(inner, np.full(1, group[1]), _CHORDS) if asked else inner)[0])
    beside = shapely.intersects(area, shapes)
    pieces = shapely.intersection(shapes[beside], area)
    return _Window(
        rows=rows[beside],
        pieces=np.asarray(shapely.simplify(pieces, _ROUGH_DEG), np.object_),
        no_go=_within(no_go, area),
        margin=_within(margin, area),
    )


def _most(unsure_m: Floats, margin_m: Floats) -> float:
    """Return how far a danger may reach into a stretch from beside it."""
    return float(np.max(unsure_m + margin_m, initial=0.0)) + _ROUGH_M


def _cut_to(geometries: Geometries, area: shapely.Geometry) -> tuple[Ints, Geometries]:
    """Return which geometries meet an area and what of them lies in it."""
    shapely.prepare(area)
    found_rows, found = [np.empty(0, np.int64)], [np.empty(0, np.object_)]
    for by_deg, there in turned_to(area):
        rows = np.sort(shapely.STRtree(geometries).query(there, predicate="intersects"))
        shapes = geometries[rows]
        crossing = ~np.asarray(shapely.covers(there, shapes), np.bool_)
        cut = shapes.copy()
        cut[crossing] = shapely.intersection(shapes[crossing], there)
        found_rows.append(rows.astype(np.int64))
        found.append(_turned(cut, -by_deg))
    return np.concatenate(found_rows), np.concatenate(found)


def _turned(geometries: Geometries, by_deg: float) -> Geometries:
    """Return geometries moved in longitude."""
    if by_deg == 0.0 or geometries.size == 0:
        return geometries
    return np.asarray(
        shapely.transform(geometries, lambda places: np.add(places, (by_deg, 0.0))), np.object_
    )


def _within(areas: list[shapely.Geometry], window: shapely.Geometry) -> shapely.Geometry:
    """Return the union of areas inside a window, with fewer vertices; it was widened for that."""
    whole = shapely.union_all(areas)
    return shapely.intersection(shapely.simplify(whole, _ROUGH_DEG / 2.0), window)


def _each(rows: Ints, pieces: Geometries) -> tuple[DrawnArea, ...]:
    """Return each thing near the track as one shape, in the order of their numbers."""
    order = np.argsort(rows, kind="stable")
    starts = np.flatnonzero(np.append(True, np.diff(rows[order]) != 0)[: order.size])
    groups = np.split(order, starts[1:]) if order.size else []
    return tuple(
        DrawnArea(
            number=int(rows[group[0]]),
            shape=on_the_globe(
                pieces[group[0]] if group.size == 1 else shapely.union_all(pieces[group])
            ),
        )
        for group in groups
    )


def _beside(geometries: Geometries, ways: Sequence[Way]) -> tuple[DrawnArea, ...]:
    """Return lines and areas cut to the water within reach of the track."""
    rows = np.flatnonzero(shapely.get_dimensions(geometries) > 0)
    if not ways or rows.size == 0:
        return ()
    found, pieces = _cut_to(geometries[rows], shapely.union_all(_windows(ways)))
    return tuple(
        DrawnArea(number=int(rows[one.number]), shape=shapely.simplify(one.shape, _ROUGH_DEG))
        for one in _each(found, pieces)
    )


def _holes(charted: Charted, ways: Sequence[Way]) -> shapely.Geometry:
    """Return the water beside the track that was to be looked at and that no cell covers."""
    if not ways:
        return shapely.MultiPolygon()
    strips = _strips(ways, np.array([way.length_m for way in ways]), _WINDOW_M)
    whole = shapely.union_all(strips)
    coverage = charted.coverage[0]
    if coverage is not None:
        for by_deg, _ in turned_to(whole):
            there = _turned(np.array([coverage, None], np.object_)[:1], -by_deg)[0]
            whole = shapely.difference(whole, there)
    return on_the_globe(whole)
