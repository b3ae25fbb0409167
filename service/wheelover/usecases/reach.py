"""What a change must touch to count for a plan: the water it looks at and the things it names."""

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from wheelover.core.arrays import Bools, Floats
from wheelover.core.sweep.window import SEARCH_BACK_M, SEARCH_ON_LENGTHS
from wheelover.core.swing import is_floating, swing_m
from wheelover.core.units import NM_M
from wheelover.store.charts import ChartEdition
from wheelover.usecases.chart_boxes import beside_m
from wheelover.usecases.search_boxes import (
    asked_by,
    near_boxes,
    search_boxes,
    wanted_clearance_m,
)

Document = dict[str, Any]

_NAMING = (
    "hazard_id",
    "mark_id",
    "to_mark_id",
    "front_mark_id",
    "rear_mark_id",
    "area_id",
    "object_id",
    "index_mark_ids",
    "clearing_mark_ids",
    "cue_ids",
)
"""Members of inputs and result that name a thing which a plan hangs on, near or far."""

_LOOKED = ("half_width_m", "search_m")
"""Members of a result that say how far beside the track charts and coast were looked at."""

_SAME_PLACE_M = 100.0
_HULLS_COUNT = 2.0
"""So many of her lengths the box about her hull may reach beside the run of her midships."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What a plan looks at: boxes of its track, how far beside them, and what it names.

    ``beside_m`` is the farthest that any check looks beside the track: where dangers are listed,
    cross-track limits, the run with a late helm, wheel-overs that the window tries, the water that
    she turns round in. What is asked of a danger, ``wanted_m`` or its own, comes on top;
    ``least_m`` is how far charts and coast were looked at in all. ``places`` are the boxes of marks
    that the plan uses, ``names`` the ids of all that it names.
    """

    track: Floats
    places: Floats
    beside_m: float
    least_m: float
    wanted_m: float
    names: frozenset[str]

    def holds(self, boxes: Floats, more_m: Floats) -> Bools:
        """Return which boxes the plan looks at; one too many perhaps, never one too few.

        Parameters
        ----------
        boxes : ndarray, shape (n, 4)
            South, west, north and east edge of each, degrees.
        more_m : ndarray, shape (n,)
            How far beside the water that is looked at each counts.
        """
        within_m = np.maximum(self.beside_m + more_m, self.least_m)
        near = near_boxes(self.track, boxes, within_m)
        return near | near_boxes(self.places, boxes, np.full(len(boxes), _SAME_PLACE_M))

    def heights(self) -> tuple[float, float]:
        """Return the latitudes between which anything within reach lies, degrees."""
        boxes = np.concatenate([self.track, self.places])
        if not len(boxes):
            return 90.0, -90.0
        most_m = max(self.beside_m + self.wanted_m, self.least_m)
        beside_deg = most_m / NM_M / 60.0 * 1.01
        return float(boxes[:, 0].min()) - beside_deg, float(boxes[:, 2].max()) + beside_deg

    def touched_of(self, cells: Sequence[ChartEdition]) -> list[ChartEdition]:
        """Return those cells whose box comes within reach."""
        if not cells:
            return []
        sides = [[one.south_deg, one.west_deg, one.north_deg, one.east_deg] for one in cells]
        held = self.holds(np.array(sides), np.full(len(cells), self.wanted_m)).tolist()
        return [one for one, is_held in zip(cells, held, strict=True) if is_held]


def reach_of(document: Document) -> Reach:
    """Return what a plan looks at.

    Parameters
    ----------
    document : dict
        The plan as a frozen revision holds it: inputs, what they point at, result.
    """
    inputs, result = asked_by(document), document["result"]
    told = list(_members([inputs, result]))
    hull_m = _HULLS_COUNT * _length_m(document)
    ran_m = max(_run_m(one, hull_m) for one in told)
    return Reach(
        track=search_boxes(result),
        places=_places(result),
        beside_m=max(beside_m(inputs), SEARCH_BACK_M + hull_m, ran_m),
        least_m=max(float(one.get(width) or 0.0) for one in told for width in _LOOKED),
        wanted_m=wanted_clearance_m(inputs),
        names=frozenset(tail for one in told for name in _named(one) for tail in _tails(name)),
    )


def _members(value: Any) -> Iterator[Document]:
    """Yield every object within JSON values; what is drawn and typed dangers name nothing."""
    waiting = [value]
    while waiting:
        one = waiting.pop()
        if isinstance(one, dict):
            yield one
            waiting.extend(
                part
                for name, part in one.items()
                if name not in ("layers", "hazards") and isinstance(part, (dict, list))
            )
        elif isinstance(one, list):
            waiting.extend(part for part in one if isinstance(part, (dict, list)))


