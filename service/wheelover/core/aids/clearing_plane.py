"""A leg, the dangers near a place of it and marks, in one plane: the first axis is her course."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.geo.angles import sin_cos_deg
from wheelover.core.geo.plane import from_plane_deg, to_plane_m
from wheelover.core.legs import points_along
from wheelover.core.types.chart import Hazards, Paths, Points
from wheelover.core.types.track import LegLine, PlannedLeg
from wheelover.core.units import NM_M

BESIDE_M = 2.0 * NM_M
"""So far before and after a danger the track is looked at."""

_STEP_M = 0.1 * NM_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The plane about a place of a leg.

    Places have shape (n, 2): metres ahead along the course there, and to starboard of it.
    Distances and directions are those of the ellipsoid to some centimetres within ten miles.
    """

    middle_deg: tuple[float, float]
    course_deg: float

    def places_m(self, lat_deg: Floats, lon_deg: Floats) -> Floats:
        """Return positions as places in the plane."""
        east_north = to_plane_m(self.middle_deg, lat_deg, lon_deg)
        sine, cosine = sin_cos_deg(self.course_deg)
        east, north = east_north[:, 0], east_north[:, 1]
        return np.stack([north * cosine + east * sine, east * cosine - north * sine], axis=1)

    def positions_deg(self, places_m: Floats) -> tuple[Floats, Floats]:
        """Return places in the plane as positions."""
        sine, cosine = sin_cos_deg(self.course_deg)
        ahead, right = places_m[:, 0], places_m[:, 1]
        east_north = np.stack(
            [ahead * sine + right * cosine, ahead * cosine - right * sine], axis=1
        )
        return from_plane_deg(self.middle_deg, east_north)


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """A danger in the plane: vertices (n, 2), edges (k, 2, 2), and what is kept off all of it."""

    number: int
    vertices_m: Floats
    edges_m: Floats
    radius_m: float

    @property
    def side(self) -> int:
        """Return on which side of the course it lies: 1 starboard, -1 port, 0 on both."""
        right = self.vertices_m[:, 1]
        if bool(np.all(right > 0.0)):
            return 1
        return -1 if bool(np.all(right < 0.0)) else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A stretch of a leg with the dangers near it. ``along_m`` says where its places are."""

    leg: PlannedLeg
    frame: Frame
    along_m: Floats
    track_m: Floats
    dangers: tuple[Danger, ...]

    def beside(self, danger: Danger) -> Ints:
        """Return the places of the track beside a danger; the nearest where none is abeam."""
        low_m = float(np.min(danger.vertices_m[:, 0])) - danger.radius_m - _STEP_M
        high_m = float(np.max(danger.vertices_m[:, 0])) + danger.radius_m + _STEP_M
        ahead = self.track_m[:, 0]
        rows = np.flatnonzero((ahead >= low_m) & (ahead <= high_m))
        if rows.size:
            return rows
        return np.array([int(np.argmin(np.abs(ahead - (low_m + high_m) / 2.0)))])


def scene_of(
    leg: PlannedLeg,
    path: LegLine,
    near_m: tuple[float, float],
    shapes: Sequence[tuple[int, "Shape", float]],
) -> Scene:
    """Return a stretch of a leg and the dangers near it in one plane.

    Parameters
    ----------
    leg : PlannedLeg
        A leg.
    path : LegLine
        Its line.
    near_m : tuple of float
        From where to where along it dangers are abeam.
    shapes : sequence of (int, Shape, float)
        The dangers by number, their shapes, and what is to be kept off each.
    """
    from_m = max(leg.track_from_m, near_m[0] - BESIDE_M)
    to_m = max(min(leg.track_to_m, near_m[1] + BESIDE_M), from_m + 1.0)
    middle_m = min(max((near_m[0] + near_m[1]) / 2.0, from_m), to_m)
    count = int(np.ceil((to_m - from_m) / _STEP_M)) + 1
    along_m = np.append(np.linspace(from_m, to_m, count), middle_m)
    lat, lon, course = points_along(path, along_m)
    frame = Frame(middle_deg=(float(lat[-1]), float(lon[-1])), course_deg=float(course[-1]))
    return Scene(
        leg=leg,
        frame=frame,
        along_m=along_m[:-1],
        track_m=frame.places_m(lat[:-1], lon[:-1]),
        dangers=tuple(_danger(frame, *one) for one in shapes),
    )


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


def _danger(frame: Frame, number: int, shape: Shape, radius_m: float) -> Danger:
    """Return a danger in the plane."""
    places = frame.places_m(shape.lat_deg, shape.lon_deg)
    joins = np.ones(len(places), np.bool_)
    joins[shape.starts] = False
    ends = np.flatnonzero(joins)
    return Danger(
        number=number,
        vertices_m=places,
        edges_m=np.stack([places[ends - 1], places[ends]], axis=1),
        radius_m=radius_m,
    )
