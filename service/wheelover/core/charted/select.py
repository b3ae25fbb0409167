"""The dangers, areas and overhead objects that the cells of a plan chart."""

from collections import Counter
from dataclasses import dataclass
from weakref import ReferenceType, ref

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.charted.accuracy import (
    ZONES,
    allowances_m,
    loosely_placed,
    own_allowance_m,
    stated,
)
from wheelover.core.charted.attributes import Attributes, codes_of
from wheelover.core.charted.classes import CLASSES, Rule
from wheelover.core.charted.contour import safety_contour
from wheelover.core.charted.doubled import without_doubled_contours
from wheelover.core.charted.judged import (
    Judged,
    by_surroundings,
    judged,
    judged_sounding,
    label_of,
)
from wheelover.core.charted.marks import charted_marks
from wheelover.core.charted.overlap import Cut, Objects, cut_cells
from wheelover.core.charted.shapes import columns_of
from wheelover.core.charted.standing import in_water
from wheelover.core.charted.surroundings import (
    UNZONED,
    Surroundings,
    deep_all_around,
    surroundings_of,
    swing_m,
    worst_rank,
)
from wheelover.core.swing import UNKNOWN_DEPTH_SWING_M
from wheelover.core.types.cells import Cell, Geometries
from wheelover.core.types.chart import Hazards
from wheelover.core.types.charted import CellUsed, Charted, Listed, Wanted
from wheelover.core.types.dangers import DangerClass

_KEPT = 8
_SURVEYED: frozenset[DangerClass] = frozenset(
    {"shoal", "sounding", "rock", "wreck", "obstruction", "unsurveyed"}
)
"""Classes whose places a survey of the bottom found: for these alone zones of confidence speak."""

_DANGERS: frozenset[Rule] = frozenset({"always", "depth_area", "contour", "depth_or_unknown"})
_STANDING: frozenset[Rule] = frozenset({"standing", "equipment"})
_AREAS: frozenset[Rule] = frozenset({"area", "restricted"})
_PARTICULAR = 28
_TO_BE_AVOIDED = 14

_Known = tuple[tuple[ReferenceType[Cell], ...], Wanted, Charted]
_KNOWN: list[_Known] = []


def dangers_of(cells: tuple[Cell, ...], wanted: Wanted) -> Charted:
    """Return what cells chart: dangers, areas, overhead objects and what water they cover.

    Objects are never left out for the scale at which a screen would show them (SCAMIN).

    Parameters
    ----------
    cells : tuple of Cell
        The cells, at least one, in an order of the caller's.
    wanted : Wanted
        The contour and the depth that charted water is held against.

    Notes
    -----
    What was made of the same cells and depths before is kept, for a few sets of cells, as long
    as the cells are.
    """
    for number, (known, depths, found) in enumerate(_KNOWN):
        same = len(known) == len(cells) and all(
            one() is cell for one, cell in zip(known, cells, strict=True)
        )
        if same and depths == wanted:
            if number:
                _KNOWN.insert(0, _KNOWN.pop(number))
            return found
    made = _charted(cells, wanted)
    alive = [one for one in _KNOWN if all(cell() is not None for cell in one[0])]
    _KNOWN[:] = [(tuple(map(ref, cells)), wanted, made), *alive][:_KEPT]
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """Things that are listed: the object of each, what was made of it, where it is."""

    of: Ints
    judged: tuple[Judged, ...]
    ids: tuple[str, ...]
    geometries: Geometries


