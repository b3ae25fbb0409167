"""The full-resolution coastline: what is land, and what is near, beside brute force."""

import threading

import numpy as np
import pytest
import shapely

from tests.charts.test_coastline import LAND as OF_TILES
from tests.charts.test_coastline import WATER as WATER_OF_TILES
from wheelover.charts import land as charts_land
from wheelover.charts.coastline import data_folder
from wheelover.charts.land import LAND, NOT_INSTALLED, LandIndex, read_coast
from wheelover.core.clearance.corridors import inside_corridors
from wheelover.core.clearance.whole import clear
from wheelover.core.coast.chunks import ends_of, is_seam
from wheelover.core.coast.inside import on_land
from wheelover.core.coast.measured import coast_hazards
from wheelover.core.coast.of_track import land_of
from wheelover.core.errors import NotFound
from wheelover.core.track import Track, lay_track
from wheelover.core.types.circumstances import NO_LIMITS
from wheelover.core.types.coast import Coast
from wheelover.core.types.route import LegWishes, Route, Waypoint

# Geographic facts, from memory of any atlas; each is far from a shore but where it says so.
DRY = {
    **OF_TILES,
    "Taveuni, Fiji, on 180": (-16.85, 180.0),
    "Taveuni, Fiji, on -180": (-16.85, -180.0),
    "Vanua Levu, west of 180": (-16.7, 179.2),
    "Wrangel Island, on 180": (71.2, 180.0),
    "South Pole": (-90.0, 0.0),
    "Antarctica, inland": (-80.0, 100.0),
    "Isle Royale, in Lake Superior": (48.0, -88.85),
    "Samosir, an island in Lake Toba": (2.62, 98.80),
    "Isle of Wight": (50.68, -1.30),
    "Helgoland": (54.183, 7.885),
    "Pitcairn, which coarser data miss": (-25.066, -130.10),
}
WET = {
    **WATER_OF_TILES,
    "North Pole": (90.0, 0.0),
    "Ross Sea": (-75.0, -175.0),
    "Lake Victoria": (-1.0, 33.0),
    "Lake Toba": (2.80, 98.70),
    "Lake Michigan": (43.0, -87.0),
    "Solent": (50.76, -1.35),
    "Great Belt": (55.35, 11.05),
    "Bering Strait, on 180": (65.0, -172.0),
    "Koro Sea, on 180": (-18.0, 180.0),
}


@pytest.fixture(scope="module")
def coast() -> Coast:
    """Return the coastline of the process, as the service holds it."""
    found = LAND.wait()
    assert isinstance(found, Coast)
    return found


@pytest.mark.parametrize("name", DRY)
def test_land_is_land(coast: Coast, name: str) -> None:
    assert on_land(coast, *DRY[name]).tolist() == [True]


@pytest.mark.parametrize("name", WET)
def test_water_is_water(coast: Coast, name: str) -> None:
    assert on_land(coast, *WET[name]).tolist() == [False]


def test_a_share_of_land_as_the_globe_has_it(coast: Coast) -> None:
    """Land covers about 29 per cent of the globe, lakes and ice shelves aside."""
    rng = np.random.default_rng(0)
    lat_deg = np.degrees(np.arcsin(rng.uniform(-1.0, 1.0, 40_000)))
    assert np.mean(on_land(coast, lat_deg, rng.uniform(-180.0, 180.0, 40_000))) == pytest.approx(
        0.29, abs=0.01
    )


BOXES = {
    "skerries of Norway": (5.0, 60.0, 5.6, 60.4),
    "Great Lakes": (-84.5, 45.5, -83.0, 46.5),
    "Fiji west of 180": (179.0, -17.2, 180.0, -16.2),
    "Fiji east of 180": (-180.0, -17.2, -179.5, -16.2),
    "Chukotka at 180": (179.5, 68.5, 180.0, 69.2),
    "Antarctic Peninsula": (-62.5, -65.2, -61.0, -64.2),
    "Chile": (-74.5, -50.5, -73.5, -49.8),
    "Lake Toba": (98.4, 2.3, 99.1, 2.95),
}


