"""A leg, the dangers near a place of it and marks, in one plane: the first axis is her course."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import sin_cos_deg
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.chart import Hazards, Paths, Points
from wheelover.core.types.track import LegLine, PlannedLeg
from wheelover.core.units import NM_M

BESIDE_M = 2.0 * NM_M
"""So far before and after a danger the track is looked at."""

PLACES_M = 100.0
"""Edges of dangers are looked at in steps of so much."""

_STEP_M = 0.1 * NM_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The plane about a place of a leg.

    Places have shape (n, 2): metres ahead along the course there, and to starboard of it.
    Distances and directions are those of the ellipsoid to some centimetres within ten miles.
    """

    lat_deg: float
    lon_deg: float
    course_deg: float


def positions_of(frames: Sequence[Frame], places_m: Floats) -> tuple[Floats, Floats]:
    """Return places in planes, one in each, as positions, shape (n,)."""
    middles = np.array([(one.lat_deg, one.lon_deg, one.course_deg) for one in frames]).T
    towards_deg = np.degrees(np.arctan2(places_m[:, 1], places_m[:, 0]))
    away_m = np.hypot(places_m[:, 0], places_m[:, 1])
    lat, lon, _ = geodesic.direct(middles[0], middles[1], middles[2] + towards_deg, away_m)
    return lat, lon


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """A danger in the plane: vertices (n, 2), edges (k, 2, 2), and what is kept off all of it.

    ``side`` says on which side of the course it lies: 1 starboard, -1 port, 0 on both. ``rows`` are
    the places of the track beside it.
    """

    number: int
    vertices_m: Floats
    edges_m: Floats
    radius_m: float
    side: int
    rows: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """Places of all dangers near a stretch, shape (n, 2): the danger of each, what is kept off."""

    places_m: Floats
    number: Ints
    off_m: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A stretch of a leg with the dangers and the marks near it, in one plane.

    ``along_m`` says where the places ``track_m`` of its track are; ``marks`` numbers the marks and
    ``marks_m`` says where they are. Lines are sought past ``dangers``, and ``around`` holds these
    and all others.
    """

    leg: PlannedLeg
    frame: Frame
    along_m: Floats
    track_m: Floats
    dangers: tuple[Danger, ...]
    marks: tuple[int, ...]
    marks_m: Floats
    around: Around


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneAsked:
    """A stretch of a leg to be looked at, as ``stretch_of`` gives it, and what is near it.

    ``shapes`` holds dangers by number with their shapes and what is kept off each, ``others`` the
    same of those past which no line is sought, ``marks`` the numbers of marks.
    """

    leg: PlannedLeg
    path: LegLine
    from_m: float
    to_m: float
    shapes: tuple[tuple[int, "Shape", float], ...]
    marks: tuple[int, ...]
    others: tuple[tuple[int, "Shape", float], ...] = ()

    @property
    def every(self) -> tuple[tuple[int, "Shape", float], ...]:
        """Return all dangers, those past which lines are sought first."""
        return (*self.shapes, *self.others)


def stretch_of(leg: PlannedLeg, near_m: tuple[float, float]) -> tuple[float, float]:
    """Return the stretch of a leg to look at for dangers that are abeam along another."""
    from_m = max(leg.track_from_m, min(near_m[0] - BESIDE_M, leg.track_to_m - 1.0))
    return from_m, max(min(leg.track_to_m, near_m[1] + BESIDE_M), from_m + 1.0)


def scenes_of(asked: Sequence[SceneAsked], marks_deg: tuple[Floats, Floats]) -> list[Scene]:
    """Return stretches of legs, dangers and marks, each in a plane of its own, all at once.

    Parameters
    ----------
    asked : sequence of SceneAsked
        What is looked at.
    marks_deg : tuple of ndarray, shape (n,)
        Latitudes and longitudes of all marks.
    """
    if not asked:
        return []
    legs = in_columns([one.path for one in asked])
    middle_m = np.array([(one.from_m + one.to_m) / 2.0 for one in asked])
    frames = [
        Frame(lat_deg=lat, lon_deg=lon, course_deg=course)
        for lat, lon, course in zip(
            *(one.tolist() for one in points_along(legs, middle_m)), strict=True
        )
    ]
    spans_m = np.array([one.to_m - one.from_m for one in asked])
    counts = np.ceil(spans_m / _STEP_M).astype(np.int64) + 1
    row, place = numbered(counts)
    along_m = np.array([one.from_m for one in asked])[row] + place * (spans_m / (counts - 1))[row]
    tracks = points_along(legs.rows(row), along_m)[:2]
    parts = [np.split(one, np.cumsum(counts)[:-1]) for one in (along_m, *tracks)]
    groups: list[tuple[int, Floats, Floats]] = []
    for number, (one, lat, lon) in enumerate(zip(asked, *parts[1:], strict=True)):
        groups.append((number, lat, lon))
        groups += [(number, shape.lat_deg, shape.lon_deg) for _, shape, _ in one.every]
        which = np.array(one.marks, dtype=np.int64)
        groups.append((number, marks_deg[0][which], marks_deg[1][which]))
    places = iter(_in_planes(frames, groups))
    found = []
    for one, frame, along in zip(asked, frames, parts[0], strict=True):
        track_m = next(places)
        dangers = tuple(
            _danger(which, next(places), shape, off_m, track_m) for which, shape, off_m in one.every
        )
        found.append(
            Scene(
                leg=one.leg,
                frame=frame,
                along_m=along,
                track_m=track_m,
                dangers=dangers[: len(one.shapes)],
                marks=one.marks,
                marks_m=next(places),
                around=_around(dangers),
            )
        )
    return found


def _around(dangers: Sequence[Danger]) -> Around:
    """Return places of dangers, along their edges as well."""
    each = [_places_of(one) for one in dangers]
    counts = [len(one) for one in each]
    return Around(
        places_m=np.concatenate(each) if each else np.empty((0, 2)),
        number=np.repeat(np.array([one.number for one in dangers], np.int64), counts),
        off_m=np.repeat(np.array([one.radius_m for one in dangers], np.float64), counts),
    )


def _places_of(danger: Danger) -> Floats:
    """Return the vertices of a danger and places along its edges."""
    edges = danger.edges_m
    if not edges.size:
        return danger.vertices_m
    run = edges[:, 1] - edges[:, 0]
    row, step = numbered(np.ceil(np.hypot(run[:, 0], run[:, 1]) / PLACES_M).astype(np.int64))
    places = edges[row, 0] + run[row] * (step * PLACES_M / np.maximum(
        np.hypot(run[row, 0], run[row, 1]), PLACES_M
    ))[:, None]  # fmt: skip
    return np.concatenate([danger.vertices_m, places])


def _in_planes(
    frames: Sequence[Frame], groups: Sequence[tuple[int, Floats, Floats]]
) -> list[Floats]:
    """Return groups of positions as places in the planes of the given numbers, shape (n, 2)."""
    counts = [lat.size for _, lat, _ in groups]
    which = np.repeat([number for number, _, _ in groups], counts)
    middles = np.array([(one.lat_deg, one.lon_deg, one.course_deg) for one in frames])[which].T
    lat = np.concatenate([one for _, one, _ in groups])
    lon = np.concatenate([one for _, _, one in groups])
    azimuth, _, away = geodesic.inverse(middles[0], middles[1], lat, lon)
    sine, cosine = sin_cos_deg(azimuth - middles[2])
    return np.split(np.stack([away * cosine, away * sine], axis=1), np.cumsum(counts)[:-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The vertices of a danger in degrees; ``starts`` are the first of each line or ring of it."""

    lat_deg: Floats
    lon_deg: Floats
    starts: Ints