def _charted(cells: tuple[Cell, ...], wanted: Wanted) -> Charted:
    """Return what cells chart, made anew."""
    cut = cut_cells(cells)
    around = surroundings_of(cut.objects)
    dangers = _listed(cells, cut.objects, around, _danger_rows(cut, around, wanted))
    count = np.bincount(dangers.cell, minlength=len(cells))
    coverage = np.empty(1, np.object_)
    covered = [one for one in cut.coverages if one is not None]
    coverage[0] = shapely.union_all(covered, grid_size=1e-7) if covered else None
    return Charted(
        cells=tuple(
            CellUsed(
                about=cell.about,
                object_count=cell.count,
                danger_count=int(count[number]),
                covers=bool(cut.states_coverage[number]),
                unknown_classes=_unknown(cell),
            )
            for number, cell in enumerate(cells)
        ),
        contour=safety_contour(cut.objects, len(cells), wanted),
        dangers=dangers,
        areas=_plain(cells, cut.objects, around, _AREAS),
        overhead=_plain(cells, cut.objects, around, frozenset({"overhead"})),
        cables=_plain(cells, cut.objects, around, frozenset({"cable"})),
        coverages=cut.coverages,
        coverage=coverage,
        marks=charted_marks(cut.objects, tuple(cell.about.name for cell in cells)),
        quality=around.quality,
        quality_rank=around.rank,
        depth_areas=around.depths,
    )


def _unknown(cell: Cell) -> tuple[tuple[str, int], ...]:
    """Return the classes of a cell's objects that there is no rule for, with counts."""
    counts = Counter(name for name in cell.classes if name not in CLASSES)
    return tuple(sorted(counts.items()))


def _of_rules(objects: Objects, rules: frozenset[Rule]) -> Ints:
    """Return the numbers of the objects judged by some rules that have a geometry."""
    names = [name for name, row in CLASSES.items() if row.rule in rules]
    return objects.of_class(*names)


def _plain(
    cells: tuple[Cell, ...], objects: Objects, around: Surroundings, rules: frozenset[Rule]
) -> Listed:
    """Return all objects that are judged by some rules: listed, whatever they say."""
    of = _of_rules(objects, rules)
    found = tuple(Judged(counts=True, why=CLASSES[objects.classes[row]].words) for row in of)
    rows = _Rows(
        of=of,
        judged=found,
        ids=tuple(objects.ids[row] for row in of),
        geometries=objects.geometries[of],
    )
    return _listed(cells, objects, around, rows)


def _danger_rows(cut: Cut, around: Surroundings, wanted: Wanted) -> _Rows:
    """Return the dangers among objects, and then those among soundings."""
    objects = cut.objects
    standing = _of_rules(objects, _STANDING)
    of = _of_rules(objects, _DANGERS)
    of = without_doubled_contours(objects, around, of, wanted.contour_m)
    of = np.concatenate([of, standing[in_water(objects, standing)]])
    found = [judged(objects.classes[row], objects.attributes[row], wanted) for row in of]
    open_rows = np.array([n for n, one in enumerate(found) if one.counts is None], np.int64)
    if open_rows.size:
        shapes = objects.geometries[of[open_rows]]
        within_m = allowances_m(worst_rank(around, shapes), np.full(open_rows.size, wanted.depth_m))
        own_m = [own_allowance_m(objects.attributes[row]) for row in of[open_rows]]
        within_m = np.maximum(within_m, np.array(own_m))
        deep = deep_all_around(around, shapes, within_m, wanted.depth_m)
        for number, is_deep in zip(open_rows.tolist(), deep.tolist(), strict=True):
            attributes = objects.attributes[of[number]]
            found[number] = by_surroundings(attributes, found[number], deep=is_deep)
    kept = np.array([n for n, one in enumerate(found) if one.counts], np.int64)
    shallow = _sounding_rows(cut, wanted)
    return _Rows(
        of=np.concatenate([of[kept], shallow.of]),
        judged=(*(found[n] for n in kept), *shallow.judged),
        ids=(*(objects.ids[of[n]] for n in kept), *shallow.ids),
        geometries=np.concatenate([objects.geometries[of[kept]], shallow.geometries]),
    )


def _sounding_rows(cut: Cut, wanted: Wanted) -> _Rows:
    """Return the soundings that are dangers."""
    soundings = cut.soundings
    depth_m = soundings.depth_m
    rows = np.flatnonzero(~(depth_m >= wanted.depth_m - 1e-6))
    known = [None if np.isnan(one) else one for one in depth_m[rows].tolist()]
    of = soundings.of[rows]
    return _Rows(
        of=of,
        judged=tuple(judged_sounding(one, wanted) for one in known),
        ids=tuple(
            f"{cut.objects.ids[row]}.{place}"
            for row, place in zip(of.tolist(), soundings.place[rows].tolist(), strict=True)
        ),
        geometries=np.asarray(
            shapely.points(soundings.lon_deg[rows], soundings.lat_deg[rows]), np.object_
        ),
    )