def rings_about(box: tuple[float, float, float, float]) -> list[shapely.Polygon]:
    """Return the rings of the file that may hold a place of a box, read without our index."""
    folder = data_folder()
    points = np.memmap(folder / "gshhs_f.dat", dtype="<f4", mode="r").reshape(-1, 2)
    found = []
    for row in (folder / "gshhsmeta_f.dat").read_text().splitlines():
        said = row.split()
        if float(said[4]) < box[1] or float(said[3]) > box[3]:
            continue
        first = int(said[5]) // 8
        ring = points[first : first + int(said[2])]
        if ring[:, 0].min() <= box[2] and ring[:, 0].max() >= box[0]:
            found.append(shapely.Polygon(np.array(ring, np.float64)))
    return found


@pytest.mark.parametrize("name", BOXES)
def test_random_places_beside_polygons(coast: Coast, name: str) -> None:
    """A place inside an odd number of rings is land: shapely asks each ring as a polygon."""
    west, south, east, north = BOXES[name]
    rng = np.random.default_rng(len(name))
    lon_deg, lat_deg = rng.uniform(west, east, 400), rng.uniform(south, north, 400)
    inside = np.zeros(400, dtype=np.int64)
    for ring in rings_about(BOXES[name]):
        shapely.prepare(ring)
        inside += shapely.contains_xy(ring, lon_deg, lat_deg)
    assert on_land(coast, lat_deg, lon_deg).tolist() == (inside % 2 == 1).tolist()
    assert 0 < int(np.sum(inside % 2)) < 400


def route_in(box: tuple[float, float, float, float], seed: int) -> Track:
    """Return a track across a box, on water and on land as it comes, with cross-track limits."""
    rng = np.random.default_rng(seed)
    wishes = LegWishes(xtd_port_nm=0.4, xtd_starboard_nm=1.5)
    lon_deg, lat_deg = rng.uniform(box[0], box[2], 6), rng.uniform(box[1], box[3], 6)
    waypoints = tuple(
        Waypoint(
            id=f"W{number}", lat_deg=float(lat), lon_deg=float(lon), turn_radius_nm=0.3,
            leg=wishes if number else None,
        )
        for number, (lat, lon) in enumerate(zip(lat_deg, lon_deg, strict=True))
    )  # fmt: skip
    return lay_track(Route(name="random", waypoints=waypoints), None)


def edges_about(coast: Coast, box: tuple[float, float, float, float]) -> np.ndarray:  # type: ignore[type-arg]
    """Return every edge in a box and a degree around it."""
    edge = np.arange(len(coast.points_deg) - 1)
    near = (np.abs(coast.points_deg[:-1, 1] - (box[1] + box[3]) / 2.0) < box[3] - box[1] + 0.2) & (
        np.abs(coast.points_deg[:-1, 0] - (box[0] + box[2]) / 2.0) < box[2] - box[0] + 0.4
    )
    edge = np.setdiff1d(edge[near], np.setdiff1d(coast.first + coast.edge_count, coast.first))
    one, other = ends_of(coast, edge)
    return np.asarray(edge[~is_seam(one, other)])


@pytest.mark.parametrize("name", ["skerries of Norway", "Great Lakes", "Antarctic Peninsula"])
def test_the_nearest_coast_beside_every_edge(coast: Coast, name: str) -> None:
    """What the index leaves out is nowhere nearer, for legs, arcs and both sides of corridors."""
    track = route_in(BOXES[name], 7)
    hazards = coast_hazards(coast, edges_about(coast, BOXES[name]))
    near = {
        (one.piece.kind, one.piece.index): one.distance_m
        for one in clear(track.pieces, hazards, NO_LIMITS).least
    }
    sides = {
        (one.leg_index, one.side): one.clearance_m
        for one in inside_corridors(track.legs, hazards).intrusions
    }
    land = land_of(track.pieces, track.legs, coast)
    ours = {
        (one.piece.kind, one.piece.index): one.nearest.distance_m
        for one in land.rows
        if one.nearest is not None
    }
    assert ours == pytest.approx(near, abs=1e-6)
    beside = {
        (one.piece.index, side.side): side.distance_m for one in land.rows for side in one.corridor
    }
    assert beside == pytest.approx(sides, abs=1e-6)
    assert near
    assert sides


