"""Points near the track, found in the grid, against an exact look at every point from every piece.

The exact look is the secant on PROJ's geodesics (core/legs.py, core/clearance/of_arcs.py), which is
itself held against GeographicLib in tests/core/test_clearance.py and test_reference_libraries.py.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from tests.zoo import clear
from wheelover.core.arrays import Floats, Pool
from wheelover.core.clearance.index import PointIndex, surroundings_of
from wheelover.core.clearance.of_arcs import arcs_in_columns, feet_on_arcs
from wheelover.core.clearance.of_points import passing_points, track_lines
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.geo import geodesic, near_points
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.near_loops import LONGEST_M
from wheelover.core.geo.point_grid import Scratch, point_grid
from wheelover.core.legs import feet_on_leg
from wheelover.core.track import lay_track
from wheelover.core.types.chart import Hazards, Points
from wheelover.core.types.route import LegWishes, LineKind
from wheelover.core.units import NM_M

# Name, first waypoint, course and leg of a zigzag, kind of line, half the box of points in degrees.
PLACES = (
    ("mid latitude", 47.0, -8.0, 60.0, 9.0, "rhumb", 0.25),
    ("across 180 eastward", -17.0, 179.9, 80.0, 12.0, "rhumb", 0.3),
    ("across 180 westward", 52.0, -179.95, 265.0, 12.0, "geodesic", 0.3),
    ("due east", 60.0, 10.0, 90.0, 15.0, "rhumb", 0.2),
    ("equator", 0.02, 30.0, 170.0, 8.0, "geodesic", 0.2),
    ("high north", 84.5, 20.0, 40.0, 10.0, "rhumb", 0.2),
    ("far south", -88.6, 100.0, 300.0, 6.0, "geodesic", 0.4),
    ("beside the pole", 89.7, -60.0, 20.0, 2.0, "rhumb", 0.3),
)


def point_index(points: Points, search_m: Floats) -> PointIndex:
    """Return points, each of a danger without limits, ready to be looked for."""
    count = int(points.hazard.max()) + 1
    hazards = Hazards(
        ids=tuple(map(str, range(count))),
        names=(None,) * count,
        kinds=(None,) * count,
        shapes=("Point",) * count,
        depth_m=np.full(count, np.nan),
        position_uncertainty_m=np.zeros(count),
        uncertainty_given=np.zeros(count, np.bool_),
        min_clearance_m=np.full(count, np.nan),
        points=points,
    )
    found = surroundings_of(hazards, search_m).points
    assert found is not None
    return found


def _pieces(
    lat: float, lon: float, course: float, leg_nm: float, line: str
) -> tuple[TrackPiece, ...]:
    """Return the track of a zigzag of six legs with turns of half a mile's radius."""
    kind: LineKind = "geodesic" if line == "geodesic" else "rhumb"
    places = [(lat, lon)]
    for number in range(6):
        ahead = course + (35.0 if number % 2 else -20.0)
        lat_deg, lon_deg, _ = geodesic.direct(*places[-1], ahead, leg_nm * NM_M)
        places.append((float(lat_deg[0]), float(lon_deg[0])))
    route = zoo.route(places, leg=LegWishes(line=kind))
    waypoints = tuple(replace(one, turn_radius_nm=0.3) for one in route.waypoints)
    return lay_track(replace(route, waypoints=waypoints), None).pieces


def _around(pieces: tuple[TrackPiece, ...], wide_deg: float, count: int) -> Points:
    """Return points spread about the legs' stretches, over the poles and 180 degrees as well."""
    stretches = track_lines(pieces).stretches
    chance = np.random.default_rng(count)
    start = chance.integers(0, stretches.piece.size, count)
    away_m = chance.uniform(0.0, wide_deg * 111e3, count)
    lat, lon, _ = geodesic.direct(
        stretches.lat_deg[start, 0],
        stretches.lon_deg[start, 0],
        chance.uniform(0.0, 360.0, count),
        away_m,
    )
    return Points(hazard=np.arange(count), lat_deg=lat, lon_deg=lon)


