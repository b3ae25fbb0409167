"""The boxes in which a planned track looks for dangers, and which others meet them."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import numpy as np

from wheelover.core.arrays import Bools, Floats
from wheelover.core.types.dangers import WATER_KINDS
from wheelover.core.units import NM_M

Document = dict[str, Any]

_TRACK = ("leg", "turn", "simulated_track", "contingency")
_MINUTES = 60.0


def search_boxes(result: Document) -> Floats:
    """Return the boxes around the stretches of a planned track, before any distance is added.

    Parameters
    ----------
    result : dict
        A plan as its document says it.

    Returns
    -------
    ndarray, shape (n, 4)
        South, west, north and east edge, degrees, of each stretch between two drawn vertices: a
        rhumb line keeps inside the box of its ends.
    """
    rows: list[tuple[float, float, float, float]] = []
    for feature in result["layers"]["features"]:
        if feature["properties"]["layer"] in _TRACK and feature["geometry"] is not None:
            for line in _lines(feature["geometry"]):
                rows.extend(_stretches(line))
    return np.array(rows, dtype=np.float64).reshape(-1, 4)


def _lines(geometry: Document) -> Iterator[list[list[float]]]:
    """Yield the lines of a geometry; what is cut at 180 degrees has several."""
    if geometry["type"] == "LineString":
        yield geometry["coordinates"]
    elif geometry["type"] == "MultiLineString":
        yield from geometry["coordinates"]


def _stretches(line: list[list[float]]) -> Iterator[tuple[float, float, float, float]]:
    """Yield the box of each stretch of a line of longitudes and latitudes."""
    for (lon_a, lat_a, *_), (lon_b, lat_b, *_) in pairwise(line):
        yield min(lat_a, lat_b), min(lon_a, lon_b), max(lat_a, lat_b), max(lon_a, lon_b)


def near_boxes(track: Floats, boxes: Floats, reach_m: Floats) -> Bools:
    """Return which boxes, widened by a reach, meet one of a track's.

    Parameters
    ----------
    track : ndarray, shape (n, 4)
        South, west, north and east edge of each stretch, degrees.
    boxes : ndarray, shape (m, 4)
        The same of what may be near; east may be beyond 180.
    reach_m : ndarray, shape (m,)
        How far beside it each counts, metres.

    Returns
    -------
    ndarray of bool, shape (m,)
        May be true for a box a little too far, never false for one within its reach.
    """
    up_deg = reach_m / NM_M / _MINUTES * 1.01  # a minute of latitude is 1,843 m at the equator
    south, north = boxes[:, 0] - up_deg, boxes[:, 2] + up_deg
    most_deg = np.minimum(np.maximum(np.abs(south), np.abs(north)), 89.9)
    middle_deg = (boxes[:, 1] + boxes[:, 3]) / 2.0
    half_deg = (boxes[:, 3] - boxes[:, 1]) / 2.0 + up_deg / np.cos(np.radians(most_deg))
    near = np.zeros(len(boxes), dtype=np.bool_)
    for low, left, high, right in track:
        apart_deg = np.abs(((left + right) / 2.0 - middle_deg + 180.0) % 360.0 - 180.0)
        beside = apart_deg <= half_deg + (right - left) / 2.0
        near |= beside & (low <= north) & (high >= south)
    return near


def wanted_clearance_m(inputs: Document, limit_set: Document | None = None) -> float:
    """Return the largest clearance that a plan, one of its legs or its limit set wants, metres.

    Parameters
    ----------
    inputs : dict
        A plan request.
    limit_set : dict or None
        The limit set that counts, as it is stored or answered; that of the inputs when None.
    """
    asking = asking_of(inputs, limit_set)
    wanted = [one.get("min_clearance_m") for one in asking]
    wanted += [m for one in asking for m in (one.get("min_clearance_by_class") or {}).values()]
    return max((float(one) for one in wanted if one is not None), default=0.0)


def asking_of(inputs: Document, limit_set: Document | None = None) -> list[Document]:
    """Return what asks something of a plan: its limits, its legs, each water of its limit set."""
    given = limit_set or inputs.get("limit_set") or {}
    return [
        inputs.get("limits") or {},
        *(one.get("leg") or {} for route in routes_of(inputs) for one in route["waypoints"]),
        *(given.get(kind) or {} for kind in WATER_KINDS),
    ]


def routes_of(inputs: Document) -> list[Document]:
    """Return the routes of a plan that are checked: its own, and those of its contingencies."""
    return [inputs["route"], *(one["route"] for one in inputs.get("contingencies") or [])]


def asked_by(document: Document) -> Document:
    """Return the inputs of a revision with the limit set that it was computed with."""
    limit_set = document["result"].get("limit_set") or document["inputs"].get("limit_set")
    return {**document["inputs"], "limit_set": limit_set}
