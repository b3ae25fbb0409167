"""When she enters and leaves areas to know of: restricted and special ones, routeing measures.

Charted areas count, and the user's own of such kinds. Edges are straight in longitude and latitude,
as those of charts and of RFC 7946 are; the track's are half a mile long at most.
"""

from collections.abc import Iterator

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.geo.angles import normal_longitude_deg
from wheelover.core.margins import class_at
from wheelover.core.on_chart import AREA_CLASSES
from wheelover.core.times.line import TimedLine
from wheelover.core.types.chart import Hazards
from wheelover.core.types.charted import ChartedTrack
from wheelover.core.types.route import Position
from wheelover.core.types.schedule import AreaEdge, AreaTime

_SAME_VERTEX = 1e-6
"""Stretches that end and begin within this part of an edge of the track are one."""


def area_times(
    line: TimedLine, typed: Hazards, typed_count: int, on_chart: ChartedTrack | None
) -> tuple[AreaTime, ...]:
    """Return when she enters and leaves each area, in sailing order.

    Parameters
    ----------
    line : TimedLine
        The track with its times.
    typed : Hazards
        The dangers of the plan, of which the first so many are the user's own.
    typed_count : int
        How many those are.
    on_chart : ChartedTrack or None
        What the cells say.
    """
    if line.lat_deg.size == 0:
        return ()
    shapes, about = [], []
    for shape, row in (*_own(line, typed, typed_count), *_charted(on_chart)):
        shapes.append(shape)
        about.append(row)
    if not shapes:
        return ()
    tree = shapely.STRtree(shapes)
    found = [
        time
        for run in np.unique(line.run).tolist()
        for time in _of_run(line, np.flatnonzero(line.run == run), tree, shapes, about)
    ]
    return tuple(time for _, time in sorted(found, key=lambda one: one[0]))


_About = tuple[str, str | None, str | None, str]
"""Id, name, class, and whether it is charted or the user's own."""


def _charted(on_chart: ChartedTrack | None) -> Iterator[tuple[shapely.Geometry, _About]]:
    """Yield the charted areas."""
    if on_chart is None:
        return
    areas = on_chart.charted.areas
    for row in np.flatnonzero(shapely.get_dimensions(areas.geometries) == 2).tolist():
        hazards = areas.hazards
        name = hazards.names[row] or areas.object_classes[row]
        yield areas.geometries[row], (hazards.ids[row], name, class_at(hazards, row), "chart")


def _own(
    line: TimedLine, typed: Hazards, typed_count: int
) -> Iterator[tuple[shapely.Geometry, _About]]:
    """Yield the user's own areas of such kinds, those whose latitudes the track reaches."""
    paths = typed.paths
    if paths.count == 0:
        return
    low = np.minimum.reduceat(paths.lat_deg, paths.starts[:-1])
    high = np.maximum.reduceat(paths.lat_deg, paths.starts[:-1])
    near = (low <= line.lat_deg.max()) & (high >= line.lat_deg.min()) & (paths.area >= 0)
    for hazard in np.unique(paths.hazard[near & (paths.hazard < typed_count)]).tolist():
        kind = class_at(typed, hazard)
        if kind in AREA_CLASSES:
            yield _shape(typed, hazard), (typed.ids[hazard], typed.names[hazard], kind, "you")


def _shape(typed: Hazards, hazard: int) -> shapely.Geometry:
    """Return the areas of one danger as a shape."""
    paths = typed.paths
    rings: dict[int, list[Floats]] = {}
    for row in np.flatnonzero((paths.hazard == hazard) & (paths.area >= 0)).tolist():
        span = slice(int(paths.starts[row]), int(paths.starts[row + 1]))
        ring = np.stack([paths.lon_deg[span], paths.lat_deg[span]], axis=-1)
        rings.setdefault(int(paths.area[row]), []).append(ring)
    parts = [shapely.Polygon(first, holes) for first, *holes in rings.values()]
    return shapely.make_valid(shapely.union_all(parts))


def _of_run(
    line: TimedLine,
    rows: np.ndarray,
    tree: shapely.STRtree,
    shapes: list[shapely.Geometry],
    about: list[_About],
) -> Iterator[tuple[float, AreaTime]]:
    """Yield the areas that a part of the track leads through, with where they are entered."""
    lat = line.lat_deg[rows]
    lon = np.degrees(np.unwrap(np.radians(line.lon_deg[rows])))
    gone_deg = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(lon), np.diff(lat)))])
    numbers = np.arange(rows.size, dtype=np.float64)
    found: dict[int, list[tuple[float, float]]] = {}
    for turned_deg in (-360.0, 0.0, 360.0):
        if np.max(lon) + turned_deg < -180.0 or np.min(lon) + turned_deg > 180.0:
            continue
        path = shapely.linestrings(np.stack([lon + turned_deg, lat], axis=-1))
        for area in tree.query(path, predicate="intersects").tolist():
            inside = shapely.intersection(shapes[area], path)
            for part in shapely.get_parts(shapely.line_merge(inside)):
                if shapely.get_dimensions(part) != 1:
                    continue
                ends = shapely.points(shapely.get_coordinates(part))
                at = np.interp(shapely.line_locate_point(path, ends), gone_deg, numbers)
                found.setdefault(area, []).append((float(np.min(at)), float(np.max(at))))
    for area, spans in found.items():
        for from_row, to_row in _joined(spans):
            yield (
                float(rows[0]) + from_row,
                _time(line, rows, lon, (from_row, to_row), about[area]),
            )


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return stretches, those that meet as one."""
    joined: list[tuple[float, float]] = []
    for first, last in sorted(spans):
        if joined and first <= joined[-1][1] + _SAME_VERTEX:
            joined[-1] = (joined[-1][0], max(joined[-1][1], last))
        else:
            joined.append((first, last))
    return joined


def _time(
    line: TimedLine, rows: np.ndarray, lon_deg: Floats, span: tuple[float, float], about: _About
) -> AreaTime:
    """Return one stretch in an area; at an end of the track she is inside it."""
    last = float(rows.size - 1)
    return AreaTime(
        area_id=about[0],
        name=about[1],
        danger_class=about[2],
        source="chart" if about[3] == "chart" else "you",
        enters=None if span[0] <= _SAME_VERTEX else _edge(line, rows, lon_deg, span[0]),
        leaves=None if span[1] >= last - _SAME_VERTEX else _edge(line, rows, lon_deg, span[1]),
    )


def _edge(line: TimedLine, rows: np.ndarray, lon_deg: Floats, at_index: float) -> AreaEdge:
    """Return where and when she crosses the edge of an area."""
    low = min(int(at_index), rows.size - 2)
    part = at_index - low
    one, two = int(rows[low]), int(rows[low + 1])
    at_s = float(line.at_s[one] + (line.at_s[two] - line.at_s[one]) * part)
    lat = line.lat_deg[one] + (line.lat_deg[two] - line.lat_deg[one]) * part
    lon = lon_deg[low] + (lon_deg[low + 1] - lon_deg[low]) * part
    on = one if part < 1.0 else two
    along_m = float(line.along_m[on])
    if on == one and line.piece[one] == line.piece[two]:
        along_m += float(line.along_m[two] - line.along_m[one]) * part
    return AreaEdge(
        position=Position(lat_deg=float(lat), lon_deg=float(normal_longitude_deg(lon))),
        piece=line.pieces[int(line.piece[on])],
        at_s=None if np.isnan(at_s) else at_s,
        along_m=along_m,
    )