def _exact_m(pieces: tuple[TrackPiece, ...], points: Points, within_m: float) -> Floats:
    """Return the exact distance of every point from every piece, shape (pieces, points).

    Points surely farther than ``within_m`` are left at infinity.
    """
    places_m = earth_centred_m(points.lat_deg, points.lon_deg)
    stretches = track_lines(pieces).stretches
    exact = np.full((len(pieces), points.count), np.inf)
    for number, piece in enumerate(pieces):
        if piece.arc is not None:
            arcs = arcs_in_columns([piece.arc] * points.count)
            exact[number] = feet_on_arcs(arcs, points.lat_deg, points.lon_deg).distance_m
            continue
        assert piece.leg is not None
        own = stretches.of(np.array([number]))
        for low, high, middle_m in zip(own.low_m, own.high_m, own.curves.middles_m, strict=True):
            apart_m = np.linalg.norm(places_m - middle_m, axis=1)
            some = np.flatnonzero(apart_m <= within_m * 1.01 + (high - low))
            feet = feet_on_leg(piece.leg, low, high, points.lat_deg[some], points.lon_deg[some])
            exact[number, some] = np.minimum(exact[number, some], feet.distance_m)
    return exact


def _found_m(
    pieces: tuple[TrackPiece, ...], index: PointIndex, limits_m: Floats | None = None
) -> Floats:
    """Return the distances found, infinite where a point was not found near a piece."""
    passing, lost = passing_points(track_lines(pieces), index, limits_m)
    assert not lost
    assert np.unique(passing.piece * index.points.count + passing.hazard).size == passing.piece.size
    found = np.full((len(pieces), index.points.count), np.inf)
    found[passing.piece, passing.hazard] = passing.distance_m
    return found


@pytest.mark.parametrize("place", PLACES, ids=[one[0] for one in PLACES])
def test_every_point_near_the_track_is_found_at_its_exact_distance(
    place: tuple[str, float, float, float, float, str, float],
) -> None:
    pieces = _pieces(*place[1:6])
    points = _around(pieces, place[6], 3000)
    search_m = np.full(points.count, 2.0 * NM_M)
    exact = _exact_m(pieces, points, 2.0 * NM_M)
    found = _found_m(pieces, point_index(points, search_m))
    assert np.all(np.isfinite(found[exact <= 2.0 * NM_M]))
    near = np.isfinite(found)
    assert np.sum(near) > 500
    assert np.all(exact[near] <= 2.0 * NM_M + 0.01)
    assert np.max(np.abs(found[near] - exact[near])) < 1e-6


def test_far_points_get_an_exact_look() -> None:
    pieces = _pieces(*PLACES[0][1:6])
    points = _around(pieces, 1.0, 600)
    exact = _exact_m(pieces, points, 100_000.0)
    found = _found_m(pieces, point_index(points, np.full(points.count, 100_000.0)))
    near = exact <= 100_000.0
    assert np.sum(near & (exact > LONGEST_M)) > 500
    assert np.max(np.abs(found[near] - exact[near])) < 1e-6


def test_each_point_has_its_own_search_distance() -> None:
    pieces = _pieces(*PLACES[0][1:6])
    points = _around(pieces, 0.1, 500)
    search_m = np.where(np.arange(500) % 2 == 0, 500.0, 5000.0)
    exact = _exact_m(pieces, points, 5000.0)
    found = _found_m(pieces, point_index(points, search_m))
    assert np.array_equal(np.isfinite(found), exact <= search_m)


@given(lat=st.floats(-90.0, 90.0), lon=st.floats(-180.0, 180.0))
def test_a_grid_holds_every_point_where_it_is_looked_for(lat: float, lon: float) -> None:
    others = np.random.default_rng(7).uniform(-1.0, 1.0, (2, 200))
    lats = np.append(others[0] * 90.0, lat)
    grid = point_grid(lats, np.append(others[1] * 180.0, lon), np.arange(201))
    assert sorted(grid.order) == list(range(201))
    place = int(np.flatnonzero(grid.order == 200)[0])
    cell = int(np.searchsorted(grid.cell_starts, place, side="right")) - 1
    band, column = divmod(cell, 120)
    assert band + grid.first_band_index == min(int((lat + 90.0) * 60), 10799)
    assert column == min(int((lon + 180.0) * (1.0 / 3.0)), 119)
    for start in range(0, grid.cell_starts.size - 1, 120):
        span = grid.lon_deg[grid.cell_starts[start] : grid.cell_starts[start + 120]]
        # The key of the order tells longitudes apart to 1e-9 degrees.
        assert np.all(np.diff(span) > -1e-9)


