"""Pilot boarding places and radio calling-in points that the cells chart near the track."""

from collections.abc import Iterator, Sequence
from weakref import WeakKeyDictionary

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.charted.attributes import text_of
from wheelover.core.monitoring.along import Way
from wheelover.core.types.cells import Cell
from wheelover.core.types.monitoring import FoundPoint
from wheelover.core.types.route import Position
from wheelover.core.types.watch import PointKind
from wheelover.core.units import NM_M

NEAR_M = 2.0 * NM_M
"""How far from the track they are offered."""

_CLASSES: dict[str, PointKind] = {"PILBOP": "pilot", "RDOCAL": "report"}
_MOST = 50

_KNOWN: WeakKeyDictionary[Cell, tuple[tuple[int, ...], Floats]] = WeakKeyDictionary()


def charted_points(way: Way, cells: Sequence[Cell]) -> tuple[FoundPoint, ...]:
    """Return what the cells chart near the track, in sailing order; at most 50.

    Parameters
    ----------
    way : Way
        The planned track.
    cells : sequence of Cell
        The cells of the plan, the same object once though several cells chart it.
    """
    found: dict[tuple[str, str], FoundPoint] = {}
    for cell in cells:
        for one in _of_cell(way, cell):
            found.setdefault((one.object_class, one.object_id), one)
    order = sorted(found.values(), key=lambda one: (one.place.leg_index, one.place.along_m))
    return tuple(order[:_MOST])


def _of_cell(way: Way, cell: Cell) -> Iterator[FoundPoint]:
    """Yield what one cell charts near the track."""
    rows, places = _places(cell)
    for row, (lon_deg, lat_deg) in zip(rows, places.tolist(), strict=True):
        position = Position(lat_deg=lat_deg, lon_deg=lon_deg)
        near = way.nearest(position, within_m=NEAR_M)
        if near is None or abs(near[1]) > NEAR_M:
            continue
        attributes = cell.attributes[row]
        yield FoundPoint(
            kind=_CLASSES[cell.classes[row]],
            object_class=cell.classes[row],
            object_id=cell.ids[row],
            cell=cell.about.name,
            position=position,
            place=near[0],
            off_track_m=near[1],
            name=text_of(attributes, "OBJNAM"),
            channel=text_of(attributes, "COMCHA"),
        )


def _places(cell: Cell) -> tuple[tuple[int, ...], Floats]:
    """Return the rows of a cell that are such places, and a point on each, longitude first."""
    known = _KNOWN.get(cell)
    if known is None:
        rows = tuple(
            row
            for row, name in enumerate(cell.classes)
            if name in _CLASSES and cell.geometries[row] is not None
        )
        shapes = np.array([cell.geometries[row] for row in rows], dtype=object)
        on_each = shapely.get_coordinates(shapely.point_on_surface(shapes)) if rows else None
        places = np.empty((0, 2)) if on_each is None else on_each.reshape(-1, 2)
        known = _KNOWN[cell] = (rows, places)
    return known
