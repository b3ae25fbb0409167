"""The coastline around a route as rings to be drawn on a page of its own, no larger than it may be.

Crude where the route is long, fine where it is short; for orientation only, as everywhere.
"""

from dataclasses import dataclass

import shapely

from wheelover.charts.coastline import RESOLUTIONS, land_near

Ring = tuple[tuple[float, float], ...]

MOST_PLACES = 12_000
"""Vertices in all: about 250 kB of the page."""

_ROOM = 0.6
_LEAST_ROOM_DEG = 0.1
_FINEST_TO_DEG = (("f", 1.0), ("h", 4.0), ("i", 15.0), ("l", 60.0), ("c", 360.0))
_DIGITS = 5
_STEPS_ACROSS = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """Land as rings, longitude and latitude: filled even-odd they are land.

    ``frame`` is west, south, east and north of what was looked at, ``words`` say how coarse it is.
    """

    rings: tuple[Ring, ...]
    frame: tuple[float, float, float, float]
    words: str


def outline_near(west: float, south: float, east: float, north: float) -> Outline:
    """Return the land around a box, as fine as its size allows.

    Parameters
    ----------
    west, south, east, north : float
        Degrees; east of west, and beyond 180 where the box crosses it.

    Returns
    -------
    Outline
        Where it would have too many vertices, that of a cruder resolution.
    """
    size = max(east - west, north - south)
    room = max(size * _ROOM, _LEAST_ROOM_DEG)
    box = (west - room, max(south - room, -90.0), east + room, min(north + room, 90.0))
    letters = [one for one, most in _FINEST_TO_DEG if size <= most] or ["c"]
    for letter in letters:
        rings = _rings(letter, box, (size + 2.0 * room) / _STEPS_ACROSS)
        if sum(map(len, rings)) <= MOST_PLACES or letter == letters[-1]:
            break
    words = next(one.words for one in RESOLUTIONS if one.letter == letter)
    return Outline(rings=rings, frame=box, words=words)


def _rings(
    letter: str, box: tuple[float, float, float, float], step_deg: float
) -> tuple[Ring, ...]:
    """Return the rings of one resolution inside a box, without bends finer than are seen."""
    found: list[Ring] = []
    for part in _parts(box):
        for polygon in land_near(letter, part):
            simple = shapely.simplify(polygon, step_deg)
            for piece in shapely.get_parts(simple):
                for ring in (piece.exterior, *piece.interiors):
                    places = shapely.get_coordinates(ring).round(_DIGITS).tolist()
                    found.append(tuple((lon, lat) for lon, lat in places))
    return tuple(one for one in found if len(one) >= 4)


def _parts(box: tuple[float, float, float, float]) -> list[tuple[float, float, float, float]]:
    """Return a box in parts that lie between 180 west and 180 east.

    Examples
    --------
    >>> _parts((175.0, 0.0, 185.0, 1.0))
    [(175.0, 0.0, 180.0, 1.0), (-180.0, 0.0, -175.0, 1.0)]
    """
    west, south, east, north = box
    if east - west >= 360.0:
        return [(-180.0, south, 180.0, north)]
    west = (west + 180.0) % 360.0 - 180.0
    east = west + (box[2] - box[0])
    if east <= 180.0:
        return [(west, south, east, north)]
    return [(west, south, 180.0, north), (-180.0, south, east - 360.0, north)]
