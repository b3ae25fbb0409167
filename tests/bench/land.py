"""The check against the full-resolution coastline, of an ocean and of two coastal routes.

Run by hand: ``python -m tests.bench.land``. Beside it the same shores as lines in
shapely's STRtree, and pyproj's Geod between the points it finds nearest in degrees. Times are those
of the processor: on a machine that others use too the clock says little.
"""

import resource
import statistics
import time
from collections.abc import Callable

import numpy as np
import shapely

from tests.bench.scene import OCEAN, route_of
from wheelover.charts.coastline import land_near
from wheelover.charts.land import read_coast
from wheelover.core.coast.chunks import edges_of
from wheelover.core.coast.of_track import land_of
from wheelover.core.geo import geodesic
from wheelover.core.legs import points_along
from wheelover.core.track import Track, lay_track
from wheelover.core.types.coast import Coast
from wheelover.core.types.route import LegWishes, Route, Waypoint
from wheelover.core.types.track import LegLine

WAYPOINT_COUNT = 200
XTD_NM = 0.2
TIMES = 9


def ocean_route() -> Route:
    """Return 200 waypoints across the Pacific, westward about 34 N from off California."""
    route = route_of(
        type(OCEAN)(
            name="ocean",
            seed=OCEAN.seed,
            start_lat_deg=34.0,
            start_lon_deg=-122.0,
            length_m=OCEAN.length_m,
            general_course_deg=270.0,
            general_turn_deg=0.0,
            beyond_deg=0.0,
        )
    )
    return _with_corridor(route.name, route.waypoints)


def coastal_route(name: str, box: tuple[float, float, float, float], off_nm: float) -> Route:
    """Return 200 waypoints along the coast of a box, about so far off what land is shown there.

    The water off the coast is what a buffer in the plane leaves; its longest shore is simplified
    until 200 corners are left, so that the track is about as near to land as a ship goes.
    """
    west, south, east, north = box
    squeeze = float(np.cos(np.radians((south + north) / 2.0)))
    rings = land_near("f", box)
    plane = shapely.transform(np.array(rings), lambda one: one * [squeeze, 1.0])
    off = shapely.union_all(shapely.buffer(shapely.make_valid(plane), off_nm / 60.0))
    frame = shapely.box(west * squeeze, south, east * squeeze, north)
    shore = shapely.line_merge(shapely.intersection(off.boundary, shapely.buffer(frame, -0.1)))
    longest = max(shapely.get_parts(shore), key=lambda one: one.length)
    low, high = 1e-6, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        corners = shapely.get_num_coordinates(longest.simplify(middle))
        low, high = (low, middle) if corners < WAYPOINT_COUNT else (middle, high)
    places = shapely.get_coordinates(longest.simplify(low))[:WAYPOINT_COUNT] / [squeeze, 1.0]
    waypoints = tuple(
        Waypoint(id=f"W{row:03d}", lat_deg=float(lat), lon_deg=float(lon), turn_radius_nm=0.1)
        for row, (lon, lat) in enumerate(places)
    )
    return _with_corridor(name, waypoints)


def _with_corridor(name: str, waypoints: tuple[Waypoint, ...]) -> Route:
    """Return a route whose legs have cross-track limits."""
    wishes = LegWishes(xtd_port_nm=XTD_NM, xtd_starboard_nm=XTD_NM)
    return Route(
        name=name,
        waypoints=tuple(
            Waypoint(
                id=one.id,
                lat_deg=one.lat_deg,
                lon_deg=one.lon_deg,
                turn_radius_nm=one.turn_radius_nm,
                leg=None if row == 0 else wishes,
            )
            for row, one in enumerate(waypoints)
        ),
    )


def routes() -> tuple[Route, ...]:
    """Return the routes that are looked at."""
    return (
        ocean_route(),
        coastal_route("Portugal and Galicia", (-10.5, 36.5, -7.5, 44.5), 2.0),
        coastal_route("West Norway", (3.5, 58.5, 7.5, 63.5), 0.5),
    )


