"""What of the track lies in water that loaded cells cover."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Floats, Ints, numbered
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.legs import in_columns, points_along
from wheelover.core.turns.arc import points_on_arcs
from wheelover.core.types.cells import Geometries
from wheelover.core.types.charted import Charted, PieceCovered, Stretch, Way
from wheelover.core.units import NM_M

_FIRST_STEP_M = 2.0 * NM_M
STEP_M = 0.05 * NM_M
"""Stretches that are not covered are told to this, outward."""

_BOW_M = 5.0
"""Between its cross-sections a leg bows less than this out of the straight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Strips:
    """Stretches of ways in columns: which way each is of, and where it begins and ends."""

    way: Ints
    from_m: Floats
    to_m: Floats

    def rows(self, which: Ints) -> "_Strips":
        """Return the stretches of the given numbers."""
        return _Strips(way=self.way[which], from_m=self.from_m[which], to_m=self.to_m[which])


def covered(charted: Charted, ways: Sequence[Way]) -> tuple[PieceCovered, ...]:
    """Return of each piece of the track what loaded cells cover, to the width that is asked.

    Parameters
    ----------
    charted : Charted
        What the cells cover.
    ways : sequence of Way
        The pieces.

    Notes
    -----
    Strips across the track are held against the coverage in longitude and latitude, in which its
    edges are straight [RFC7946]_; where one is covered in part it is halved, down to 0.05 NM. A
    stretch that is told not to be covered may be that much longer than it is, never shorter.
    """
    if not ways:
        return ()
    bare, first = _bare(charted, ways)
    cells = _cells_of(charted, ways, first)
    return tuple(
        PieceCovered(
            piece=way.piece,
            length_m=way.length_m,
            half_width_m=way.half_width_m,
            uncovered=_stretches(bare.rows(np.flatnonzero(bare.way == number)), way.length_m),
            cells=cells[number],
        )
        for number, way in enumerate(ways)
    )


def _bare(charted: Charted, ways: Sequence[Way]) -> tuple[_Strips, _Strips]:
    """Return the strips that are not covered whole, and all that were begun with."""
    low = np.array([way.low_m if way.arc is None else 0.0 for way in ways])
    high = np.array([way.high_m if way.arc is None else way.length_m for way in ways])
    first = strips = _cut(np.arange(len(ways)), low, high, _FIRST_STEP_M)
    coverage = charted.coverage[0]
    found = []
    while strips.way.size:
        inside, outside = _held(coverage, strip_areas(ways, strips.way, strips.from_m, strips.to_m))
        done = outside | (strips.to_m - strips.from_m <= STEP_M)
        found.append(strips.rows(np.flatnonzero(~inside & done)))
        rest = strips.rows(np.flatnonzero(~inside & ~done))
        strips = _cut(rest.way, rest.from_m, rest.to_m, (rest.to_m - rest.from_m) / 2.0)
    return (
        _Strips(
            way=np.concatenate([one.way for one in found]),
            from_m=np.concatenate([one.from_m for one in found]),
            to_m=np.concatenate([one.to_m for one in found]),
        ),
        first,
    )


def _cut(way: Ints, from_m: Floats, to_m: Floats, step_m: Floats | float) -> _Strips:
    """Return stretches cut into equal parts no longer than a step."""
    count = np.maximum(1, np.ceil((to_m - from_m) / step_m - 1e-9)).astype(np.int64)
    row, place = numbered(count)
    each_m = ((to_m - from_m) / count)[row]
    start_m = from_m[row] + place * each_m
    return _Strips(way=way[row].astype(np.int64), from_m=start_m, to_m=start_m + each_m)


def _held(coverage: shapely.Geometry | None, areas: Geometries) -> tuple[Bools, Bools]:
    """Return which areas are covered whole, and which not at all."""
    if coverage is None:
        return np.zeros(areas.size, np.bool_), np.ones(areas.size, np.bool_)
    wide = round_the_world(coverage, areas)
    return np.asarray(shapely.covers(wide, areas)), ~np.asarray(shapely.intersects(wide, areas))


def round_the_world(coverage: shapely.Geometry, areas: Geometries) -> shapely.Geometry:
    """Return a coverage prepared, and also beyond 180 degrees where areas reach there.

    Parameters
    ----------
    coverage : geometry
        Between -180 and 180 degrees.
    areas : ndarray of geometries
        What will be held against it, whose longitudes may go beyond.
    """
    bounds = shapely.total_bounds(areas)
    if bounds[0] < -180.0 or bounds[2] > 180.0:
        turned = [
            shapely.transform(coverage, lambda places, by=by: np.add(places, (by, 0.0)))
            for by in (-360.0, 0.0, 360.0)
        ]
        coverage = shapely.union_all(turned)
    shapely.prepare(coverage)
    return coverage


