"""Overlapping cells: where several chart the same water the largest scale counts.

Inside what a cell covers (``core/charted/ground.py``) nothing of a smaller scale is kept: points
are dropped, lines and areas cut off. Cells of one scale are all kept, for none is better [S57A]_.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.charted.ground import GRID_DEG, coverage_of_cells
from wheelover.core.types.cells import AttributeValue, Cell, Geometries


@dataclass(frozen=True, slots=True, kw_only=True)
class Objects:
    """The objects of several cells behind one another, in columns of shape (n,)."""

    cell: Ints
    row: Ints
    classes: tuple[str, ...]
    ids: tuple[str, ...]
    attributes: tuple[Mapping[str, AttributeValue], ...]
    geometries: Geometries

    def of_class(self, *names: str) -> Ints:
        """Return the numbers of the objects of some classes that have a geometry."""
        found = np.isin(np.array(self.classes, dtype=np.str_), names)
        return np.flatnonzero(found & shapely.is_geometry(self.geometries))


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundingRows:
    """Single soundings of several cells, in columns: the object each belongs to, and which it is.

    ``place`` counts the soundings of one object, so that a sounding keeps its name.
    """

    of: Ints
    place: Ints
    lat_deg: Floats
    lon_deg: Floats
    depth_m: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What several cells chart together, each where no larger scale does.

    ``coverages`` holds where each cell is the one that counts: what it covers and no larger scale
    does, None for nothing. ``states_coverage`` says which cells say what they cover at all.
    """

    objects: Objects
    soundings: SoundingRows
    coverages: Geometries
    states_coverage: Bools


def cut_cells(cells: tuple[Cell, ...]) -> Cut:
    """Return the objects of cells, those of smaller scales cut to where no larger scale covers.

    Parameters
    ----------
    cells : tuple of Cell
        The cells, in any order. Of a cell without an area of coverage everything is kept, and it
        covers nothing.
    """
    coverages = coverage_of_cells(cells)
    better = [_of_larger_scale(cells, coverages, number) for number in range(len(cells))]
    pieces = [_cut(cell.geometries, better[number]) for number, cell in enumerate(cells)]
    kept = [
        np.flatnonzero(shapely.is_geometry(cell.geometries) <= shapely.is_geometry(piece))
        for cell, piece in zip(cells, pieces, strict=True)
    ]
    starts = np.concatenate([[0], np.cumsum([rows.size for rows in kept])])
    objects = Objects(
        cell=np.repeat(np.arange(len(cells), dtype=np.int64), [rows.size for rows in kept]),
        row=np.concatenate([*kept, np.empty(0, np.int64)]),
        classes=tuple(c.classes[i] for c, rows in zip(cells, kept, strict=True) for i in rows),
        ids=tuple(
            _identifier(c, int(i)) for c, rows in zip(cells, kept, strict=True) for i in rows
        ),
        attributes=tuple(
            c.attributes[i] for c, rows in zip(cells, kept, strict=True) for i in rows
        ),
        geometries=np.concatenate(
            [
                *(piece[rows] for piece, rows in zip(pieces, kept, strict=True)),
                np.empty(0, np.object_),
            ]
        ),
    )
    rows = [
        _soundings(cell, better[number], kept[number], int(starts[number]))
        for number, cell in enumerate(cells)
    ]
    return Cut(
        objects=objects,
        soundings=_joined(rows),
        coverages=np.array(
            [*map(_less, coverages, better), None],
            np.object_,  # None keeps it an array of objects
        )[:-1],
        states_coverage=np.array([one is not None for one in coverages], np.bool_),
    )


def _less(
    area: shapely.Geometry | None, better: shapely.Geometry | None
) -> shapely.Geometry | None:
    """Return an area without what is better charted, None where nothing is left."""
    if area is None or better is None:
        return area
    rest = shapely.difference(area, better, grid_size=GRID_DEG)
    return rest if shapely.area(rest) > 0.0 else None


def _of_larger_scale(
    cells: tuple[Cell, ...], coverages: Geometries, number: int
) -> shapely.Geometry | None:
    """Return what cells of a larger scale than that of one cover, None for nothing."""
    scale = cells[number].about.scale
    areas = [
        area
        for cell, area in zip(cells, coverages, strict=True)
        if area is not None and cell.about.scale < scale
    ]
    return shapely.union_all(areas, grid_size=GRID_DEG) if areas else None