def test_what_lies_on_the_track_has_no_distance_and_counts_once_for_each_piece() -> None:
    pieces = _pieces(*PLACES[0][1:6])
    stretches = track_lines(pieces).stretches
    here = [(float(lat), float(lon)) for lat, lon in zip(
        stretches.lat_deg[:, 1], stretches.lon_deg[:, 1], strict=True
    )]  # fmt: skip
    found = clear(pieces, zoo.points(here), None)
    assert len(found.rows) == len(here)
    assert all(row.distance_m == 0.0 and row.side == "crossed" for row in found.rows)


@pytest.mark.parametrize("class_count", [1, 4], ids=["one class", "classes"])
@pytest.mark.parametrize("own", [False, True], ids=["alike", "each its own"])
@pytest.mark.parametrize("place", PLACES, ids=[one[0] for one in PLACES])
def test_of_the_rows_none_is_left_out_that_matters(
    place: tuple[str, float, float, float, float, str, float], own: bool, class_count: int
) -> None:
    """Against all rows: the nearest of each point, those inside limits, the least left over."""
    pieces = _pieces(*place[1:6])
    points = _around(pieces, place[6], 3000)
    chance = np.random.default_rng(5)
    limits_m = chance.choice([0.0, 40.0, 300.0], (len(pieces), class_count))
    columns = chance.integers(0, class_count, 3000)
    own_m = np.where(chance.random(3000) < 0.3, 900.0, np.nan) if own else np.full(3000, np.nan)
    doubt_m = chance.choice([0.0, 60.0], 3000) if own else np.zeros(3000)
    plain = zoo.points(list(zip(points.lat_deg.tolist(), points.lon_deg.tolist(), strict=True)))
    hazards = replace(plain, min_clearance_m=own_m, position_uncertainty_m=doubt_m)
    index = surroundings_of(hazards, np.full(3000, 2.0 * NM_M), columns=columns).points
    assert index is not None
    every = _found_m(pieces, index)
    some = _found_m(pieces, index, limits_m)
    assert np.all(some >= every)
    assert np.sum(np.isfinite(some)) < 0.8 * np.sum(np.isfinite(every))
    need_m = doubt_m + np.where(np.isnan(own_m), limits_m[:, columns], own_m)
    nearest = np.isfinite(every) & (every <= np.min(every, axis=0) + 1e-6)
    least = np.isfinite(every) & (every - need_m == np.min(every - need_m, axis=1)[:, None])
    for matters in (nearest, every <= need_m, least):
        assert np.sum(matters) >= len(pieces) // 2
        assert np.array_equal(some[matters], every[matters])


def test_questions_at_one_time_do_not_disturb_one_another() -> None:
    """Each has memory of its own, and what earlier ones left in it counts for nothing."""
    pieces = _pieces(*PLACES[0][1:6])
    shorter, limits_m = pieces[: len(pieces) // 2], np.zeros((len(pieces), 1))
    index = point_index(_around(pieces, 0.1, 20_000), np.full(20_000, 2.0 * NM_M))
    tracks = [pieces, shorter] * 20
    alone = [_found_m(one, index, limits_m[: len(one)]) for one in tracks]
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda one: _found_m(one, index, limits_m[: len(one)]), tracks))
    for one, other in zip(alone, together, strict=True):
        assert np.array_equal(np.min(one, axis=0), np.min(other, axis=0))


def test_what_is_left_in_a_scratch_lies_above_all_that_follows() -> None:
    scratches = Pool(lambda: Scratch(3))
    for _ in range(5):
        with scratches.lent() as scratch, scratches.lent() as other:
            assert scratch is not other
            scratch.begin()
            assert np.all(scratch.best_m - scratch.zero_m > 2.0 * LONGEST_M)
            scratch.best_m[:] = scratch.zero_m
    scratch.zero_m = -(2.0**20) * 32_768.0
    scratch.begin()
    assert scratch.zero_m == -32_768.0
    assert np.all(scratch.best_m == 0.0)


def test_many_points_outgrow_the_first_room(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(near_points, "_FIRST_ROOM", 500)
    pieces = _pieces(*PLACES[0][1:6])
    points = _around(pieces, 0.03, 20_000)
    found = _found_m(pieces, point_index(points, np.full(points.count, 4.0 * NM_M)))
    assert np.all(np.any(np.isfinite(found), axis=0))