def _listed(cells: tuple[Cell, ...], objects: Objects, around: Surroundings, rows: _Rows) -> Listed:
    """Return listed things in columns, with the uncertainty of their places."""
    names = tuple(objects.classes[row] for row in rows.of)
    attributes = tuple(objects.attributes[row] for row in rows.of)
    classes = tuple(_class_of(name, one) for name, one in zip(names, attributes, strict=True))
    depth_m = np.array([one.depth_m for one in rows.judged], np.float64)
    surveyed = np.array([one in _SURVEYED for one in classes], np.bool_)
    rank = np.full(rows.of.size, UNZONED)
    rank[surveyed] = worst_rank(around, rows.geometries[surveyed])
    uncertainty_m, given = _uncertainty(names, attributes, rows, around, depth_m, rank, surveyed)
    points, paths, shapes = columns_of(rows.geometries)
    hazards = Hazards(
        ids=rows.ids,
        names=tuple(
            label_of(name, one, made.depth_m)
            for name, one, made in zip(names, attributes, rows.judged, strict=True)
        ),
        kinds=tuple(classes),
        shapes=shapes,
        depth_m=depth_m,
        position_uncertainty_m=uncertainty_m,
        uncertainty_given=given,
        min_clearance_m=np.full(rows.of.size, np.nan),
        points=points,
        paths=paths,
        classes=classes,
    )
    cell = objects.cell[rows.of]
    return Listed(
        hazards=hazards,
        object_classes=names,
        attributes=attributes,
        why=tuple(one.why for one in rows.judged),
        doubtful=np.array([one.doubtful for one in rows.judged], np.bool_),
        scale=np.array([one.about.scale for one in cells], np.int64)[cell],
        zone=tuple(None if one == UNZONED else ZONES[one] for one in rank.tolist()),
        cell=cell,
        geometries=rows.geometries,
    )


def _class_of(name: str, attributes: Attributes) -> DangerClass:
    """Return the danger class of an object; a particularly sensitive sea area is a special one."""
    row = CLASSES[name]
    if row.rule != "restricted":
        return row.danger_class
    if _TO_BE_AVOIDED in codes_of(attributes, "RESTRN"):
        return "restricted"
    return "special" if _PARTICULAR in codes_of(attributes, "CATREA") else "restricted"


def _uncertainty(
    names: tuple[str, ...],
    attributes: tuple[Attributes, ...],
    rows: _Rows,
    around: Surroundings,
    depth_m: Floats,
    rank: Ints,
    surveyed: Bools,
) -> tuple[Floats, Bools]:
    """Return how far each thing may lie from its charted place, and whether the chart states it."""
    uncertainty_m = np.zeros(rows.of.size)
    given = np.zeros(rows.of.size, np.bool_)
    known_m = np.where(np.isnan(depth_m), 0.0, depth_m)
    uncertainty_m[surveyed] = allowances_m(rank[surveyed], known_m[surveyed])
    says = np.array([stated(zone) for zone in ZONES] + [False], np.bool_)
    given[surveyed] = says[rank[surveyed]]
    own_m = np.array([own_allowance_m(one) for one in attributes], np.float64)
    uncertainty_m[surveyed] = np.maximum(uncertainty_m, own_m)[surveyed]
    given &= ~np.array([loosely_placed(one) for one in attributes], np.bool_)
    floats = np.flatnonzero([CLASSES[name].floats for name in names])
    if floats.size:
        swing = swing_m(around, rows.geometries[floats])
        uncertainty_m[floats] = np.where(np.nan_to_num(swing) > 0.0, swing, UNKNOWN_DEPTH_SWING_M)
    return uncertainty_m, given