def _cut(geometries: Geometries, better: shapely.Geometry | None) -> Geometries:
    """Return geometries without what lies inside an area, None where nothing is left."""
    if better is None or geometries.size == 0:
        return geometries
    left = geometries.copy()
    shapely.prepare(better)
    some = shapely.is_geometry(geometries)
    inside = some & _within(better, geometries)
    left[inside] = None
    crossing = some & ~inside & (shapely.get_dimensions(geometries) > 0)
    crossing &= shapely.intersects(better, geometries)
    rest = shapely.difference(geometries[crossing], better)
    rest = _of_dimension(rest, shapely.get_dimensions(geometries[crossing]))
    left[crossing] = rest
    _keep_on_rim(left, geometries, better)
    left[shapely.is_empty(left)] = None
    return left


def _keep_on_rim(left: Geometries, geometries: Geometries, better: shapely.Geometry) -> None:
    """Put back what of lines lies on the rim of an area, which nothing inside it stands for."""
    lines = np.flatnonzero(shapely.get_dimensions(geometries) == 1)
    rim = shapely.boundary(better)
    shapely.prepare(rim)
    lines = lines[shapely.dwithin(geometries[lines], rim, GRID_DEG)]
    for row in lines.tolist():
        parts = shapely.get_parts(shapely.intersection(geometries[row], rim, grid_size=GRID_DEG))
        parts = parts[shapely.get_dimensions(parts) == 1]
        if parts.size:
            rest = [] if left[row] is None else [left[row]]
            left[row] = shapely.line_merge(shapely.union_all([*rest, *parts]))


def _within(better: shapely.Geometry, geometries: Geometries) -> Bools:
    """Return which geometries are chart matter of an area: covered, points on its rim not."""
    is_point = shapely.get_dimensions(geometries) == 0
    properly, covered = (
        np.asarray(inside(better, geometries), np.bool_)
        for inside in (shapely.contains_properly, shapely.covers)
    )
    return np.where(is_point, properly, covered)


def _of_dimension(geometries: Geometries, dimension: Ints) -> Geometries:
    """Return geometries without parts of a lower dimension, which cutting may leave behind."""
    mixed = shapely.get_type_id(geometries) == shapely.GeometryType.GEOMETRYCOLLECTION
    if not bool(np.any(mixed)):
        return geometries
    found = geometries.copy()
    for row in np.flatnonzero(mixed):
        parts = shapely.get_parts(geometries[row])
        kept = parts[shapely.get_dimensions(parts) == dimension[row]]
        found[row] = shapely.union_all(kept)
    return found


def _identifier(cell: Cell, row: int) -> str:
    """Return the id of an object among those of all cells, with its class in it."""
    own, name = cell.ids[row], cell.classes[row]
    return f"{cell.about.name}/{own}" if own.startswith(name) else f"{cell.about.name}/{name}.{own}"


def _soundings(cell: Cell, better: shapely.Geometry | None, kept: Ints, start: int) -> SoundingRows:
    """Return the soundings of a cell that no larger scale covers."""
    soundings = cell.soundings
    number = np.full(cell.count, -1, np.int64)
    number[kept] = start + np.arange(kept.size)
    order = np.argsort(soundings.of, kind="stable")
    place = np.empty(soundings.count, np.int64)
    counts = np.bincount(soundings.of, minlength=cell.count)
    firsts = np.cumsum(counts) - counts
    place[order] = np.arange(soundings.count) - firsts[soundings.of[order]]
    rows = np.arange(soundings.count)
    if better is not None and rows.size:
        spots = shapely.points(soundings.lon_deg, soundings.lat_deg)
        rows = np.flatnonzero(~shapely.contains_properly(better, spots))
    return SoundingRows(
        of=number[soundings.of[rows]],
        place=place[rows],
        lat_deg=soundings.lat_deg[rows],
        lon_deg=soundings.lon_deg[rows],
        depth_m=soundings.depth_m[rows],
    )


def _joined(rows: list[SoundingRows]) -> SoundingRows:
    """Return the soundings of several cells behind one another."""
    whole = np.empty(0, np.int64)
    return SoundingRows(
        of=np.concatenate([*(one.of for one in rows), whole]),
        place=np.concatenate([*(one.place for one in rows), whole]),
        lat_deg=np.concatenate([*(one.lat_deg for one in rows), np.empty(0)]),
        lon_deg=np.concatenate([*(one.lon_deg for one in rows), np.empty(0)]),
        depth_m=np.concatenate([*(one.depth_m for one in rows), np.empty(0)]),
    )
