"""Clearance by PostGIS: geography points under a GiST index, the track as geography lines.

Edges of a geography are great circles, so legs and arcs are cut to chords that leave them by no
more than ``CHORD_ERROR_M``. Measuring each pair once, by a box and a filter on the distance
instead of ST_DWithin, was tried and is not faster.
"""

import os
from typing import LiteralString

import numpy as np
import shapely
from psycopg import Connection
from pyproj import Geod, Proj

from tests.bench.hits import SEARCH_M, Hits
from tests.bench.plain import PlainLegs, PlainTrack
from wheelover.core.arrays import Floats, Ints

CHORD_ERROR_M = 0.1
"""Of 0.01, 0.1 the faster; finer chords cost the peer twice the time in the coastal scene."""
LINE_LEG_M = 2_000.0
"""A line of one row is about so long: the index sees its box, and its edges are gone through."""

_GEOD = Geod(ellps="WGS84")
_MERCATOR = Proj(proj="merc", ellps="WGS84")
_COPY_HEAD = b"PGCOPY\n\xff\r\n\0" + bytes(8)
_COPY_TAIL = b"\xff\xff"
_POINT_EWKB, _WGS84_SRID = 0x20000001, 4326

_QUERY = """
SELECT array_agg(hazard), array_agg(distance_m) FROM (
    SELECT hazards.hazard, min(ST_Distance(hazards.geog, pieces.geog, true)) AS distance_m
    FROM pieces JOIN hazards ON ST_DWithin(hazards.geog, pieces.geog, {search_m}, true)
    GROUP BY hazards.hazard
) AS nearest
"""


def load_hazards(connection: Connection, lat_deg: Floats, lon_deg: Floats) -> None:
    """Load dangers under a GiST index, neighbours behind one another; made once and kept.

    Parameters
    ----------
    connection : Connection
        A session with PostGIS.
    lat_deg, lon_deg : ndarray, shape (n,)
        Positions; their places in the columns are their numbers.
    """
    connection.execute("SET client_min_messages = warning; DROP TABLE IF EXISTS hazards")
    connection.execute("CREATE TABLE hazards (hazard int4, geog geography(Point, 4326) NOT NULL)")
    copy_in(
        connection,
        "COPY hazards FROM STDIN WITH (FORMAT binary)",
        _copy_of_points(lat_deg, lon_deg),
    )
    # Workers share the track among them, not the dangers: each danger is looked up by the index.
    connection.execute("ALTER TABLE hazards SET (parallel_workers = 0)")
    connection.execute("CREATE INDEX hazards_geog ON hazards USING gist (geog)")
    connection.execute("CLUSTER hazards USING hazards_geog")
    connection.execute("VACUUM (ANALYZE, FREEZE) hazards")


def copy_in(connection: Connection, statement: LiteralString, content: bytes) -> None:
    """Send content to a ``COPY ... FROM STDIN``."""
    with connection.cursor() as cursor, cursor.copy(statement) as copy:
        copy.write(content)


def _copy_of_points(lat_deg: Floats, lon_deg: Floats) -> bytes:
    """Return points as the server's binary copy format has them: a number and an EWKB each."""
    rows = np.zeros(
        lat_deg.size,
        dtype=[
            ("fields", ">i2"), ("hazard_bytes", ">i4"), ("hazard", ">i4"), ("geog_bytes", ">i4"),
            ("order", "u1"), ("kind", "<u4"), ("srid", "<u4"), ("lon", "<f8"), ("lat", "<f8"),
        ],
    )  # fmt: skip
    rows["fields"], rows["hazard_bytes"], rows["geog_bytes"] = 2, 4, 25
    rows["order"], rows["kind"], rows["srid"] = 1, _POINT_EWKB, _WGS84_SRID
    rows["hazard"], rows["lon"], rows["lat"] = np.arange(lat_deg.size), lon_deg, lat_deg
    return _COPY_HEAD + rows.tobytes() + _COPY_TAIL


def load_track(connection: Connection, track: PlainTrack) -> None:
    """Load the track as lines, before the clock runs."""
    lines = np.array([*leg_lines(track.legs), *_arc_lines(track)])
    connection.execute("SET client_min_messages = warning; DROP TABLE IF EXISTS pieces")
    connection.execute(
        "CREATE TABLE pieces (piece int4, geog geography(LineString, 4326) NOT NULL)"
    )
    copy_in(connection, "COPY pieces FROM STDIN", copy_of_shapes(np.arange(lines.size), lines))
    connection.execute(f"ALTER TABLE pieces SET (parallel_workers = {os.cpu_count() or 1})")
    connection.execute("VACUUM (ANALYZE, FREEZE) pieces")


