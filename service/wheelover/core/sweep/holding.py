"""Which dangers hold a place inside an area."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, as_floats
from wheelover.core.sweep.about import About
from wheelover.core.sweep.dangers import edge_starts, half_box_deg
from wheelover.core.sweep.parts_loop import crossings_loop
from wheelover.core.types.chart import Hazards, Paths


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaEdges:
    """Edges of areas that reach into a band of latitude, for asking which areas hold a place.

    ``first`` is the vertex at which each begins, among those of ``paths``.
    """

    hazard: Ints
    area: Ints
    first: Ints
    paths: Paths


def area_edges(hazards: Hazards, middle_lat_deg: float, reach_m: float) -> AreaEdges:
    """Return the edges of areas that reach into the latitudes about a place.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    middle_lat_deg : float
        The latitude.
    reach_m : float
        How far north and south of it places will be asked about.
    """
    paths = hazards.paths
    begin, path = edge_starts(paths)
    ring = (paths.area[path] >= 0) & (begin + 1 < paths.starts[path + 1])
    begin, path = begin[ring], path[ring]
    band_deg = half_box_deg(middle_lat_deg, as_floats(reach_m))[0].item()
    one, other = paths.lat_deg[begin], paths.lat_deg[begin + 1]
    near = (np.minimum(one, other) <= middle_lat_deg + band_deg) & (
        np.maximum(one, other) >= middle_lat_deg - band_deg
    )
    begin, path = begin[near], path[near]
    return AreaEdges(hazard=paths.hazard[path], area=paths.area[path], first=begin, paths=paths)


def dangers_holding(edges: AreaEdges, lat_deg: float, lon_deg: float) -> Ints:
    """Return the dangers whose areas hold a place, each once, in ascending order.

    Parameters
    ----------
    edges : AreaEdges
        The areas' edges about its latitude.
    lat_deg, lon_deg : float
        The place.
    """
    _, hazard = _holding(
        _Rings(
            place=np.zeros(edges.first.size, np.int64),
            area=edges.area,
            hazard=edges.hazard,
            first=edges.first,
            last=edges.first + 1,
        ),
        edges.paths,
        as_floats(lat_deg),
        as_floats(lon_deg),
    )
    return hazard


def dangers_holding_each(
    paths: Paths, about: About, lat_deg: Floats, lon_deg: Floats
) -> tuple[Ints, Ints]:
    """Return the places that areas of dangers hold, and the dangers, each pair once and in order.

    Parameters
    ----------
    paths : Paths
        The paths of the dangers.
    about : About
        The paths about each place, with all rings that may hold it.
    lat_deg, lon_deg : ndarray, shape (n,)
        The places.
    """
    ring = np.flatnonzero(paths.area[about.number] >= 0)
    path = about.number[ring]
    return _holding(
        _Rings(
            place=about.place[ring],
            area=paths.area[path],
            hazard=paths.hazard[path],
            first=paths.starts[path],
            last=paths.starts[path + 1] - 1,
        ),
        paths,
        lat_deg,
        lon_deg,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rings:
    """Edges behind one another in rows: their ends, their area and danger, and what place is asked.

    The rows of one place follow one another, and of those the rows of one area.
    """

    place: Ints
    area: Ints
    hazard: Ints
    first: Ints
    last: Ints


def _holding(rings: _Rings, paths: Paths, lat_deg: Floats, lon_deg: Floats) -> tuple[Ints, Ints]:
    """Return the pairs of place and danger of which an area of the danger holds the place.

    A line due east of the place crosses the rings of an area that holds it an odd number of times;
    a hole is outside [RFC7946]_. On the meridian of 180 degrees both sides are asked.
    """
    none = np.empty(0, np.int64)
    if rings.place.size == 0:
        return none, none
    new = (np.diff(rings.area) != 0) | (np.diff(rings.place) != 0)
    starts = np.concatenate([[0], np.flatnonzero(new) + 1])
    held = np.zeros(starts.size, np.bool_)
    turned = np.abs(lon_deg) == 180.0
    for lon in (lon_deg, np.where(turned, -lon_deg, lon_deg)) if turned.any() else (lon_deg,):
        crossings = crossings_loop(
            np.ascontiguousarray(paths.lat_deg), np.ascontiguousarray(paths.lon_deg),
            rings.first, rings.last, lat_deg[rings.place], lon[rings.place],
        )  # fmt: skip
        held |= np.add.reduceat(crossings, starts) % 2 == 1
    rows = starts[held]
    if not rows.size:
        return none, none
    both = np.unique(np.stack([rings.place[rows], rings.hazard[rows]], axis=1), axis=0)
    return both[:, 0].copy(), both[:, 1].copy()
