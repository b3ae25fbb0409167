"""The coastline in tiles: that land is land, water is water, and tiles meet."""

import math

import numpy as np
import pytest
import shapely

from wheelover.charts.coastline import EXTENT, RESOLUTIONS, _rings, coast_tile, resolution_at

# Places from memory of any atlas, each far from a shore at every resolution used here.
LAND = {
    "Madrid": (40.42, -3.70),
    "Moscow": (55.75, 37.62),
    "Denver": (39.74, -104.99),
    "Alice Springs": (-23.70, 133.87),
    "Chukotka, west of 180": (66.5, 179.0),
    "Chukotka, east of 180": (66.3, -177.0),
    "Manitoulin, an island in Lake Huron": (45.77, -82.2),
}
WATER = {
    "mid Atlantic": (47.0, -30.0),
    "Bay of Biscay": (45.0, -5.0),
    "Lake Superior": (47.5, -88.0),
    "Caspian Sea": (42.0, 50.5),
    "Pacific at 180": (0.0, 179.99),
    "Weddell Sea": (-66.0, -40.0),
}


def tile_of(lat_deg: float, lon_deg: float, zoom: int) -> tuple[int, int, float, float]:
    """Return column and row of the tile a place lies in, and where in it, in its units."""
    count = 2**zoom
    across = (lon_deg + 180.0) / 360.0 * count
    down = (1.0 - math.asinh(math.tan(math.radians(lat_deg))) / math.pi) / 2.0 * count
    column, row = int(across), int(down)
    return column, row, (across - column) * EXTENT, (down - row) * EXTENT


def is_land(lat_deg: float, lon_deg: float, zoom: int) -> bool:
    """Return whether even-odd filling of the tile colours a place."""
    column, row, x, y = tile_of(lat_deg, lon_deg, zoom)
    inside = 0
    for ring in coast_tile(zoom, column, row)["rings"]:
        places = np.cumsum(np.array(ring).reshape(-1, 2), axis=0)
        inside += bool(shapely.contains_xy(shapely.Polygon(places).buffer(0), x, y))
    return inside % 2 == 1


@pytest.mark.parametrize("zoom", [4, 7, 9, 12])
@pytest.mark.parametrize("place", LAND.values(), ids=LAND)
def test_land_is_land(place: tuple[float, float], zoom: int) -> None:
    assert is_land(*place, zoom)


@pytest.mark.parametrize("zoom", [4, 7, 9, 12])
@pytest.mark.parametrize("place", WATER.values(), ids=WATER)
def test_water_is_water(place: tuple[float, float], zoom: int) -> None:
    assert not is_land(*place, zoom)


def test_the_share_of_land_is_that_of_the_earth() -> None:
    """Land and ice are 29.2 percent of the earth (from memory of any handbook); ice shelves, which
    GSHHG's coast of Antarctica holds, and its crude lines make the difference.
    """
    rings = _rings("l")
    signed = {1: 1.0, 2: -1.0, 3: 1.0, 5: 1.0}
    total = 0.0
    for first, end, level in zip(rings.first, rings.end, _levels("l"), strict=True):
        lon, lat = np.radians(np.array(rings.points[first:end], np.float64)).T
        # Equal-area: the integral of sin(latitude) over longitude is the area on a unit sphere.
        area = abs(
            float(np.sum((lon - np.roll(lon, 1)) * (np.sin(lat) + np.sin(np.roll(lat, 1))) / 2))
        )
        total += signed[level] * area
    assert total / (4.0 * math.pi) == pytest.approx(0.292, abs=0.006)


def _levels(letter: str) -> list[int]:
    from wheelover.charts.coastline import data_folder  # noqa: PLC0415

    rows = (data_folder() / f"gshhsmeta_{letter}.dat").read_text().splitlines()
    return [int(row.split()[0]) for row in rows]


@pytest.mark.parametrize("zoom", [5, 8, 11])
def test_neighbouring_tiles_agree_where_they_meet(zoom: int) -> None:
    """Along a seam each tile colours the same places; the margin overlaps the neighbour."""
    column, row, _, _ = tile_of(51.0, 1.4, zoom)
    count = 2**zoom
    seam_deg = (column + 1) / count * 360.0 - 180.0
    step = 360.0 / count / EXTENT
    for share in np.linspace(0.05, 0.95, 19):
        north = math.degrees(math.atan(math.sinh(math.pi * (1.0 - 2.0 * (row + share) / count))))
        west = is_land(north, seam_deg - 3.0 * step, zoom)
        east = is_land(north, seam_deg + 3.0 * step, zoom)
        assert west == east, share


def test_each_zoom_has_its_resolution() -> None:
    letters = [resolution_at(zoom).letter for zoom in (0, 2, 3, 5, 6, 7, 8, 10, 11, 18)]
    assert letters == ["c", "c", "l", "l", "i", "i", "h", "h", "f", "f"]
    assert [one.letter for one in RESOLUTIONS] == ["c", "l", "i", "h", "f"]


def test_the_poles_and_the_ends_of_the_map() -> None:
    for zoom in (0, 3, 6):
        last = 2**zoom - 1
        for column in (0, last):
            for row in (0, last):
                for ring in coast_tile(zoom, column, row)["rings"]:
                    places = np.cumsum(np.array(ring).reshape(-1, 2), axis=0)
                    assert np.all(np.abs(places) < 2 * EXTENT)


def test_open_sea_has_no_rings() -> None:
    assert coast_tile(9, *tile_of(47.0, -30.0, 9)[:2])["rings"] == []