def median_ms(work: Callable[[], object]) -> float:
    """Return the median time of some runs, after one that warms up."""
    work()
    taken = []
    for _ in range(TIMES):
        start = time.process_time()
        work()
        taken.append((time.process_time() - start) * 1e3)
    return statistics.median(taken)


def in_lines(coast: Coast) -> shapely.STRtree:
    """Return the shores as lines of the same chunks in a tree.

    Whole polygons of the largest rings take shapely half a minute for each route; in lines it has
    no land of its own, so it is not asked whether a leg lies on land.
    """
    which, edge = edges_of(coast.first, coast.edge_count, np.arange(coast.first.size))
    last = np.flatnonzero(np.append(which[1:] != which[:-1], True))
    owner = np.insert(which, last + 1, which[last])
    vertex = np.insert(edge, last + 1, edge[last] + 1)
    points = np.array(coast.points_deg[vertex], np.float64)
    return shapely.STRtree(shapely.linestrings(points, indices=owner))


def by_lines(tree: shapely.STRtree, track: Track) -> int:
    """Return how many legs have a shore near, asked of lines in the plane.

    This is less than what is measured beside it: arcs, corridors and what is land are left out,
    edges are nearest in degrees, and only the distance from there is a geodesic.
    """
    ends = np.array([_ends_deg(leg.path, leg.length_m) for leg in track.legs if leg.path])
    lines = shapely.linestrings(ends)
    reach_deg = 2.0 / 60.0 / np.cos(np.radians(np.max(np.abs(ends[:, :, 1]))))
    leg, shore = tree.query(lines, predicate="dwithin", distance=reach_deg)
    met = shapely.shortest_line(lines[leg], tree.geometries[shore])
    places = shapely.get_coordinates(met).reshape(-1, 2, 2)
    if leg.size:
        geodesic.inverse(places[:, 0, 1], places[:, 0, 0], places[:, 1, 1], places[:, 1, 0])
    return int(np.unique(leg).size)


def _ends_deg(path: LegLine, length_m: float) -> list[tuple[float, float]]:
    """Return both ends of a leg, longitude and latitude."""
    lat, lon, _ = points_along(path, [0.0, length_m])
    return [(float(b), float(a)) for a, b in zip(lat, lon, strict=True)]


def main() -> None:
    """Print first use, memory, and the medians of each route."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    start = time.process_time()
    coast = read_coast()
    took = time.process_time() - start
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    own = sum(
        getattr(coast, name).nbytes
        for name in ("first", "edge_count", "box_deg", "cell_starts", "cell_chunks")
    )
    print(
        f"first use {took:.2f} s; index {own / 1e6:.0f} MB, process {before:.0f} to {after:.0f} MB"
    )
    tracks = [lay_track(one, None) for one in routes()]
    ours = []
    for track, route in zip(tracks, routes(), strict=True):
        ours.append(median_ms(lambda track=track: land_of(track.pieces, track.legs, coast)))
        land = land_of(track.pieces, track.legs, coast)
        near = sum(one.nearest is not None for one in land.rows)
        dry = sum(bool(one.on_land) for one in land.rows)
        print(
            f"{route.name}: {ours[-1]:.1f} ms, {len(route.waypoints)} waypoints, "
            f"{len(land.rows)} pieces, {near} with a coast within 2 NM, {dry} on land, "
            f"{sum(len(one.corridor) for one in land.rows)} sides of corridors"
        )
    start = time.process_time()
    tree = in_lines(coast)
    took = time.process_time() - start
    top = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"shapely, lines: first use {took:.2f} s, process to {top:.0f} MB")
    for track, route, own_ms in zip(tracks, routes(), ours, strict=True):
        peer = median_ms(lambda track=track: by_lines(tree, track))
        print(f"{route.name}: shapely {peer:.1f} ms, ratio {peer / own_ms:.1f}")


if __name__ == "__main__":
    main()
