"""The dangers about a place, found without going through all of them.

What they are found by depends on the dangers alone, is made at the first question, and stays as
long as they do.
"""

import itertools
from dataclasses import dataclass
from operator import itemgetter
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from wheelover.core.arrays import Floats, Ints, as_floats, numbered, side_by_side
from wheelover.core.sweep.about_loop import BAND_KEY, boxes_loop
from wheelover.core.sweep.dangers import half_box_deg
from wheelover.core.types.chart import Hazards, Paths, Points

_BANDS_PER_DEG = 60.0
_FEW_PLACES = 300
"""Dangers of no more vertices than this are not cut: to go through all of them is quicker."""

_SMALL_DEG = 0.1
"""Paths in boxes no larger than this are sorted; the larger, of which few are, are gone through."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearby:
    """Dangers cut out of many: ``hazards`` holds those that ``numbers`` names, ascending.

    Of their points only those about the place need be there, of their paths all; names and words
    for shapes may be left out.
    """

    numbers: Ints
    hazards: Hazards


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sorted:
    """Places in bands of latitude by longitude: a key for each, ascending, and its number.

    Keys are degrees of longitude, and for each band more than a whole turn more.
    """

    key_deg: Floats
    number: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class _Where:
    """Where the dangers are: their points, the corners of small paths, and the large paths.

    ``by_hazard`` numbers the paths in the order of their dangers. ``widest_m`` is the largest
    limit of any danger's own and the largest uncertainty of a position.
    """

    points: _Sorted
    corners: _Sorted
    large: Ints
    south_deg: Floats
    north_deg: Floats
    by_hazard: Ints
    hazard_sorted: Ints
    widest_m: tuple[float, float]


_KNOWN: WeakKeyDictionary[Hazards, _Where] = WeakKeyDictionary()


def widest_each_m(hazards: Hazards, limit_m: Floats) -> Floats:
    """Return what ``widest_m`` returns for each of several limits."""
    own_m, unsure_m = _where(hazards).widest_m
    return np.maximum(limit_m, own_m) + unsure_m


def widest_m(hazards: Hazards, limit_m: float) -> float:
    """Return the most that any danger's limit and uncertainty come to together, or some more.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    limit_m : float
        The largest limit that is asked of those without one of their own.
    """
    return float(widest_each_m(hazards, as_floats(limit_m))[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """Points or paths by their number, m of them, each with the number of the place it is about.

    In ascending order of places, and of numbers about each.
    """

    place: Ints
    number: Ints

    def some(self, first: int, stop: int) -> "About":
        """Return what is about the places from one number up to another."""
        start, end = np.searchsorted(self.place, [first, stop]).tolist()
        return About(place=self.place[start:end], number=self.number[start:end])


def groups_of(
    hazards: Hazards, points: About, paths: About, count: int, most: int
) -> list[tuple[int, int]]:
    """Return from which place to which they are looked at together: memory is not without end.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    points, paths : About
        What is about the places.
    count : int
        How many places there are.
    most : int
        So many points and vertices are looked at together, and more where they are about one place.
    """
    starts = hazards.paths.starts
    vertices = starts[paths.number + 1] - starts[paths.number]
    if points.number.size + int(vertices.sum()) <= most:
        return [(0, count)]
    things = np.bincount(points.place, minlength=count) + np.bincount(
        paths.place, weights=vertices, minlength=count
    )
    group = np.floor(np.cumsum(things) / most)
    bounds = [0, *(np.flatnonzero(np.diff(group)) + 1).tolist(), count]
    return list(itertools.pairwise(bounds))


def things_about(
    hazards: Hazards, lat_deg: Floats, lon_deg: Floats, reach_m: Floats
) -> tuple[About, About]:
    """Return the points and the paths that may lie within reach of places, or hold them.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    lat_deg, lon_deg : ndarray, shape (n,)
        The places.
    reach_m : ndarray, shape (n,)
        How far around each.
    """
    where = _where(hazards)
    north_deg, east_deg = half_box_deg(lat_deg, reach_m)
    south, north, west = lat_deg - north_deg, lat_deg + north_deg, lon_deg - east_deg
    point = _in_boxes(where.points, (south, north), west, 2.0 * east_deg)
    corner = _in_boxes(
        where.corners, (south - _SMALL_DEG, north), west - _SMALL_DEG, 2.0 * east_deg + _SMALL_DEG
    )
    place, path = corner[:, 0], corner[:, 1]
    near = (where.south_deg[path] <= north[place]) & (where.north_deg[path] >= south[place])
    box, large = np.nonzero(
        (where.south_deg[where.large] <= north[:, None])
        & (where.north_deg[where.large] >= south[:, None])
    )
    paths = np.concatenate([corner[near], np.stack([box, where.large[large]], axis=1)])
    return _in_turn(point, hazards.points.count), _in_turn(paths, hazards.paths.count)


def _in_turn(rows: Ints, count: int) -> About:
    """Return rows of a place and a number below a count in their order."""
    key = rows[:, 0] * count + rows[:, 1]
    key.sort()
    place, number = np.divmod(key, max(count, 1))
    return About(place=place, number=number)


def hazards_about(hazards: Hazards, middle_deg: tuple[float, float], reach_m: float) -> Nearby:
    """Return the dangers that may have a part within reach of a place, or hold a place there.

    Parameters
    ----------
    hazards : Hazards
        The dangers, n of them.
    middle_deg : tuple of float
        Latitude and longitude of the place.
    reach_m : float
        How far around it.
    """
    where = _where(hazards)
    if hazards.points.count + hazards.paths.lat_deg.size <= _FEW_PLACES:
        north_deg = half_box_deg(middle_deg[0], as_floats(reach_m))[0].item()
        return _all_or_none(hazards, where, middle_deg[0] - north_deg, middle_deg[0] + north_deg)
    lat, lon = middle_deg
    points, paths = things_about(hazards, as_floats(lat), as_floats(lon), as_floats(reach_m))
    numbers = np.unique(
        np.concatenate([hazards.points.hazard[points.number], hazards.paths.hazard[paths.number]])
    )
    return Nearby(numbers=numbers, hazards=_cut_out(hazards, where, numbers, points.number))


def _all_or_none(hazards: Hazards, where: _Where, south_deg: float, north_deg: float) -> Nearby:
    """Return all dangers, or none where none reaches into the latitudes: quicker than to cut."""
    lat = hazards.points.lat_deg
    near = ((lat >= south_deg) & (lat <= north_deg)).any()
    if near or ((where.north_deg >= south_deg) & (where.south_deg <= north_deg)).any():
        return Nearby(numbers=np.arange(hazards.count, dtype=np.int64), hazards=hazards)
    nothing = np.empty(0, np.int64)
    return Nearby(numbers=nothing, hazards=_cut_out(hazards, where, nothing, nothing))


def _where(hazards: Hazards) -> _Where:
    """Return where dangers are, made at the first call."""
    known = _KNOWN.get(hazards)
    if known is None:
        known = _KNOWN[hazards] = _where_of(hazards)
    return known


def _where_of(hazards: Hazards) -> _Where:
    """Return where dangers are, made anew."""
    points, paths = hazards.points, hazards.paths
    first = paths.starts[:-1]
    if paths.count:
        south, north = (one.reduceat(paths.lat_deg, first) for one in (np.minimum, np.maximum))
        west, east = (one.reduceat(paths.lon_deg, first) for one in (np.minimum, np.maximum))
    else:
        south = north = west = east = np.empty(0)
    small = (north - south <= _SMALL_DEG) & (east - west <= _SMALL_DEG)
    # What runs over the meridian of 180 degrees is looked at as if it were large.
    small &= (west >= -180.0) & (east <= 180.0)
    by_hazard = np.argsort(paths.hazard, kind="stable")
    own_m = hazards.min_clearance_m[~np.isnan(hazards.min_clearance_m)]
    rows = np.flatnonzero(small)
    return _Where(
        points=_sorted(points.lat_deg, points.lon_deg, np.arange(points.count, dtype=np.int64)),
        corners=_sorted(south[rows], west[rows], rows),
        large=np.flatnonzero(~small),
        south_deg=south,
        north_deg=north,
        by_hazard=by_hazard,
        hazard_sorted=paths.hazard[by_hazard],
        widest_m=(
            float(np.max(own_m, initial=0.0)),
            float(np.max(hazards.position_uncertainty_m, initial=0.0)),
        ),
    )


def _sorted(lat_deg: Floats, lon_deg: Floats, number: Ints) -> _Sorted:
    """Return places with their numbers, sorted."""
    key = _band(lat_deg) * BAND_KEY + np.clip(lon_deg + 180.0, 0.0, 360.0)
    order = np.argsort(key)
    return _Sorted(key_deg=key[order], number=number[order])


def _band(lat_deg: Floats) -> Floats:
    """Return the bands of latitudes, one minute each."""
    return np.floor((np.clip(lat_deg, -91.0, 91.0) + 91.0) * _BANDS_PER_DEG)


def _in_boxes(
    places: _Sorted, between_deg: tuple[Floats, Floats], west_deg: Floats, width_deg: Floats
) -> Ints:
    """Return rows of the number of a box and that of a place in it, or of some beside it."""
    bands = (_band(one) for one in between_deg)
    return boxes_loop(places.key_deg, places.number, side_by_side(*bands, west_deg, width_deg))


def _cut_out(hazards: Hazards, where: _Where, numbers: Ints, point: Ints) -> Hazards:
    """Return the dangers of some numbers, with some of their points."""
    paths = hazards.paths
    starts = np.searchsorted(where.hazard_sorted, numbers)
    stops = np.searchsorted(where.hazard_sorted, numbers, side="right")
    which, place = numbered(stops - starts)
    path = np.sort(where.by_hazard[starts[which] + place])
    counts = paths.starts[path + 1] - paths.starts[path]
    of_path, place = numbered(counts)
    vertex = paths.starts[path[of_path]] + place
    points = hazards.points
    return Hazards(
        ids=_taken(hazards.ids, numbers),
        names=(),
        kinds=_taken(hazards.kinds, numbers),
        shapes=(),
        depth_m=hazards.depth_m[numbers],
        position_uncertainty_m=hazards.position_uncertainty_m[numbers],
        uncertainty_given=hazards.uncertainty_given[numbers],
        min_clearance_m=hazards.min_clearance_m[numbers],
        points=Points(
            hazard=np.searchsorted(numbers, points.hazard[point]),
            lat_deg=points.lat_deg[point],
            lon_deg=points.lon_deg[point],
        ),
        paths=Paths(
            hazard=np.searchsorted(numbers, paths.hazard[path]),
            area=paths.area[path],
            starts=np.concatenate([np.zeros(1, dtype=np.int64), np.cumsum(counts)]),
            lat_deg=paths.lat_deg[vertex],
            lon_deg=paths.lon_deg[vertex],
        ),
        classes=_taken(hazards.classes, numbers) if hazards.classes else (),
    )


def _taken(values: tuple[Any, ...], numbers: Ints) -> tuple[Any, ...]:
    """Return the values of some numbers."""
    if numbers.size < 2:
        return tuple(values[one] for one in numbers.tolist())
    return tuple(itemgetter(*numbers.tolist())(values))
