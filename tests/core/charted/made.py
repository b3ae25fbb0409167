"""Small charted cells, built from geometries."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from wheelover.core.charted.ground import GROUND
from wheelover.core.charted.select import dangers_of
from wheelover.core.types.cells import Cell, CellAbout, Soundings
from wheelover.core.types.charted import Charted, Wanted

Object = tuple[str, BaseGeometry | None, Mapping[str, Any]]

TEN = Wanted(contour_m=10.0, depth_m=10.0)
DEEP = {"DRVAL1": 20.0, "DRVAL2": 30.0}
WHOLE = box(0.0, 50.0, 1.0, 51.0)
SPOT = Point(0.5, 50.5)


def cell(
    *objects: Object,
    name: str = "XX5TEST1",
    scale: int = 22_000,
    covers: BaseGeometry | None = WHOLE,
    bare: bool = False,
    soundings: Sequence[tuple[float, float, float]] = (),
    **about: Any,
) -> Cell:
    """Return a cell; soundings are latitude, longitude and depth, all of one object.

    Where no object says what is in the water it covers, a dredged area does, unless it is ``bare``.
    """
    rows: list[Object] = list(objects)
    if covers is not None:
        rows.append(("M_COVR", covers, {"CATCOV": 1}))
        if not bare and not any(row[0] in GROUND for row in rows):
            rows.append(("DRGARE", covers, DEEP))
    of = len(rows)
    if soundings:
        rows.append(("SOUNDG", None, {}))
    geometries = np.empty(len(rows), np.object_)
    geometries[:] = [geometry for _, geometry, _ in rows]
    lat, lon, depth = np.array(soundings, np.float64).reshape(-1, 3).T
    return Cell(
        about=CellAbout(
            id=name,
            name=name,
            scale=scale,
            band=5,
            **{
                "edition": 3,
                "update": 2,
                "issued": "20260101",
                "depth_datum": "lowest astronomical tide",
                "height_datum": "mean high water springs",
                **about,
            },
        ),
        classes=tuple(row[0] for row in rows),
        ids=tuple(f"{row[0]}.1.{number}.1" for number, row in enumerate(rows)),
        attributes=tuple(row[2] for row in rows),
        geometries=geometries,
        soundings=Soundings(
            of=np.full(lat.size, of), lat_deg=lat.copy(), lon_deg=lon.copy(), depth_m=depth.copy()
        ),
    )


def depth_area(area: BaseGeometry = WHOLE, **ends: float) -> Object:
    """Return a depth area, deep unless its ends are given."""
    return ("DEPARE", area, ends or DEEP)


def quality(code: int, area: BaseGeometry = WHOLE) -> Object:
    """Return an area of quality; codes count the zones from 1 for A1."""
    return ("M_QUAL", area, {"CATZOC": code})


def charted(*cells: Cell, wanted: Wanted = TEN) -> Charted:
    """Return what cells chart."""
    return dangers_of(cells, wanted)


def classes_of(found: Charted) -> list[str]:
    """Return the object classes of the dangers."""
    return list(found.dangers.object_classes)


def square(lon: float, lat: float, half: float) -> Polygon:
    """Return a square about a place, degrees."""
    return shapely.box(lon - half, lat - half, lon + half, lat + half)
