"""What lies under and around charted things: quality of survey, and depth areas."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.charted.accuracy import ZONES, zone_of
from wheelover.core.charted.attributes import number_of
from wheelover.core.charted.contour import shallower
from wheelover.core.charted.overlap import Objects
from wheelover.core.charted.widen import widened
from wheelover.core.types.cells import Geometries

SWING_OF_DEPTH = 3.0
"""Scope of a floating mark's chain over the depth [BuoySwing]_."""

UNZONED = len(ZONES)
"""Rank of a place without a zone of confidence: below the worst."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Areas of quality and depth areas of all cells, ready to be looked for.

    ``shallow_m`` and ``deep_m`` hold the ends of the range of each depth area, nan where unknown.
    """

    quality: Geometries
    rank: Ints
    depths: Geometries
    shallow_m: Floats
    deep_m: Floats


def surroundings_of(objects: Objects) -> Surroundings:
    """Return the areas of quality and the depth areas among objects.

    Parameters
    ----------
    objects : Objects
        What the cells chart, each where no larger scale does.
    """
    quality = objects.of_class("M_QUAL")
    zones = [zone_of(objects.attributes[row]) for row in quality]
    depths = objects.of_class("DEPARE", "DRGARE")
    depths = depths[shapely.get_dimensions(objects.geometries[depths]) == 2]
    ends = [
        [number_of(objects.attributes[row], name) for name in ("DRVAL1", "DRVAL2")]
        for row in depths
    ]
    range_m = np.array(ends, np.float64).reshape(-1, 2)
    return Surroundings(
        quality=_ready(objects.geometries[quality]),
        rank=np.array([UNZONED if one is None else ZONES.index(one) for one in zones], np.int64),
        depths=_ready(objects.geometries[depths]),
        shallow_m=range_m[:, 0],
        deep_m=range_m[:, 1],
    )


def _ready(geometries: Geometries) -> Geometries:
    """Return areas made ready to be asked many times."""
    shapely.prepare(geometries)
    return geometries


def pairs_with(
    areas: Geometries,
    geometries: Geometries,
    predicate: Literal["intersects", "covers"] = "intersects",
) -> tuple[Ints, Ints]:
    """Return which geometries meet which areas, or lie in them, as pairs of numbers.

    The areas are asked, being ready for it; the other way round takes many times as long.

    Parameters
    ----------
    areas : ndarray of geometries, shape (m,)
        Areas that are prepared.
    geometries : ndarray of geometries, shape (n,)
        What may meet them.
    predicate : {"intersects", "covers"}
        What an area does to a geometry of a pair.

    Returns
    -------
    of, area : ndarray, shape (pairs,)
        Numbers of geometries and of areas.
    """
    area, of = shapely.STRtree(geometries).query(areas, predicate=predicate)
    return of, area


def worst_rank(around: Surroundings, geometries: Geometries) -> Ints:
    """Return the number of the worst zone of confidence under each geometry, shape (n,).

    A zone that only shares a border with an area does not count; ``UNZONED`` where there is none.

    Parameters
    ----------
    around : Surroundings
        The areas of quality.
    geometries : ndarray of geometries, shape (n,)
        What is looked at.
    """
    found = np.full(geometries.size, -1, np.int64)
    if geometries.size and around.rank.size:
        of, zone = pairs_with(around.quality, geometries)
        areas = np.flatnonzero(shapely.get_dimensions(geometries[of]) > 0)
        edge = np.zeros(of.size, np.bool_)
        edge[areas] = shapely.touches(around.quality[zone[areas]], geometries[of[areas]])
        np.maximum.at(found, of[~edge], around.rank[zone[~edge]])
    return np.where(found < 0, UNZONED, found)


def swing_m(around: Surroundings, geometries: Geometries) -> Floats:
    """Return how far a floating mark may lie from its charted place, nan where no depth is charted.

    The scope of its chain is three times the deep end of the depth area it floats in, tide left
    out [BuoySwing]_.

    Parameters
    ----------
    around : Surroundings
        The depth areas.
    geometries : ndarray of points, shape (n,)
        Floating marks.
    """
    found_m = np.full(geometries.size, np.nan)
    if geometries.size:
        of, area = pairs_with(around.depths, geometries)
        depth_m = np.fmax(around.deep_m[area], around.shallow_m[area])
        for row, deep_m in zip(of.tolist(), depth_m.tolist(), strict=True):
            if not math.isnan(deep_m):
                found_m[row] = np.fmax(found_m[row], SWING_OF_DEPTH * max(deep_m, 0.0))
    return found_m


def deep_all_around(
    around: Surroundings, geometries: Geometries, within_m: Floats, wanted_m: float
) -> Bools:
    """Return whether all water under things, as far as their place is sure, is charted as deep.

    Parameters
    ----------
    around : Surroundings
        The depth areas.
    geometries : ndarray of geometries, shape (n,)
        Things whose own depth is not known.
    within_m : ndarray, shape (n,)
        How far from its charted place each may lie, metres.
    wanted_m : float
        Depth wanted, metres. A depth area whose shallow end is less or unknown does not prove
        anything, and neither does a place that no depth area covers.
    """
    found = np.zeros(geometries.size, np.bool_)
    if geometries.size == 0:
        return found
    places = widened(geometries, np.maximum(within_m, 0.5))
    of, area = pairs_with(around.depths, places)
    for row in range(geometries.size):
        under = area[of == row]
        shallow = any(
            shallower(None if math.isnan(one) else one, wanted_m)
            for one in around.shallow_m[under].tolist()
        )
        if under.size and not shallow:
            whole = shapely.union_all(around.depths[under])
            found[row] = bool(shapely.covers(whole, places[row]))
    return found
