"""Landmarks, cranes and the like that stand in the water: structures to keep off.

On land they are marks to look at. In the water the same objects are something to run into.
"""

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Ints
from wheelover.core.charted.attributes import codes_of
from wheelover.core.charted.classes import CLASSES
from wheelover.core.charted.overlap import Objects

_SAME_DEG = 2e-6
"""Charts give one position to what stands on one structure: to a decimetre or two."""

_NOT_INSTALLED = 1
_HOSTS = frozenset({"structure", "aid", "coast", "land", "overhead"})


def in_water(objects: Objects, of: Ints) -> Bools:
    """Return which of some objects stand in the water and on nothing else that is charted there.

    Parameters
    ----------
    objects : Objects
        What cells chart, each where no larger scale does.
    of : ndarray, shape (n,)
        The numbers of objects of rule ``standing`` or ``equipment``.

    Notes
    -----
    What lies wholly on a land area stands on land. Lights, signals and reflectors are equipment:
    where a structure, a mark, a bridge or a shore is charted at the same place that is what counts
    [S57A]_. A distance mark that is charted as not installed is none.
    """
    found = np.ones(of.size, np.bool_)
    if of.size == 0:
        return found
    shapes = objects.geometries[of]
    land = objects.of_class("LNDARE")
    land = land[shapely.get_dimensions(objects.geometries[land]) == 2]
    on_land, _ = shapely.STRtree(objects.geometries[land]).query(shapes, predicate="covered_by")
    found[on_land] = False
    equipment = np.flatnonzero([CLASSES[objects.classes[row]].rule == "equipment" for row in of])
    hosts = np.array(
        [row for row, name in enumerate(objects.classes) if _is_host(name)], dtype=np.int64
    )
    mounted, _ = shapely.STRtree(objects.geometries[hosts]).query(
        shapes[equipment], predicate="dwithin", distance=_SAME_DEG
    )
    found[equipment[mounted]] = False
    for number in equipment.tolist():
        row = int(of[number])
        if objects.classes[row] == "DISMAR" and _NOT_INSTALLED in codes_of(
            objects.attributes[row], "CATDIS"
        ):
            found[number] = False
    return found


def _is_host(name: str) -> bool:
    """Return whether equipment may be mounted on objects of a class."""
    row = CLASSES.get(name)
    if row is None or row.rule == "equipment":
        return False
    return row.rule == "standing" or row.danger_class in _HOSTS