@pytest.mark.parametrize("name", ["skerries of Norway", "Great Lakes", "Fiji west of 180", "Chile"])
def test_stretches_on_land_beside_places_close_together(coast: Coast, name: str) -> None:
    """Places 5 m apart along each leg are land where the stretches say so, but at their ends."""
    from wheelover.core.legs import points_along  # noqa: PLC0415

    track = route_in(BOXES[name], 3)
    land = land_of(track.pieces, track.legs, coast)
    seen = 0
    for row in land.rows:
        if row.piece.kind != "leg":
            continue
        leg = track.legs[row.piece.index]
        assert leg.path is not None
        along_m = np.arange(leg.track_from_m + 2.5, leg.track_to_m, 5.0)
        lat_deg, lon_deg, _ = points_along(leg.path, along_m)
        said = np.zeros(along_m.size, dtype=np.bool_)
        doubt = np.zeros(along_m.size, dtype=np.bool_)
        for one in row.on_land:
            said |= (along_m > one.from_m) & (along_m < one.to_m)
            for end_m in (one.from_m, one.to_m):
                doubt |= np.abs(along_m - end_m) < 0.5
        is_land = on_land(coast, lat_deg, lon_deg)
        assert np.array_equal(said[~doubt], is_land[~doubt])
        seen += int(np.sum(is_land))
    assert seen > 0


def test_a_leg_across_the_date_line_meets_taveuni(coast: Coast) -> None:
    """Taveuni lies across the meridian of 180 degrees; no shore is met on the meridian itself."""
    waypoints = (
        Waypoint(id="A", lat_deg=-16.85, lon_deg=179.7),
        Waypoint(id="B", lat_deg=-16.85, lon_deg=-179.7),
    )
    track = lay_track(Route(name="Taveuni", waypoints=waypoints), None)
    (row,) = land_of(track.pieces, track.legs, coast).rows
    longest = max(row.on_land, key=lambda one: one.length_m)
    assert longest.start.lon_deg > 179.8
    assert longest.end.lon_deg < -179.8
    assert 5_000.0 < longest.length_m < 25_000.0


def test_it_is_built_once_and_says_how_far_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[int] = []
    started = 0
    begun, go_on = threading.Event(), threading.Event()

    def slow(progress: object) -> Coast:
        nonlocal started
        started += 1
        begun.set()
        assert go_on.wait(60)
        return read_coast(lambda percent: (told.append(percent), progress(percent))[0])  # type: ignore[operator]

    monkeypatch.setattr(charts_land, "read_coast", slow)
    index = LandIndex()
    assert index.state.state == "not_built"
    threads = [threading.Thread(target=index.wait) for _ in range(3)]
    for one in threads:
        one.start()
    assert begun.wait(60)
    assert index.state.state == "building"
    go_on.set()
    for one in threads:
        one.join(60)
    assert index.state.state == "ready"
    assert index.state.percent == 100
    assert told == sorted(told)
    assert started == 1


def test_without_the_packages_the_reason_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def nowhere() -> None:
        raise NotFound("not there")

    monkeypatch.setattr(charts_land, "data_folder", nowhere)
    index = LandIndex()
    assert index.wait() == NOT_INSTALLED
    assert index.state.state == "failed"
    assert index.state.reason == NOT_INSTALLED


def test_a_damaged_file_is_told_and_leaves_nobody_waiting(
    monkeypatch: pytest.MonkeyPatch, tmp_path: object
) -> None:
    from pathlib import Path  # noqa: PLC0415

    folder = Path(str(tmp_path))
    (folder / "gshhs_f.dat").write_bytes(np.zeros((20, 2), "<f4").tobytes())
    (folder / "gshhsmeta_f.dat").write_text("1 5.0 10 0.0 1.0 0 80 0-E\n1 5.0 9 0.0 1.0 88 72 1\n")
    monkeypatch.setattr(charts_land, "data_folder", lambda: folder)
    found = LandIndex().wait()
    assert isinstance(found, str)
    assert "could not be read" in found


def test_two_readings_are_the_same_to_the_last_bit(coast: Coast) -> None:
    again = read_coast()
    assert again.version == coast.version
    for name in ("first", "edge_count", "box_deg", "cell_starts", "cell_chunks", "line_lon_deg"):
        assert np.array_equal(getattr(again, name), getattr(coast, name))
