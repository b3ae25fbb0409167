"""The strip of water that the hull covers on a run, and how far it reaches beside the track."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.geo.plane import from_plane_deg, to_plane_m
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.poses import outlines_m, pieces_between, require_run
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import Ring, SweptStrip, SweptWidth
from wheelover.core.types.track import Arc

_SIDE_STEPS = 20


def swept_polygon_m(motion: Motion, outline_m: Floats) -> Any:
    """Return the strip that an outline covers on a run, as a polygon in the plane of the motion.

    Parameters
    ----------
    motion : Motion
        The run, n rows.
    outline_m : ndarray, shape (k, 2)
        A convex outline: the box around the hull, or its shape to draw.

    Returns
    -------
    shapely.Polygon
        East and north in metres: the convex hulls of neighbouring poses together.

    Raises
    ------
    OutOfDomain
        For a motion that no hull can be moved along.
    """
    return shapely.union_all(pieces_between(motion, outline_m).hulls)


def swept_strip(motion: Motion, start: Position, outline_m: Floats) -> SweptStrip:
    """Return the strip that an outline covers on a run, on the chart.

    Parameters
    ----------
    motion : Motion
        The run, n rows.
    start : Position
        Where it starts.
    outline_m : ndarray, shape (k, 2)
        A convex outline, forward of midships and to starboard.

    Raises
    ------
    OutOfDomain
        For a motion that no hull can be moved along.
    """
    polygon = swept_polygon_m(motion, outline_m)
    middle_deg = (start.lat_deg, start.lon_deg)
    rings = [
        Ring(lat_deg=lat, lon_deg=lon)
        for lat, lon in (
            from_plane_deg(middle_deg, shapely.get_coordinates(ring))
            for ring in (polygon.exterior, *polygon.interiors)
        )
    ]
    return SweptStrip(outer=rings[0], holes=tuple(rings[1:]))


def outlines_deg(motion: Motion, start: Position, outline_m: Floats) -> tuple[Floats, Floats]:
    """Return an outline in every pose of a run, on the chart, for drawing.

    Parameters
    ----------
    motion : Motion
        The run, n rows.
    start : Position
        Where it starts.
    outline_m : ndarray, shape (k, 2)
        Forward of midships and to starboard.

    Returns
    -------
    lat_deg, lon_deg : ndarray, shape (n, k)
        Positions of the outline's corners.
    """
    return outlines_of([(motion, start)], outline_m)


def outlines_of(
    runs: Sequence[tuple[Motion, Position]], outline_m: Floats
) -> tuple[Floats, Floats]:
    """Return an outline in every pose of runs, each as ``outlines_deg`` returns it, stacked.

    Parameters
    ----------
    runs : sequence of tuple
        Runs, and where each starts; at least one.
    outline_m : ndarray, shape (k, 2)
        Forward of midships and to starboard.
    """
    place_m = np.concatenate([outlines_m(motion, outline_m) for motion, _ in runs])
    count = [motion.time_s.size * len(outline_m) for motion, _ in runs]
    middles = np.repeat([(one.lat_deg, one.lon_deg) for _, one in runs], count, axis=0)
    lat, lon = from_plane_deg((middles[:, 0], middles[:, 1]), place_m.reshape(-1, 2))
    return lat.reshape(place_m.shape[:2]), lon.reshape(place_m.shape[:2])


def swept_width(
    motion: Motion, start: Position, arc: Arc, loa_m: float, beam_m: float
) -> SweptWidth:
    """Return how far the hull reaches to either side of the planned track on a run.

    Parameters
    ----------
    motion : Motion
        The run, n rows.
    start : Position
        Where it starts.
    arc : Arc
        The planned arc; before and behind it the track is its tangents.
    loa_m, beam_m : float
        The hull, of which the box around it counts.

    Raises
    ------
    InvalidShip
        When a dimension is not above zero.
    OutOfDomain
        For a motion that no hull can be moved along.

    Notes
    -----
    Looked at in the rows of the motion and at places along the sides of the box, not between them:
    on a radius of R that misses at most 1 / 3000 of L^2 / R. Between tangent and rhumb line lies
    s^2 tan(latitude) / (2 R) at a distance s from the arc.
    """
    require_run(motion)
    corner_m = outlines_m(motion, _along_sides_m(hull_box_m(loa_m, beam_m)))
    off_m = _off_track_m(corner_m.reshape(-1, 2), start, arc).reshape(corner_m.shape[:2])
    outermost_m, innermost_m = np.max(off_m, axis=1), np.min(off_m, axis=1)
    starboard, port = int(np.argmax(outermost_m)), int(np.argmin(innermost_m))
    return SweptWidth(
        port_m=-float(innermost_m[port]),
        starboard_m=float(outermost_m[starboard]),
        port_at_s=float(motion.time_s[port]),
        starboard_at_s=float(motion.time_s[starboard]),
    )


def _along_sides_m(outline_m: Floats) -> Floats:
    """Return places along the sides of an outline, shape (k * _SIDE_STEPS, 2).

    The inside of a turn is reached by the side at the pivot point, not by a corner.
    """
    share = (np.arange(_SIDE_STEPS) / _SIDE_STEPS)[:, None]
    following_m = np.roll(outline_m, -1, axis=0)[:, None]
    return np.asarray((outline_m[:, None] * (1.0 - share) + following_m * share).reshape(-1, 2))


def _off_track_m(place_m: Floats, start: Position, arc: Arc) -> Floats:
    """Return how far places (m, 2) are to starboard of an arc and its tangents, shape (m,)."""
    middle_deg = (start.lat_deg, start.lon_deg)
    centre_m, from_m, to_m = (
        to_plane_m(middle_deg, one.lat_deg, one.lon_deg)[0]
        for one in (arc.centre, arc.start, arc.end)
    )
    side = np.sign(arc.sweep_deg)
    beside = []
    for tangent_m, ahead in ((from_m, -1.0), (to_m, 1.0)):
        spoke_m = (tangent_m - centre_m) / np.hypot(*(tangent_m - centre_m))
        # Turning to starboard the course is a quarter to starboard of the spoke from the centre.
        course = side * np.array([spoke_m[1], -spoke_m[0]])
        along_m, across_m = (place_m - tangent_m) @ course, (tangent_m - place_m) @ spoke_m * side
        beside.append(np.where(ahead * along_m >= 0.0, across_m, np.inf))
    round_m = side * (arc.radius_m - np.hypot(*(place_m - centre_m).T))
    straight_m = np.where(np.abs(beside[0]) <= np.abs(beside[1]), beside[0], beside[1])
    return np.where(np.isinf(straight_m), round_m, straight_m)
