"""Places about a waypoint on a flat sheet, for drawing alone: no figure comes from it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from wheelover.render.exports.stamp import Document
from wheelover.render.paper.sheet import Point

METRES_IN_DEGREE = 111_195.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A frame of the page and what is drawn in it, north up.

    ``left_pt``, ``top_pt``, ``wide_pt`` and ``high_pt`` are the frame, ``scale`` points to the
    metre and ``middle`` the place in its middle, in metres east and north of the waypoint.
    """

    lat_deg: float
    lon_deg: float
    left_pt: float
    top_pt: float
    wide_pt: float
    high_pt: float
    scale: float
    middle: Point

    def at(self, lat_deg: float, lon_deg: float) -> Point:
        """Return where a place stands on the page."""
        return self.of(metres(self.lat_deg, self.lon_deg, lat_deg, lon_deg))

    def of(self, place_m: Point) -> Point:
        """Return where metres east and north of the waypoint stand on the page."""
        return (
            self.left_pt + self.wide_pt / 2 + (place_m[0] - self.middle[0]) * self.scale,
            self.top_pt + self.high_pt / 2 - (place_m[1] - self.middle[1]) * self.scale,
        )

    def place(self, position: Document) -> Point:
        """Return where a position of the plan stands on the page."""
        return self.at(position["lat_deg"], position["lon_deg"])

    def line(self, coordinates: Iterable[Sequence[float]]) -> tuple[Point, ...]:
        """Return the places of GeoJSON coordinates, near enough to the frame to be drawn."""
        return tuple(self.at(one[1], one[0]) for one in coordinates)

    def kept(self, point: Point) -> Point:
        """Return a point moved so far into the frame that a plate about it is whole."""
        return (
            min(max(point[0], self.left_pt + 18.0), self.left_pt + self.wide_pt - 18.0),
            min(max(point[1], self.top_pt + 8.0), self.top_pt + self.high_pt - 22.0),
        )

    def shows(self, points: Sequence[Point], margin_pt: float = 0.0) -> bool:
        """Return whether the box about points reaches into the frame."""
        across, along = [one[0] for one in points], [one[1] for one in points]
        return (
            max(across) > self.left_pt - margin_pt
            and min(across) < self.left_pt + self.wide_pt + margin_pt
            and max(along) > self.top_pt - margin_pt
            and min(along) < self.top_pt + self.high_pt + margin_pt
        )


def metres(lat_deg: float, lon_deg: float, other_lat_deg: float, other_lon_deg: float) -> Point:
    """Return how far east and north another place lies, in metres on a flat sheet."""
    east_deg = (other_lon_deg - lon_deg + 180.0) % 360.0 - 180.0
    narrow = math.cos(math.radians(lat_deg))
    return east_deg * narrow * METRES_IN_DEGREE, (other_lat_deg - lat_deg) * METRES_IN_DEGREE


def fitted(
    waypoint: Document, places_m: Sequence[Point], box: tuple[float, float, float, float],
    margin_pt: float,
) -> Frame:  # fmt: skip
    """Return the frame that shows all of some places with a margin."""
    left, top, wide, high = box
    east, north = [one[0] for one in places_m], [one[1] for one in places_m]
    spread_e, spread_n = max(east) - min(east), max(north) - min(north)
    scale = min(
        (wide - 2 * margin_pt) / max(spread_e, 50.0), (high - 2 * margin_pt) / max(spread_n, 50.0)
    )
    return Frame(
        lat_deg=waypoint["lat_deg"],
        lon_deg=waypoint["lon_deg"],
        left_pt=left,
        top_pt=top,
        wide_pt=wide,
        high_pt=high,
        scale=scale,
        middle=((max(east) + min(east)) / 2, (max(north) + min(north)) / 2),
    )


def along(course_deg: float, distance: float) -> Point:
    """Return what lies so far on a course: east and north, or across and down the page."""
    turn = math.radians(course_deg)
    return math.sin(turn) * distance, math.cos(turn) * distance


def shapes(geometry: Any) -> list[tuple[str, list[list[float]]]]:
    """Return a GeoJSON geometry as points, lines and rings."""
    if not isinstance(geometry, dict):
        return []
    kind = geometry["type"]
    if kind == "GeometryCollection":
        return [part for one in geometry["geometries"] for part in shapes(one)]
    given = geometry["coordinates"]
    parts: dict[str, tuple[str, list[list[list[float]]]]] = {
        "Point": ("point", [[given]]),
        "MultiPoint": ("point", [[one] for one in given]),
        "LineString": ("line", [given]),
        "MultiLineString": ("line", list(given)),
        "Polygon": ("ring", list(given)),
    }
    if kind == "MultiPolygon":
        return [("ring", ring) for one in given for ring in one]
    name, found = parts[kind]
    return [(name, one) for one in found]
