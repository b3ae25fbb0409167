"""Stored chart cells: list them, read one, show what is in it."""

from typing import Any

import numpy as np
import shapely
from shapely.geometry import mapping

from wheelover.core.types.cells import Cell
from wheelover.store import Store
from wheelover.store.charts import ChartEdition
from wheelover.usecases.chart_imports import said_of
from wheelover.usecases.stored_cells import STORED_CELLS

Document = dict[str, Any]

Box = tuple[float, float, float, float]
"""West, south, east and north, degrees; west may be greater than east across 180 degrees."""


def charts_listed(
    store: Store, limit: int, before_seq: int | None, vessels: frozenset[str] | None = None
) -> tuple[list[ChartEdition], int | None]:
    """Return a page of the newest editions of some vessels, and where the next page starts."""
    with store.reading() as unit:
        rows = unit.charts.page(limit + 1, before_seq, vessels)
    more = len(rows) > limit
    return rows[:limit], rows[limit - 1].seq if more else None


def chart_of(store: Store, cell_id: str, number: int | None = None) -> ChartEdition:
    """Return an edition of a cell, the newest unless a number is given.

    Raises
    ------
    NotFound
        For an id or a number that is not stored.
    """
    with store.reading() as unit:
        return unit.charts.get(cell_id, number)


def chart_line(edition: ChartEdition) -> Document:
    """Return what a list says of a cell."""
    said = said_of(edition)
    about = said["about"]
    return {
        "id": edition.id,
        "name": edition.name,
        "edition": edition.edition,
        "producer_edition": edition.producer_edition,
        "producer_update": edition.producer_update,
        "updates_missing": list(about.get("updates_missing", ())),
        "superseded": about.get("superseded"),
        "issued": about.get("issued"),
        "scale": about["scale"],
        "band": about.get("band"),
        "depth_datum": about.get("depth_datum"),
        "height_datum": about.get("height_datum"),
        "object_count": edition.object_count,
        "coverage": said["outline"],
        "coverage_simplified": bool(said["outline_simplified"]),
        "box_deg": [edition.west_deg, edition.south_deg, edition.east_deg, edition.north_deg],
        "created_utc": edition.created_utc,
        "withdrawn_utc": edition.withdrawn_utc,
        "sha256": edition.sha256,
    }


def chart_record(edition: ChartEdition) -> Document:
    """Return everything that is said of an edition but for its objects."""
    said = said_of(edition)
    return {
        **chart_line(edition),
        "newest_edition": edition.newest,
        "counts": said["counts"],
        "files": [{"name": one["name"], "sha256": one["sha256"]} for one in said["files"]],
        "report": said["lines"],
        "remarks": said["remarks"],
    }


def chart_features(
    store: Store, edition: ChartEdition, box: Box, classes: frozenset[str] | None, limit: int
) -> Document:
    """Return the objects of a cell that touch a box, as GeoJSON.

    Parameters
    ----------
    store : Store
        Where it is kept.
    edition : ChartEdition
        Which edition.
    box : tuple of float
        West, south, east, north.
    classes : frozenset of str or None
        The six-letter classes wanted, None for all that are kept.
    limit : int
        How many features at most; how many more there are is said.
    """

    def body() -> bytes:
        with store.reading() as unit:
            return unit.charts.body(edition)

    cell = STORED_CELLS.of(edition, body)
    chosen = _chosen(cell, box, classes)
    places = _sounded(cell, box) if classes is None or "SOUNDG" in classes else np.empty(0, int)
    features = [_feature(cell, index) for index in chosen[:limit].tolist()]
    room = max(0, limit - len(features))
    features += [_sounding(cell, index) for index in places[:room].tolist()]
    left_out = len(chosen) + len(places) - len(features)
    return {
        "type": "FeatureCollection",
        "cell": {"id": edition.id, "name": edition.name, "edition": edition.edition},
        "features": features,
        "left_out_count": left_out,
    }


def _parts(box: Box) -> list[Box]:
    """Return a box as one or two that do not cross 180 degrees."""
    west, south, east, north = box
    if west <= east:
        return [box]
    return [(west, south, 180.0, north), (-180.0, south, east, north)]


def _chosen(cell: Cell, box: Box, classes: frozenset[str] | None) -> np.ndarray[Any, Any]:
    """Return the objects with a shape in a box, points and lines before areas."""
    if not cell.count:
        return np.empty(0, dtype=np.int64)
    west, south, east, north = shapely.bounds(cell.geometries).T
    inside = np.zeros(cell.count, dtype=np.bool_)
    for left, low, right, high in _parts(box):
        inside |= (west <= right) & (east >= left) & (south <= high) & (north >= low)
    if classes is not None:
        inside &= np.array([one in classes for one in cell.classes], dtype=np.bool_)
    found = np.flatnonzero(inside)
    order = np.argsort(shapely.get_dimensions(cell.geometries[found]), kind="stable")
    chosen: np.ndarray[Any, Any] = found[order]
    return chosen


def _sounded(cell: Cell, box: Box) -> np.ndarray[Any, Any]:
    """Return the soundings in a box, the shallowest first."""
    lat, lon = cell.soundings.lat_deg, cell.soundings.lon_deg
    inside = np.zeros(cell.soundings.count, dtype=np.bool_)
    for west, south, east, north in _parts(box):
        inside |= (lon >= west) & (lon <= east) & (lat >= south) & (lat <= north)
    found = np.flatnonzero(inside)
    ordered: np.ndarray[Any, Any] = found[np.argsort(cell.soundings.depth_m[found], kind="stable")]
    return ordered


def _feature(cell: Cell, index: int) -> Document:
    """Return an object as a feature."""
    return {
        "type": "Feature",
        "id": f"{cell.about.name}/{cell.classes[index]}/{cell.ids[index]}",
        "geometry": mapping(cell.geometries[index]),
        "properties": {
            "class": cell.classes[index],
            "id": cell.ids[index],
            "attributes": dict(cell.attributes[index]),
        },
    }


def _sounding(cell: Cell, index: int) -> Document:
    """Return a sounding as a feature."""
    soundings = cell.soundings
    lat, lon = float(soundings.lat_deg[index]), float(soundings.lon_deg[index])
    return {
        "type": "Feature",
        "id": f"{cell.about.name}/SOUNDG/{lat:.7f},{lon:.7f}",
        "geometry": {"type": "Point", "coordinates": [lon, lat]},
        "properties": {
            "class": "SOUNDG",
            "id": cell.ids[int(soundings.of[index])],
            "depth_m": float(soundings.depth_m[index]),
        },
    }
