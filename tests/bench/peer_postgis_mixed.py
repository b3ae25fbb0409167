"""The mixed job by PostGIS: geography of all shapes under one GiST index, and three queries.

The track comes as in ``peer_postgis``, the corridors as the legs from waypoint to waypoint with
the half width of each, the swept hull as the polygon of each turn. All of them are loaded before
the clock runs: the peer neither lays the track nor simulates the turns.
"""

from dataclasses import dataclass
from typing import LiteralString

import numpy as np
import shapely
from psycopg import Connection

from tests.bench.hits import SEARCH_M
from tests.bench.peer_postgis import copy_in, copy_of_shapes, elements, leg_lines
from tests.bench.plain import PlainLegs
from wheelover.core.arrays import Floats, Ints
from wheelover.core.types.chart import Hazards
from wheelover.core.types.sweep import Ring, SweptStrip

_PAIRS = """
SELECT array_agg(about), array_agg(hazard), array_agg(distance_m) FROM (
    SELECT {table}.about, hazards.hazard,
        min(ST_Distance(hazards.geog, {table}.geog, true)) AS distance_m
    FROM {table} JOIN hazards ON ST_DWithin(hazards.geog, {table}.geog, {reach}, true)
    GROUP BY {table}.about, hazards.hazard
) AS nearest
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairs:
    """What lies near what, in columns of shape (m,), by the number of a leg or turn, and danger."""

    about: Ints
    hazard: Ints
    distance_m: Floats


def shapes_of(hazards: Hazards) -> np.ndarray:
    """Return every danger as a shapely geometry: a point, a line of one path, or an area."""
    points, paths = hazards.points, hazards.paths
    shapes = np.empty(hazards.count, dtype=object)
    shapes[points.hazard] = shapely.points(points.lon_deg, points.lat_deg)
    places = np.stack([paths.lon_deg, paths.lat_deg], axis=1)
    of_path = np.repeat(np.arange(paths.count), np.diff(paths.starts))
    line = paths.area < 0
    shapes[paths.hazard[line]] = shapely.linestrings(
        places[line[of_path]], indices=(np.cumsum(line) - 1)[of_path[line[of_path]]]
    )
    ring = ~line
    rings = shapely.linearrings(
        places[ring[of_path]], indices=(np.cumsum(ring) - 1)[of_path[ring[of_path]]]
    )
    owner = paths.hazard[ring]
    areas, area = np.unique(owner, return_inverse=True)
    shapes[areas] = shapely.polygons(rings, indices=area)
    return shapes


def load_hazards(connection: Connection, hazards: Hazards) -> None:
    """Load dangers of all shapes under a GiST index, neighbours behind one another."""
    connection.execute("SET client_min_messages = warning; DROP TABLE IF EXISTS hazards")
    connection.execute("CREATE TABLE hazards (hazard int4, geog geography NOT NULL)")
    content = copy_of_shapes(np.arange(hazards.count), shapes_of(hazards))
    copy_in(connection, "COPY hazards FROM STDIN", content)
    connection.execute("ALTER TABLE hazards SET (parallel_workers = 0)")
    connection.execute("CREATE INDEX hazards_geog ON hazards USING gist (geog)")
    connection.execute("CLUSTER hazards USING hazards_geog")
    connection.execute("VACUUM (ANALYZE, FREEZE) hazards")


def load_corridors(connection: Connection, legs: PlainLegs, half_m: Floats) -> None:
    """Load the legs from waypoint to waypoint, each as its lines with its half width."""
    count = legs.course_deg.size
    lines = [leg_lines(PlainLegs(**{
        name: getattr(legs, name)[leg : leg + 1]
        for name in ("from_lat_deg", "from_lon_deg", "to_lat_deg", "to_lon_deg", "course_deg")
    })) for leg in range(count)]  # fmt: skip
    about = np.repeat(np.arange(count), [len(one) for one in lines])
    _load(connection, "corridors", about, np.array([one for leg in lines for one in leg]))
    connection.execute("ALTER TABLE corridors ADD half_m float8")
    with connection.cursor() as cursor:
        cursor.executemany(
            "UPDATE corridors SET half_m = %s WHERE about = %s",
            [(float(wide_m), leg) for leg, wide_m in enumerate(half_m)],
        )
    connection.execute("VACUUM (FULL, ANALYZE) corridors")


def load_strips(connection: Connection, turns: Ints, strips: list[SweptStrip]) -> None:
    """Load the water that the hull sweeps in each turn, as polygons."""
    polygons = [
        shapely.Polygon(_places(strip.outer), [_places(hole) for hole in strip.holes])
        for strip in strips
    ]
    _load(connection, "strips", turns, np.array(polygons))
    connection.execute("VACUUM (FULL, ANALYZE) strips")


def _places(ring: Ring) -> np.ndarray:
    """Return the places of a ring, longitude first."""
    return np.stack([ring.lon_deg, ring.lat_deg], axis=1)


def _load(connection: Connection, table: LiteralString, about: Ints, shapes: np.ndarray) -> None:
    """Load shapes with the number of what each is of."""
    connection.execute(f"SET client_min_messages = warning; DROP TABLE IF EXISTS {table}")
    connection.execute(f"CREATE TABLE {table} (about int4, geog geography NOT NULL)")
    copy_in(connection, f"COPY {table} FROM STDIN", copy_of_shapes(about, shapes))


def corridors(connection: Connection) -> Pairs:
    """Return what lies within the half width of each leg."""
    return _pairs(connection, _PAIRS.format(table="corridors", reach="corridors.half_m"))


def strips(connection: Connection) -> Pairs:
    """Return what lies within the searched distance of the swept hull of each turn."""
    return _pairs(connection, _PAIRS.format(table="strips", reach=SEARCH_M))


def _pairs(connection: Connection, statement: str) -> Pairs:
    """Return the answer of a query in columns."""
    connection.execute("SET max_parallel_workers_per_gather = 0")
    with connection.cursor(binary=True) as cursor:
        answer = cursor.execute(statement).pgresult  # type: ignore[arg-type]
        assert answer is not None
        about, hazard, distance = (answer.get_value(0, column) or b"" for column in range(3))
    return Pairs(
        about=elements(about, np.dtype(">i4")).astype(np.int64),
        hazard=elements(hazard, np.dtype(">i4")).astype(np.int64),
        distance_m=elements(distance, np.dtype(">f8")).astype(np.float64),
    )


def sizes_bytes(connection: Connection) -> tuple[int, int]:
    """Return how many bytes the dangers take, table and index."""
    row = connection.execute(
        "SELECT pg_table_size('hazards'), pg_relation_size('hazards_geog')"
    ).fetchone()
    assert row is not None
    return int(row[0]), int(row[1])