def _length_m(document: Document) -> float:
    """Return the length of the ship of a plan, zero where none is given."""
    stored = (document.get("loaded") or {}).get("ship") or {}
    ship = document["inputs"].get("ship") or stored.get("ship") or {}
    return float(ship.get("loa_m") or 0.0)


def _run_m(one: Document, hull_m: float) -> float:
    """Return how far from the track a part of a result lets her run, zero where it does not."""
    found = [0.0]
    if one.get("run_on_m"):
        found.append(float(one["run_on_m"]) + hull_m)
    if one.get("ahead_m") is not None and one.get("aside_m") is not None:
        found.append(math.hypot(one["ahead_m"], one["aside_m"]) + hull_m)
    planned = one.get("planned")
    if isinstance(planned, dict) and planned.get("distance_nm"):
        # The window tries wheel-overs on to some lengths beyond the waypoint.
        on_m = SEARCH_ON_LENGTHS / _HULLS_COUNT * hull_m
        found.append(float(planned["distance_nm"]) * NM_M + on_m + hull_m)
    return max(found)


def _named(one: Document) -> Iterator[str]:
    """Yield the ids that one part of inputs or result names."""
    for member in _NAMING:
        given = one.get(member)
        for name in given if isinstance(given, list) else (given,):
            if isinstance(name, str):
                yield name


def _tails(name: str) -> Iterator[str]:
    """Yield an id, and without each word before it: a cue's kind, a hazard set, a cell."""
    yield name
    while "/" in name:
        name = name.partition("/")[2]
        yield name


def _places(result: Document) -> Floats:
    """Return the boxes of the marks that a plan lists: what stands at one place is one mark."""
    rows = (result.get("marks") or {}).get("rows") or ()
    found = [(one["position"]["lat_deg"], one["position"]["lon_deg"]) for one in rows]
    return np.array([(lat, lon, lat, lon) for lat, lon in found], dtype=np.float64).reshape(-1, 4)


def met_dangers(reach: Reach, features: Iterable[tuple[str, Document]]) -> list[Document]:
    """Return those dangers that a plan looks at or names; one too many perhaps.

    Parameters
    ----------
    reach : Reach
        Of the plan.
    features : iterable of tuple
        Dangers as GeoJSON features, each with the id that a plan knows it by.
    """
    given = list(features)
    if not given:
        return []
    boxes = np.array([_box(one["geometry"]["coordinates"]) for _, one in given])
    more_m = np.array([_more_m(one, reach.wanted_m) for _, one in given])
    held = reach.holds(boxes, more_m).tolist()
    return [
        one
        for (name, one), is_held in zip(given, held, strict=True)
        if is_held or name in reach.names
    ]


def _more_m(feature: Document, wanted_m: float) -> float:
    """Return how far beside the water that is looked at a danger counts, metres."""
    properties = feature.get("properties") or {}
    unsure_m = properties.get("position_uncertainty_m")
    if unsure_m is None and is_floating(properties.get("kind")):
        unsure_m = swing_m(float(properties.get("depth_m") or 0.0))
    own_m = float(properties.get("min_clearance_m") or 0.0)
    return max(wanted_m, own_m) + float(unsure_m or 0.0)


def _box(coordinates: Any) -> tuple[float, float, float, float]:
    """Return the box around a geometry: south, west, north and east edge, degrees."""
    corners = np.array(list(_corners(coordinates)), dtype=np.float64)
    (west, south), (east, north) = corners.min(axis=0), corners.max(axis=0)
    return float(south), float(west), float(north), float(east)


def _corners(coordinates: Any) -> Iterator[tuple[float, float]]:
    """Yield the positions of a geometry, however deep its lists are."""
    if coordinates and isinstance(coordinates[0], (int, float)):
        yield float(coordinates[0]), float(coordinates[1])
        return
    for part in coordinates:
        yield from _corners(part)


def known_as(features: Collection[Document]) -> list[tuple[str, Document]]:
    """Return dangers with the ids that a plan knows them by: their own, else their place."""
    found = []
    for index, one in enumerate(features):
        own = (one.get("properties") or {}).get("id")
        name = one.get("id") if own is None else own
        found.append((f"danger-{index + 1}" if name is None else str(name), one))
    return found
