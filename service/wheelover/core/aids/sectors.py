"""From where along a stretch a mark is looked at: ends, middle, and limits of its sectors."""

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.types.marks import Mark

_BESIDE_DEG = 0.01


def looks_along(
    mark: Mark, mark_m: Floats, places_m: Floats, course_deg: float
) -> list[tuple[float, float]]:
    """Return the true bearings, degrees, and ranges, metres, at which a mark is looked at.

    Parameters
    ----------
    mark : Mark
        The mark.
    mark_m : ndarray, shape (2,)
        Where it is in the plane, the first axis of which is the course.
    places_m : ndarray, shape (n, 2)
        Places along the track, in order.
    course_deg : float
        The course.

    Notes
    -----
    Along a straight stretch the bearing turns one way, so that between two places what shows
    changes at limits of sectors only [S57A]_: just before and just past each of these that the
    bearing comes through the light is looked for as well.
    """
    away_m = mark_m - places_m
    bearing = np.degrees(np.arctan2(away_m[:, 1], away_m[:, 0])) + course_deg
    range_m = np.hypot(away_m[:, 0], away_m[:, 1])
    looks: list[tuple[float, float]] = list(zip(bearing.tolist(), range_m.tolist(), strict=True))
    limits = {
        limit
        for light in mark.lights
        for limit in (light.sector_from_deg, light.sector_to_deg)
        if limit is not None
    }
    for number in range(len(places_m) - 1):
        turned = float(signed_change_deg(bearing[number], bearing[number + 1]))
        for limit in sorted(limits):
            for at_deg in (limit - _BESIDE_DEG, limit + _BESIDE_DEG):
                by_deg = float(signed_change_deg(bearing[number], at_deg))
                if 0.0 < by_deg * np.sign(turned) < abs(turned):
                    run_m = places_m[number + 1] - places_m[number]
                    looks.append((at_deg, _range_m(away_m[number], run_m, at_deg - course_deg)))
    return looks


def _range_m(away_m: Floats, run_m: Floats, direction_deg: float) -> float:
    """Return the range of a mark where it bears so from a run that begins ``away_m`` from it."""
    ahead, right = np.cos(np.radians(direction_deg)), np.sin(np.radians(direction_deg))
    share = (away_m[0] * right - away_m[1] * ahead) / (run_m[0] * right - run_m[1] * ahead)
    return float(np.hypot(*(away_m - share * run_m)))