def strip_areas(ways: Sequence[Way], way: Ints, from_m: Floats, to_m: Floats) -> Geometries:
    """Return the water beside stretches of ways, as areas in longitude and latitude.

    Parameters
    ----------
    ways : sequence of Way
        The pieces of the track.
    way : ndarray, shape (n,)
        Which piece each stretch is of.
    from_m, to_m : ndarray, shape (n,)
        Where on it each begins and ends.

    Returns
    -------
    ndarray of geometries, shape (n,)
        Longitudes go on beyond 180 degrees where a stretch crosses them.
    """
    corners = [
        *_across(ways, way, from_m),
        *_across(ways, way, to_m)[::-1],
    ]
    places = np.stack([np.stack(one, axis=-1) for one in corners], axis=1)
    # All corners on the side of the first: none is half the world away.
    places[:, 1:, 0] = places[:, :1, 0] + signed_change_deg(places[:, :1, 0], places[:, 1:, 0])
    quads = shapely.polygons(places)
    return np.asarray(shapely.convex_hull(quads), np.object_)


def _across(ways: Sequence[Way], way: Ints, along_m: Floats) -> list[tuple[Floats, Floats]]:
    """Return longitude and latitude of both ends of cross-sections of ways, port first."""
    lat, lon, course = np.empty((3, way.size))
    half_m = np.array([one.half_width_m for one in ways])[way] + _BOW_M
    inward_m = np.full(way.size, np.inf)
    port_side = np.zeros(way.size, np.bool_)
    is_arc = np.array([one.arc is not None for one in ways])[way]
    legs = [one.leg for one in ways if one.leg is not None]
    number = np.cumsum([one.arc is None for one in ways]) - 1
    rows = np.flatnonzero(~is_arc)
    if rows.size:
        columns = in_columns(legs).rows(number[way[rows]])
        lat[rows], lon[rows], course[rows] = points_along(columns, along_m[rows])
    rows = np.flatnonzero(is_arc)
    if rows.size:
        arcs = [one.arc for one in ways if one.arc is not None]
        of = (np.arange(len(ways)) - number - 1)[way[rows]]
        radius_m = np.array([one.radius_m for one in arcs])[of]
        sweep = np.array([one.sweep_deg for one in arcs])[of]
        turned_deg = np.degrees(along_m[rows] / radius_m)
        lat[rows], lon[rows] = points_on_arcs(arcs, of, turned_deg)
        centre = np.array([(one.centre.lat_deg, one.centre.lon_deg) for one in arcs])[of]
        to_centre, _, _ = geodesic.inverse(lat[rows], lon[rows], centre[:, 0], centre[:, 1])
        course[rows] = to_centre - np.sign(sweep) * 90.0
        inward_m[rows], port_side[rows] = radius_m, sweep < 0.0
    port_m = np.where(port_side, np.minimum(half_m, inward_m), half_m)
    starboard_m = np.where(port_side, half_m, np.minimum(half_m, inward_m))
    sides = [
        geodesic.direct(lat, lon, course - 90.0, port_m),
        geodesic.direct(lat, lon, course + 90.0, starboard_m),
    ]
    return [(lon_deg, lat_deg) for lat_deg, lon_deg, _ in sides]


def _stretches(strips: _Strips, length_m: float) -> tuple[Stretch, ...]:
    """Return strips that follow one another as stretches, cut to the length of the piece."""
    order = np.argsort(strips.from_m)
    found: list[tuple[float, float]] = []
    for from_m, to_m in zip(
        strips.from_m[order].tolist(), strips.to_m[order].tolist(), strict=True
    ):
        if found and from_m <= found[-1][1] + 1e-6:
            found[-1] = (found[-1][0], to_m)
        else:
            found.append((from_m, to_m))
    return tuple(
        Stretch(from_m=min(max(a, 0.0), length_m), to_m=min(max(b, 0.0), length_m))
        for a, b in found
    )


def _cells_of(
    charted: Charted, ways: Sequence[Way], strips: _Strips
) -> tuple[tuple[int, ...], ...]:
    """Return which cells count for any of the water beside each way, the largest scale first."""
    stating = np.flatnonzero([one is not None for one in charted.coverages])
    found: list[set[int]] = [set() for _ in ways]
    if stating.size:
        areas = strip_areas(ways, strips.way, strips.from_m, strips.to_m)
        tree = shapely.STRtree(areas)
        for cell in stating.tolist():
            wide = round_the_world(charted.coverages[cell], areas)
            for row in tree.query(wide, predicate="intersects").tolist():
                if not shapely.touches(wide, areas[row]):
                    found[int(strips.way[row])].add(cell)
    order = {cell: (charted.cells[cell].about.scale, cell) for cell in range(len(charted.cells))}
    return tuple(tuple(sorted(one, key=order.__getitem__)) for one in found)