def copy_of_shapes(number: Ints, shapes: np.ndarray) -> bytes:
    """Return shapes as the server's text copy format has them: a number and an EWKB each."""
    hexes = shapely.to_wkb(shapely.set_srid(shapes, _WGS84_SRID), hex=True, include_srid=True)
    rows = zip(number.tolist(), hexes.tolist(), strict=True)
    return "".join(f"{one}\t{shape}\n" for one, shape in rows).encode()


def leg_lines(legs: PlainLegs) -> list[shapely.LineString]:
    """Return the legs as lines of at most about ``LINE_LEG_M``; chords end on the rhumb line."""
    x0_m, y0_m = _MERCATOR(legs.from_lon_deg, legs.from_lat_deg)
    x1_m, y1_m = _MERCATOR(legs.to_lon_deg, legs.to_lat_deg)
    length_m = _GEOD.inv(legs.from_lon_deg, legs.from_lat_deg, legs.to_lon_deg, legs.to_lat_deg)[2]
    # A rhumb line curves by the tangent of its latitude over the radius of the earth, at most.
    tan = np.tan(np.radians(np.maximum(np.abs(legs.from_lat_deg), np.abs(legs.to_lat_deg))))
    chord_m = np.sqrt(8.0 * CHORD_ERROR_M * _GEOD.b / np.maximum(tan, 1e-3))
    lines = []
    for leg in range(length_m.size):
        parts = max(1, int(np.ceil(length_m[leg] / LINE_LEG_M)))
        chords = max(1, int(np.ceil(length_m[leg] / parts / chord_m[leg])))
        share = np.linspace(0.0, 1.0, parts * chords + 1)
        lon_deg, lat_deg = _MERCATOR(
            x0_m[leg] + share * (x1_m[leg] - x0_m[leg]),
            y0_m[leg] + share * (y1_m[leg] - y0_m[leg]),
            inverse=True,
        )
        places = np.stack([lon_deg, lat_deg], axis=1)
        lines += [
            shapely.LineString(places[at : at + chords + 1])
            for at in range(0, parts * chords, chords)
        ]
    return lines


def _arc_lines(track: PlainTrack) -> list[shapely.LineString]:
    """Return the arcs as lines."""
    arcs = track.arcs
    chord_rad = 2.0 * np.arccos(1.0 - CHORD_ERROR_M / arcs.radius_m)
    lines = []
    for arc in range(arcs.radius_m.size):
        chords = max(1, int(np.ceil(abs(np.radians(arcs.sweep_deg[arc])) / chord_rad[arc])))
        bearing_deg = arcs.from_bearing_deg[arc] + np.linspace(0.0, arcs.sweep_deg[arc], chords + 1)
        lon_deg, lat_deg, _ = _GEOD.fwd(
            np.full(chords + 1, arcs.lon_deg[arc]),
            np.full(chords + 1, arcs.lat_deg[arc]),
            bearing_deg,
            np.full(chords + 1, arcs.radius_m[arc]),
        )
        lines.append(shapely.LineString(np.stack([lon_deg, lat_deg], axis=1)))
    return lines


def query(connection: Connection, workers: int = 0) -> Hits:
    """Return the least distance of each danger within the searched distance of the loaded track.

    Parameters
    ----------
    connection : Connection
        A session in which dangers and track are loaded.
    workers : int
        How many processes help the session; on a machine with other work they may not gain time.

    Notes
    -----
    The answer comes as two binary arrays, which costs less than a row for each danger.
    """
    connection.execute(f"SET max_parallel_workers_per_gather = {workers}")
    with connection.cursor(binary=True) as cursor:
        answer = cursor.execute(_QUERY.format(search_m=SEARCH_M)).pgresult
        assert answer is not None
        hazards, distances = (answer.get_value(0, column) or b"" for column in (0, 1))
    hazard = elements(hazards, np.dtype(">i4")).astype(np.int64)
    distance_m = elements(distances, np.dtype(">f8")).astype(np.float64)
    order = np.argsort(hazard)
    return Hits(hazard=hazard[order], distance_m=distance_m[order])


def elements(array: bytes, kind: np.dtype) -> np.ndarray:
    """Return the elements of a one-dimensional array without nulls in the binary format."""
    if not array:
        return np.empty(0, kind)
    # Dimensions, nulls, type; then length and lower bound; then each element behind its size.
    return np.frombuffer(array, [("bytes", ">i4"), ("value", kind)], offset=20)["value"]
