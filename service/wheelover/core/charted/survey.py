"""How well the water beside each piece of the track was surveyed, by areas of quality."""

from collections.abc import Sequence
from weakref import WeakKeyDictionary

import numpy as np
import shapely

from wheelover.core.arrays import Ints, numbered
from wheelover.core.charted.accuracy import ZONES
from wheelover.core.charted.coverage import strip_areas
from wheelover.core.charted.water import bare_of, meets, whole_tree
from wheelover.core.types.charted import Charted, PieceSurvey, Way
from wheelover.core.units import NM_M

_KNOWN: WeakKeyDictionary[Charted, tuple[shapely.STRtree, shapely.STRtree]] = WeakKeyDictionary()

_STEP_M = 2.0 * NM_M
_STEP_ON_ARC_DEG = 10.0


def surveys_of(charted: Charted, ways: Sequence[Way]) -> tuple[PieceSurvey, ...]:
    """Return the zones of confidence of the charted water beside pieces of a track [CATZOC]_.

    Parameters
    ----------
    charted : Charted
        What the cells say.
    ways : sequence of Way
        The pieces, and how far to either side of each the water is looked at.

    Notes
    -----
    Whether a place has no zone is asked where a depth is charted: of land nobody states it.
    """
    if not ways:
        return ()
    strips, of = _strips(ways)
    zones, depths = _trees(charted)
    rank: list[set[int]] = [set() for _ in ways]
    row, zone = meets(zones, strips)
    for way, one in zip(of[row].tolist(), charted.quality_rank[zone].tolist(), strict=True):
        rank[way].add(one)
    bare = bare_of(zones, strips)
    rows = np.flatnonzero(~shapely.is_empty(bare))
    row, _ = meets(depths, bare[rows])
    for way in of[rows[row]].tolist():
        rank[way].add(len(ZONES))
    return tuple(
        PieceSurvey(
            piece=way.piece,
            zones=tuple(ZONES[one] for one in sorted(mine) if one < len(ZONES)),
            unzoned=len(ZONES) in mine,
        )
        for way, mine in zip(ways, rank, strict=True)
    )


def _trees(charted: Charted) -> tuple[shapely.STRtree, shapely.STRtree]:
    """Return the areas of quality and of depth ready to be asked, as long as the cells are used."""
    known = _KNOWN.get(charted)
    if known is None:
        zones = whole_tree(charted.quality, np.arange(charted.quality.size))
        known = _KNOWN[charted] = (zones, shapely.STRtree(charted.depth_areas))
    return known


def _strips(ways: Sequence[Way]) -> tuple[np.ndarray, Ints]:
    """Return the water beside ways in areas, and which way each is of."""
    low_m = np.array([0.0 if way.arc is not None else way.low_m for way in ways])
    high_m = np.array([way.length_m if way.arc is not None else way.high_m for way in ways])
    step_m = np.array(
        [
            _STEP_M if way.arc is None else np.radians(_STEP_ON_ARC_DEG) * way.arc.radius_m
            for way in ways
        ]
    )
    count = np.maximum(1, np.ceil((high_m - low_m) / step_m)).astype(np.int64)
    way, place = numbered(count)
    each_m = ((high_m - low_m) / count)[way]
    start_m = low_m[way] + place * each_m
    return strip_areas(ways, way, start_m, start_m + each_m), way
