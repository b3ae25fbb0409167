"""A chart cell to bytes and back: JSON text with whole numbers for positions and depths.

Positions are steps of 1e-7 degree from the one before, depths are millimetres, so the text is
short, exact, and the same bytes for the same cell on every machine.
"""

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

import numpy as np
import orjson
import shapely
from shapely import GeometryType

from wheelover.core.arrays import Floats, Ints
from wheelover.core.errors import Damaged
from wheelover.core.types.cells import (
    AttributeValue,
    Cell,
    CellAbout,
    Geometries,
    Soundings,
)

FORMAT = "wheelover-cell-1"

_UNIT_PER_DEG = 10_000_000
_UNIT_PER_M = 1000

Document = dict[str, Any]

_TYPES = {
    "point": GeometryType.POINT,
    "line": GeometryType.LINESTRING,
    "area": GeometryType.POLYGON,
    "points": GeometryType.MULTIPOINT,
    "lines": GeometryType.MULTILINESTRING,
    "areas": GeometryType.MULTIPOLYGON,
}


def cell_bytes(cell: Cell) -> bytes:
    """Return a cell as it is stored.

    Parameters
    ----------
    cell : Cell
        Where it is stored (``stored_edition``, ``sha256``) is left out: the bytes are what the
        digest is of.
    """
    about = asdict(replace(cell.about, stored_edition=None, sha256=None))
    names = sorted(set(cell.classes))
    numbers = {name: number for number, name in enumerate(names)}
    document = {
        "format": FORMAT,
        "about": {name: value for name, value in about.items() if value is not None},
        "class_names": names,
        "classes": [numbers[one] for one in cell.classes],
        "ids": list(cell.ids),
        "attributes": [dict(one) for one in cell.attributes],
        "shapes": _shapes(cell.geometries),
        "soundings": _soundings(cell.soundings),
    }
    return orjson.dumps(document, option=orjson.OPT_SORT_KEYS | orjson.OPT_SERIALIZE_NUMPY)


def cell_of(
    body: bytes,
    *,
    cell_id: str | None = None,
    stored_edition: int | None = None,
    sha256: str | None = None,
) -> Cell:
    """Return the cell of bytes that ``cell_bytes`` made.

    Parameters
    ----------
    body : bytes
        As they are stored.
    cell_id, stored_edition, sha256 : str, int, str or None
        Where it is stored; the id takes the place of the one it was made with.

    Raises
    ------
    Damaged
        For bytes that are something else.
    """
    try:
        document = orjson.loads(body)
    except orjson.JSONDecodeError as error:
        raise Damaged("a stored chart cell cannot be read") from error
    if document.get("format") != FORMAT:
        raise Damaged(f"a stored chart cell is of format {document.get('format')!r}")
    about = about_of(document["about"])
    names = document["class_names"]
    return Cell(
        about=replace(about, stored_edition=stored_edition, sha256=sha256, id=cell_id or about.id),
        classes=tuple(names[one] for one in document["classes"]),
        ids=tuple(document["ids"]),
        attributes=tuple(_attributes(one) for one in document["attributes"]),
        geometries=_geometries(document["shapes"], len(document["ids"])),
        soundings=_soundings_of(document["soundings"]),
    )


def about_of(document: Mapping[str, Any]) -> CellAbout:
    """Return what a cell says of itself from JSON values."""
    optional = ("issued", "band", "depth_datum", "height_datum", "superseded")
    missing = tuple(document.get("updates_missing", ()))
    return CellAbout(**{**dict.fromkeys(optional), **document, "updates_missing": missing})


def _attributes(document: Document) -> Mapping[str, AttributeValue]:
    """Return attributes; a list becomes a tuple."""
    for value in document.values():
        if isinstance(value, list):
            return {
                name: tuple(one) if isinstance(one, list) else one for name, one in document.items()
            }
    return document


def _shapes(geometries: Geometries) -> Document:
    """Return geometries by their type: whose they are, where parts begin, and positions."""
    kinds = shapely.get_type_id(geometries)
    found: Document = {}
    for name, kind in _TYPES.items():
        of = np.flatnonzero(kinds == kind.value)
        if not len(of):
            continue
        _, places, offsets = shapely.to_ragged_array(geometries[of])
        found[name] = {
            "of": _steps(of),
            "parts": [_steps(one) for one in offsets],
            **_places(places[:, 1], places[:, 0]),
        }
    return found


def _geometries(document: Document, count: int) -> Geometries:
    """Return geometries from where they are kept by type."""
    geometries = np.full(count, None, dtype=object)
    for name, kind in _TYPES.items():
        if name not in document:
            continue
        kept = document[name]
        lat_deg, lon_deg = _places_of(kept)
        offsets = tuple(_from_steps(one) for one in kept["parts"])
        places = np.column_stack((lon_deg, lat_deg))
        geometries[_from_steps(kept["of"])] = shapely.from_ragged_array(kind, places, offsets)
    return geometries


def _soundings(soundings: Soundings) -> Document:
    """Return soundings in columns."""
    depth_mm = np.rint(soundings.depth_m * _UNIT_PER_M).astype(np.int64)
    return {
        "of": _steps(soundings.of),
        "depth_mm": depth_mm.tolist(),
        **_places(soundings.lat_deg, soundings.lon_deg),
    }


def _soundings_of(document: Document) -> Soundings:
    """Return soundings from their columns."""
    lat_deg, lon_deg = _places_of(document)
    return Soundings(
        of=_from_steps(document["of"]),
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        depth_m=np.array(document["depth_mm"], dtype=np.int64) / _UNIT_PER_M,
    )


def _places(lat_deg: Floats, lon_deg: Floats) -> Document:
    """Return positions as whole numbers."""
    return {
        "lat": _steps(np.rint(lat_deg * _UNIT_PER_DEG).astype(np.int64)),
        "lon": _steps(np.rint(lon_deg * _UNIT_PER_DEG).astype(np.int64)),
    }


def _places_of(document: Document) -> tuple[Floats, Floats]:
    """Return latitudes and longitudes, degrees."""
    lat_deg: Floats = _from_steps(document["lat"]) / _UNIT_PER_DEG
    lon_deg: Floats = _from_steps(document["lon"]) / _UNIT_PER_DEG
    return lat_deg, lon_deg


def _steps(values: Ints) -> list[int]:
    """Return whole numbers as the difference of each from the one before."""
    steps: list[int] = np.diff(values.astype(np.int64), prepend=np.int64(0)).tolist()
    return steps


def _from_steps(steps: list[int]) -> Ints:
    """Return whole numbers from their differences."""
    values: Ints = np.cumsum(np.array(steps, dtype=np.int64))
    return values