def shapes_of(hazards: Hazards, which: Ints) -> dict[int, Shape]:
    """Return the shapes of some dangers by their numbers."""
    wanted = np.unique(which)
    points, paths = hazards.points, hazards.paths
    of_points = _by_danger(points.hazard, wanted)
    of_paths = _by_danger(paths.hazard, wanted)
    return {one: _shape(points, of_points[one], paths, of_paths[one]) for one in wanted.tolist()}


def _by_danger(hazard: Ints, wanted: Ints) -> dict[int, Ints]:
    """Return the rows of each of some dangers."""
    rows = np.flatnonzero(np.isin(hazard, wanted))
    rows = rows[np.argsort(hazard[rows], kind="stable")]
    bounds = np.searchsorted(hazard[rows], [wanted, wanted + 1])
    return {
        one: rows[first:last]
        for one, first, last in zip(wanted.tolist(), *bounds.tolist(), strict=True)
    }


def _shape(points: Points, single: Ints, paths: Paths, lines: Ints) -> Shape:
    """Return the shape of a danger from the rows of its points and of its lines and rings."""
    lat, lon = [points.lat_deg[single]], [points.lon_deg[single]]
    starts = list(range(single.size))
    count = single.size
    for one in lines.tolist():
        first, last = int(paths.starts[one]), int(paths.starts[one + 1])
        lat.append(paths.lat_deg[first:last])
        lon.append(paths.lon_deg[first:last])
        starts.append(count)
        count += last - first
    return Shape(
        lat_deg=np.concatenate(lat),
        lon_deg=np.concatenate(lon),
        starts=np.array(starts, dtype=np.int64),
    )


def _danger(
    number: int, places_m: Floats, shape: Shape, radius_m: float, track_m: Floats
) -> Danger:
    """Return a danger in the plane from the places_m of its vertices."""
    joins = np.ones(len(places_m), np.bool_)
    joins[shape.starts] = False
    ends = np.flatnonzero(joins)
    ahead, right = places_m[:, 0], places_m[:, 1]
    least, most = float(np.min(right)), float(np.max(right))
    return Danger(
        number=number,
        vertices_m=places_m,
        edges_m=np.stack([places_m[ends - 1], places_m[ends]], axis=1),
        radius_m=radius_m,
        side=1 if least > 0.0 else (-1 if most < 0.0 else 0),
        rows=_beside(
            track_m[:, 0],
            float(np.min(ahead)) - radius_m - _STEP_M,
            float(np.max(ahead)) + radius_m + _STEP_M,
        ),
    )


def _beside(ahead_m: Floats, low_m: float, high_m: float) -> Ints:
    """Return the places of the track beside a danger; the nearest where none is abeam."""
    rows = np.flatnonzero((ahead_m >= low_m) & (ahead_m <= high_m))
    if rows.size:
        return rows
    return np.array([int(np.argmin(np.abs(ahead_m - (low_m + high_m) / 2.0)))])
