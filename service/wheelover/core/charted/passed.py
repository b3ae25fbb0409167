"""Charted areas that the legs pass through: where each is entered and left, and on what course."""

from collections.abc import Sequence

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.legs import points_along
from wheelover.core.types.charted import AreaPassed, Listed
from wheelover.core.types.track import LegLine, PlannedLeg
from wheelover.core.units import NM_M

_STEP_M = 0.5 * NM_M


def areas_passed(areas: Listed, legs: Sequence[PlannedLeg]) -> tuple[AreaPassed, ...]:
    """Return the stretches of legs inside charted areas, in sailing order.

    A line that a leg crosses is entered and left in one place. Legs are followed from waypoint to
    waypoint, by straight edges of half a mile in longitude and latitude, less than 0.1 m beside
    them below 60 degrees of latitude.

    Parameters
    ----------
    areas : Listed
        Charted areas and lines; points are passed over.
    legs : sequence of PlannedLeg
        The legs; one without a length passes nothing.
    """
    rows = np.flatnonzero(shapely.get_dimensions(areas.geometries) > 0)
    if rows.size == 0:
        return ()
    tree = shapely.STRtree(areas.geometries[rows])
    found = [
        one
        for leg in legs
        if leg.path is not None
        for one in _of_leg(areas, rows[:], tree, leg.index, leg.path)
    ]
    return tuple(sorted(found, key=lambda one: (one.leg_index, one.enters_m, one.area)))


def _of_leg(
    areas: Listed, rows: np.ndarray, tree: shapely.STRtree, index: int, path: LegLine
) -> list[AreaPassed]:
    """Return what one leg passes."""
    steps = max(1, int(np.ceil(path.length_m / _STEP_M)))
    along_m = np.linspace(0.0, path.length_m, steps + 1)
    lat, lon, _ = points_along(path, along_m)
    lon = np.degrees(np.unwrap(np.radians(lon)))
    found: list[tuple[int, float, float]] = []
    for turned in (-360.0, 0.0, 360.0):
        if np.max(lon) + turned < -180.0 or np.min(lon) + turned > 180.0:
            continue
        line = shapely.linestrings(np.stack([lon + turned, lat], axis=-1))
        gone_deg = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(lon), np.diff(lat)))])
        for near in tree.query(line, predicate="intersects").tolist():
            area = int(rows[near])
            for part in shapely.get_parts(shapely.intersection(areas.geometries[area], line)):
                from_m, to_m = _span_m(line, part, gone_deg, along_m)
                found.append((area, from_m, to_m))
    return [_passed(index, path, area, from_m, to_m) for area, from_m, to_m in _merged(found)]


def _span_m(
    line: shapely.Geometry, part: shapely.Geometry, gone_deg: Floats, along_m: Floats
) -> tuple[float, float]:
    """Return where on a leg a part of it begins and ends."""
    places = shapely.points(shapely.get_coordinates(part))
    at = np.interp(shapely.line_locate_point(line, places), gone_deg, along_m)
    return float(np.min(at)), float(np.max(at))


def _merged(found: list[tuple[int, float, float]]) -> list[tuple[int, float, float]]:
    """Return the stretches of each area, those that meet as one."""
    merged: list[tuple[int, float, float]] = []
    for area, from_m, to_m in sorted(found):
        if merged and merged[-1][0] == area and from_m <= merged[-1][2] + 1e-3:
            merged[-1] = (area, merged[-1][1], max(merged[-1][2], to_m))
        else:
            merged.append((area, from_m, to_m))
    return merged


def _passed(index: int, path: LegLine, area: int, from_m: float, to_m: float) -> AreaPassed:
    """Return one stretch with its places and courses."""
    lat, lon, course = (one.tolist() for one in points_along(path, [from_m, to_m]))
    return AreaPassed(
        leg_index=index,
        area=area,
        enters_m=from_m,
        leaves_m=to_m,
        enters_deg=(lat[0], lon[0]),
        leaves_deg=(lat[1], lon[1]),
        course_in_deg=course[0],
        course_out_deg=course[1],
    )
