"""A leg, the dangers near a place of it and marks, in one plane: the first axis is her course."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, numbered
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import sin_cos_deg
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.chart import Hazards
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
    """Places of all dangers near a stretch, shape (n, 2): the danger of each, what is kept off.

    ``bare`` says of which no margin is asked: there only how unsure its place is is kept off.
    """

    places_m: Floats
    number: Ints
    off_m: Floats
    bare: Bools


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

    ``sought`` are rows of shapes past which lines are sought and ``others`` those of other dangers
    near it; ``off_m`` is what is kept off each of all shapes, and ``bare`` says of which no margin
    is asked. ``marks`` are the numbers of marks.
    """

    leg: PlannedLeg
    path: LegLine
    from_m: float
    to_m: float
    sought: Ints
    off_m: Floats
    bare: Bools
    marks: tuple[int, ...]
    others: Ints


def stretch_of(leg: PlannedLeg, near_m: tuple[float, float]) -> tuple[float, float]:
    """Return the stretch of a leg to look at for dangers that are abeam along another."""
    from_m = max(leg.track_from_m, min(near_m[0] - BESIDE_M, leg.track_to_m - 1.0))
    return from_m, max(min(leg.track_to_m, near_m[1] + BESIDE_M), from_m + 1.0)


def scenes_of(
    asked: Sequence[SceneAsked], shapes: "Shapes", marks_deg: tuple[Floats, Floats]
) -> list[Scene]:
    """Return stretches of legs, dangers and marks, each in a plane of its own, all at once.

    Parameters
    ----------
    asked : sequence of SceneAsked
        What is looked at.
    shapes : Shapes
        The dangers, of which the stretches name rows.
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
    near = [shapes.rows(np.concatenate([one.sought, one.others])) for one in asked]
    groups: list[tuple[int, Floats, Floats]] = []
    for number, (one, shape, lat, lon) in enumerate(zip(asked, near, *parts[1:], strict=True)):
        groups += [(number, lat, lon), (number, shape.lat_deg, shape.lon_deg)]
        which = np.array(one.marks, dtype=np.int64)
        groups.append((number, marks_deg[0][which], marks_deg[1][which]))
    places = _in_planes(frames, groups)
    return [
        Scene(
            leg=one.leg,
            frame=frame,
            along_m=along,
            track_m=track_m,
            dangers=_dangers(one, shape, shapes_m, track_m),
            marks=one.marks,
            marks_m=marks_m,
            around=_around(one, shape, shapes_m),
        )
        for one, frame, along, shape, track_m, shapes_m, marks_m in zip(
            asked, frames, parts[0], near, places[0::3], places[1::3], places[2::3], strict=True
        )
    ]


def _dangers(
    asked: SceneAsked, shapes: "Shapes", places_m: Floats, track_m: Floats
) -> tuple[Danger, ...]:
    """Return the dangers past which lines are sought, the first of the shapes near a stretch."""
    bounds = shapes.starts.tolist()
    return tuple(
        _danger(
            int(shapes.hazard[row]),
            places_m[bounds[row] : bounds[row + 1]],
            shapes.joins[bounds[row] : bounds[row + 1]],
            float(asked.off_m[which]),
            track_m,
        )
        for row, which in enumerate(asked.sought.tolist())
    )


def _around(asked: SceneAsked, shapes: "Shapes", places_m: Floats) -> Around:
    """Return the vertices of dangers and places along their edges."""
    ends = np.flatnonzero(shapes.joins)
    from_m = places_m[ends - 1]
    run = places_m[ends] - from_m
    row, step = numbered(np.ceil(np.hypot(run[:, 0], run[:, 1]) / PLACES_M).astype(np.int64))
    between_m = from_m[row] + run[row] * (step * PLACES_M / np.maximum(
        np.hypot(run[row, 0], run[row, 1]), PLACES_M
    ))[:, None]  # fmt: skip
    of_vertex, _ = numbered(np.diff(shapes.starts))
    of_place = np.concatenate([of_vertex, of_vertex[ends[row]]])
    rows = np.concatenate([asked.sought, asked.others])
    return Around(
        places_m=np.concatenate([places_m, between_m]),
        number=shapes.hazard[of_place],
        off_m=asked.off_m[rows[of_place]],
        bare=asked.bare[rows[of_place]],
    )


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
class Shapes:
    """Dangers with their vertices behind one another, in degrees.

    ``hazard`` has the number of each danger and ``starts`` where its vertices begin, and at last
    where they end. ``joins`` says of a vertex whether an edge leads to it from the one before.
    """

    hazard: Ints
    starts: Ints
    lat_deg: Floats
    lon_deg: Floats
    joins: Bools

    def rows(self, which: Ints) -> "Shapes":
        """Return the dangers of the given rows."""
        count = np.diff(self.starts)[which]
        row, place = numbered(count)
        vertex = self.starts[which][row] + place
        return Shapes(
            hazard=self.hazard[which],
            starts=np.append(0, np.cumsum(count)),
            lat_deg=self.lat_deg[vertex],
            lon_deg=self.lon_deg[vertex],
            joins=self.joins[vertex],
        )


def shapes_of(hazards: Hazards, which: Ints) -> Shapes:
    """Return the shapes of some dangers, in the order of their numbers."""
    points, paths = hazards.points, hazards.paths
    single = np.flatnonzero(np.isin(points.hazard, which))
    lines = np.flatnonzero(np.isin(paths.hazard, which))
    row, place = numbered(np.diff(paths.starts)[lines])
    vertex = paths.starts[lines][row] + place
    hazard = np.concatenate([points.hazard[single], paths.hazard[lines][row]])
    order = np.argsort(hazard, kind="stable")
    numbers = np.unique(which)
    return Shapes(
        hazard=numbers,
        starts=np.searchsorted(hazard[order], np.append(numbers, numbers[-1:] + 1)),
        lat_deg=np.concatenate([points.lat_deg[single], paths.lat_deg[vertex]])[order],
        lon_deg=np.concatenate([points.lon_deg[single], paths.lon_deg[vertex]])[order],
        joins=np.concatenate([np.zeros(single.size, np.bool_), place > 0])[order],
    )


def _danger(
    number: int, places_m: Floats, joins: Bools, radius_m: float, track_m: Floats
) -> Danger:
    """Return a danger in the plane from the places of its vertices."""
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
