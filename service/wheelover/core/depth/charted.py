"""The least charted depth under each piece of the track, from the cells of a plan."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from weakref import ReferenceType, ref

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Floats, Ints, numbered
from wheelover.core.charted.accuracy import (
    ZONES,
    allowances_m,
    loosely_placed,
    own_allowance_m,
    stated,
    zone_of,
)
from wheelover.core.charted.attributes import number_of
from wheelover.core.charted.coverage import covered, round_the_world, strip_areas
from wheelover.core.charted.overlap import Cut, cut_cells
from wheelover.core.charted.surroundings import (
    UNZONED,
    Surroundings,
    surroundings_of,
    worst_rank,
)
from wheelover.core.charted.water import SLIVER_DEG, bare_of, meets, whole_tree
from wheelover.core.depth.under import NO_CHART, OUTSIDE_CHARTS, SAID_BETWEEN
from wheelover.core.types.cells import Cell, Geometries
from wheelover.core.types.charted import Charted, PieceCovered, Way
from wheelover.core.types.depth import DepthUnder
from wheelover.core.units import NM_M

_STEP_M = NM_M
_STEP_ON_ARC_DEG = 10.0
_WIDTHS_M = (0.0, 6.0, 10.0, 20.0, 50.0, 500.0)
"""Widths by which strips are widened for things whose places are not sure: zones A1 to C."""

_KEPT = 8

_WORDS = {
    "DEPARE": "depth area",
    "DRGARE": "dredged area",
    "SWPARE": "swept area",
    "SOUNDG": "sounding",
    "UWTROC": "rock",
    "WRECKS": "wreck",
    "OBSTRN": "obstruction",
    "UNSARE": "unsurveyed area",
    "LNDARE": "land",
}
_AREAS = ("DEPARE", "DRGARE", "SWPARE")
_SINGLE = ("UWTROC", "WRECKS", "OBSTRN")
_NO_DEPTHS = ("UNSARE", "LNDARE")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bottom:
    """What cells chart of the bottom in columns of shape (n,), and the zones of its survey (m,).

    ``depth_m`` is the least that an object says, nan where it does not say it. ``areas`` are those
    that together say of all charted water how deep it is, or that it is none or not surveyed.
    ``rank`` numbers the zones in ``ZONES``; one that is charted without its code has their count.
    ``place_m`` is how far from its charted place each may lie, ``stated`` whether the survey says
    so; ``trees`` hold those of one width around the strips and their numbers.
    """

    depth_m: Floats
    place_m: Floats
    stated: Bools
    trees: tuple[tuple[float, shapely.STRtree, Ints], ...]
    words: tuple[str, ...]
    areas: shapely.STRtree
    zones: shapely.STRtree
    rank: Ints


_KNOWN: list[tuple[tuple[ReferenceType[Cell], ...], _Bottom]] = []


def charted_depths(
    cells: tuple[Cell, ...], charted: Charted, ways: Sequence[Way]
) -> tuple[DepthUnder, ...]:
    """Return the least depth charted under pieces of a track, each where no larger scale charts.

    Parameters
    ----------
    cells : tuple of Cell
        The cells of the plan.
    charted : Charted
        What they cover.
    ways : sequence of Way
        The pieces, and how far to either side of each the water is looked at.

    Notes
    -----
    The shallow end of depth and swept areas (DRVAL1), soundings, and rocks, wrecks and obstructions
    of known depth [S57A]_. Of a piece that meets water without a depth or without a depth area, or
    lies outside the charts in part, the reason says so; its least depth is then that of the rest.
    """
    if not ways or not cells:
        return ()
    bottom = _bottom(cells)
    strips, of = _strips(ways)
    way, thing = _under(bottom, ways)
    # What nobody says the place of may lie there as well: it is told, and not taken for the depth.
    sure = bottom.stated[thing] | _within(bottom, strips, of, way, thing)
    doubtful, way, thing = (way[~sure], thing[~sure]), way[sure], thing[sure]
    depth = bottom.depth_m[thing]
    found = []
    zone = _worst_zone(bottom, strips, of, len(ways))
    gaps = set(of[_without_depth(bottom, charted, strips)].tolist())
    for number, (one, cover) in enumerate(zip(ways, covered(charted, ways), strict=True)):
        mine = thing[way == number]
        known = mine[~np.isnan(depth[way == number])]
        least = int(known[np.argmin(bottom.depth_m[known])]) if known.size else None
        unknown = sorted({bottom.words[int(i)] for i in mine[np.isnan(bottom.depth_m[mine])]})
        found.append(
            DepthUnder(
                piece=one.piece,
                depth_m=None if least is None else float(bottom.depth_m[least]),
                source="chart",
                catzoc=None if zone[number] < 0 else ZONES[zone[number]],
                what=None if least is None else _what(bottom, least, one),
                reason=_left_open(
                    charted,
                    cover,
                    unknown,
                    gap=number in gaps,
                    unsure=_shallower(bottom, doubtful[1][doubtful[0] == number], least),
                ),
            )
        )
    return tuple(found)


def _what(bottom: _Bottom, thing: int, way: Way) -> str:
    """Return in words what a depth is of, and how far from the track it was looked for."""
    more_m = float(np.ceil(bottom.place_m[thing])) if bottom.stated[thing] else 0.0
    beside = f" and the {more_m:.0f} m by which its place is unsure" if more_m else ""
    return f"{bottom.words[thing]}, within {way.half_width_m:.0f} m of the track{beside}"


def _shallower(bottom: _Bottom, things: Ints, least: int | None) -> bool:
    """Return whether any of some things is shallower than what is taken for the least depth."""
    depth_m = bottom.depth_m[things]
    if least is None:
        return bool(things.size)
    return bool(np.any(~(depth_m >= bottom.depth_m[least])))


def _under(bottom: _Bottom, ways: Sequence[Way]) -> tuple[Ints, Ints]:
    """Return what may lie under ways as far as places are sure, as pairs of ways and things.

    Each is looked for as far beside the water of a way as it may lie from its charted place
    or up to the next width of ``_WIDTHS_M``, never less.
    """
    pairs = []
    for width_m, tree, numbers in bottom.trees:
        strips, of = _strips([_wider(one, width_m) for one in ways])
        row, thing = meets(tree, strips)
        pairs.append(np.stack([of[row], numbers[thing]]))
    both = np.unique(np.concatenate(pairs, axis=1), axis=1) if pairs else np.empty((2, 0), np.int64)
    return both[0].astype(np.int64), both[1].astype(np.int64)


def _within(bottom: _Bottom, strips: Geometries, of: Ints, way: Ints, thing: Ints) -> Bools:
    """Return which pairs of ways and things meet where the things are charted."""
    found = []
    for _, tree, numbers in bottom.trees:
        row, one = meets(tree, strips)
        found.append(of[row] * bottom.depth_m.size + numbers[one])
    keys = np.concatenate(found) if found else np.empty(0, np.int64)
    return np.isin(way * bottom.depth_m.size + thing, keys)


def _wider(way: Way, by_m: float) -> Way:
    """Return a way whose water reaches farther to all sides."""
    return replace(
        way,
        half_width_m=way.half_width_m + by_m,
        low_m=way.low_m - by_m,
        high_m=way.high_m + by_m,
    )


def _left_open(
    charted: Charted, cover: PieceCovered, unknown: list[str], *, gap: bool, unsure: bool
) -> str | None:
    """Return what of a piece no charted depth speaks for, None for nothing."""
    if not cover.cells:
        return NO_CHART
    said = []
    if cover.uncovered:
        said.append(OUTSIDE_CHARTS)
    if unknown:
        said.append(f"no depth is charted of {' and '.join(unknown[:3])}")
    if gap:
        said.append("in a part of it the charts hold no depth area")
    if unsure:
        said.append("beside it shallower water is charted whose place no survey states")
    lacking = [
        charted.cells[cell].about.name
        for cell in cover.cells
        if charted.cells[cell].about.updates_missing or charted.cells[cell].about.superseded
    ]
    if lacking:
        said.append(f"{', '.join(lacking)} lacks updates or is out of date")
    return SAID_BETWEEN.join(said) or None


def _bottom(cells: tuple[Cell, ...]) -> _Bottom:
    """Return what cells chart of the bottom; what was made before is kept as long as they are."""
    for number, (known, found) in enumerate(_KNOWN):
        if len(known) == len(cells) and all(
            one() is cell for one, cell in zip(known, cells, strict=True)
        ):
            _KNOWN.insert(0, _KNOWN.pop(number))
            return found
    made = _made(cut_cells(cells), cells)
    alive = [one for one in _KNOWN if all(cell() is not None for cell in one[0])]
    _KNOWN[:] = [(tuple(map(ref, cells)), made), *alive][:_KEPT]
    return made


def _made(cut: Cut, cells: tuple[Cell, ...]) -> _Bottom:
    """Return the bottom of cells, made anew."""
    objects, soundings = cut.objects, cut.soundings
    areas, single = objects.of_class(*_AREAS), objects.of_class(*_SINGLE)
    bare = objects.of_class(*_NO_DEPTHS)
    depth = [number_of(objects.attributes[i], "DRVAL1") for i in areas]
    depth += [number_of(objects.attributes[i], "VALSOU") for i in single]
    depth += [None] * bare.size
    rows = np.concatenate([areas, single, bare]).astype(np.int64)

    def words(row: int) -> str:
        return f"{_WORDS[objects.classes[row]]} in {cells[int(objects.cell[row])].about.name}"

    quality = objects.of_class("M_QUAL")
    zones = [zone_of(objects.attributes[i]) for i in quality]
    geometries = np.concatenate(
        [objects.geometries[rows], shapely.points(soundings.lon_deg, soundings.lat_deg)]
    )
    depth_m = np.concatenate(
        [np.array([np.nan if one is None else one for one in depth]), soundings.depth_m]
    )
    # Land and what is not surveyed are no depths: they lie where they are charted.
    surveyed = np.ones(depth_m.size, np.bool_)
    surveyed[rows.size - bare.size : rows.size] = False
    place_m, sure = _places(surroundings_of(objects), geometries, depth_m, surveyed)
    for number in range(areas.size, areas.size + single.size):
        said = objects.attributes[rows[number]]
        place_m[number] = max(place_m[number], own_allowance_m(said))
        sure[number] &= not loosely_placed(said)
    return _Bottom(
        depth_m=depth_m,
        place_m=place_m,
        stated=sure,
        trees=_trees(geometries, place_m),
        words=(*map(words, rows.tolist()), *map(words, soundings.of.tolist())),
        areas=whole_tree(objects.geometries, np.concatenate([areas, bare]).astype(np.int64)),
        zones=whole_tree(objects.geometries, quality),
        rank=np.array([len(ZONES) if one is None else ZONES.index(one) for one in zones], np.int64),
    )


def _places(
    around: Surroundings, geometries: Geometries, depth_m: Floats, surveyed: Bools
) -> tuple[Floats, Bools]:
    """Return how far from its charted place each thing may lie [CATZOC]_, and if that is stated."""
    rank = np.full(depth_m.size, UNZONED)
    rank[surveyed] = worst_rank(around, geometries[surveyed])
    place_m = np.zeros(depth_m.size)
    place_m[surveyed] = allowances_m(rank[surveyed], np.nan_to_num(depth_m[surveyed]))
    says = np.array([stated(zone) for zone in ZONES] + [False], np.bool_)
    return place_m, says[rank] | ~surveyed


def _trees(
    geometries: Geometries, place_m: Floats
) -> tuple[tuple[float, shapely.STRtree, Ints], ...]:
    """Return things by how far around strips they are looked for: the least that is enough."""
    widths_m = np.append(_WIDTHS_M, max(float(np.max(place_m, initial=0.0)), _WIDTHS_M[-1] + 1.0))
    step = np.searchsorted(widths_m, place_m)
    return tuple(
        (
            float(widths_m[one]),
            shapely.STRtree(geometries[step == one]),
            np.flatnonzero(step == one),
        )
        for one in np.unique(step).tolist()
    )


def _strips(ways: Sequence[Way]) -> tuple[Geometries, Ints]:
    """Return the water beside ways in areas, and which way each is of."""
    low = np.array([0.0 if way.arc is not None else way.low_m for way in ways])
    high = np.array([way.length_m if way.arc is not None else way.high_m for way in ways])
    step = np.array(
        [
            _STEP_M if way.arc is None else np.radians(_STEP_ON_ARC_DEG) * way.arc.radius_m
            for way in ways
        ]
    )
    count = np.maximum(1, np.ceil((high - low) / step)).astype(np.int64)
    way, place = numbered(count)
    each = ((high - low) / count)[way]
    start = low[way] + place * each
    return strip_areas(ways, way, start, start + each), way


def _worst_zone(bottom: _Bottom, strips: Geometries, of: Ints, count: int) -> Ints:
    """Return the number of the worst zone of confidence under each way, -1 where none is stated.

    It is stated where zones with a code lie under all of the way, and none without one.
    """
    found = np.full(count, -1, np.int64)
    if bottom.rank.size:
        row, zone = meets(bottom.zones, strips)
        np.maximum.at(found, of[row], bottom.rank[zone])
        found[found == len(ZONES)] = -1
        found[of[~shapely.is_empty(bare_of(bottom.zones, strips))]] = -1
    return found


def _without_depth(bottom: _Bottom, charted: Charted, strips: Geometries) -> Ints:
    """Return which strips are covered by charts somewhere where no depth area is charted."""
    coverage = charted.coverage[0]
    if coverage is None:
        return np.empty(0, np.int64)
    bare = bare_of(bottom.areas, strips)
    rows = np.flatnonzero(~shapely.is_empty(bare))
    if not rows.size:
        return rows
    charted_too = shapely.intersection(bare[rows], round_the_world(coverage, strips[rows]))
    return np.asarray(rows[~shapely.is_empty(shapely.buffer(charted_too, -SLIVER_DEG))], np.int64)
