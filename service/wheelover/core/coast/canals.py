"""Canals and cuts that the open coastline shows as land: a table of boxes, to propose a waiver.

The boxes are from general geography, wide enough to hold the canal and its approaches; they are no
chart and decide nothing. A leg through one of them gets the name of the canal in its finding.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Canal:
    """A canal, and a box around it in degrees."""

    name: str
    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float


CANALS: tuple[Canal, ...] = tuple(
    Canal(name=name, south_deg=south, west_deg=west, north_deg=north, east_deg=east)
    for name, south, west, north, east in (
        ("Kiel Canal", 53.85, 9.05, 54.42, 10.25),
        ("Corinth Canal", 37.88, 22.92, 37.98, 23.04),
        ("Panama Canal", 8.85, -80.05, 9.45, -79.48),
        ("Suez Canal", 29.85, 32.20, 31.35, 32.65),
        ("Welland Canal", 42.85, -79.32, 43.27, -79.15),
        ("Cape Cod Canal", 41.70, -70.70, 41.82, -70.45),
        ("Chesapeake and Delaware Canal", 39.48, -75.95, 39.62, -75.52),
        ("North Sea Canal", 52.37, 4.50, 52.50, 4.95),
        ("Ghent-Terneuzen Canal", 51.03, 3.68, 51.36, 3.90),
        ("Saint Lawrence Seaway", 44.85, -75.10, 45.60, -73.45),
        ("Manchester Ship Canal", 53.26, -2.98, 53.50, -2.25),
        ("Soo Locks", 46.45, -84.45, 46.55, -84.25),
        ("Houston Ship Channel", 29.30, -95.35, 29.80, -94.75),
        ("Volga-Don Canal", 48.45, 43.45, 48.75, 44.60),
        ("White Sea-Baltic Canal", 62.70, 34.30, 64.60, 35.20),
        ("Lake Washington Ship Canal", 47.62, -122.45, 47.70, -122.25),
    )
)
"""Of general geography, not surveyed."""

_BOXES_DEG = np.array(
    [(one.south_deg, one.west_deg, one.north_deg, one.east_deg) for one in CANALS]
).T


def canals_at(lat_deg: Floats, lon_deg: Floats) -> list[tuple[str, ...]]:
    """Return for each stretch the canals in whose boxes all its places lie.

    Parameters
    ----------
    lat_deg, lon_deg : ndarray, shape (n, k)
        Positions in degrees, k of each stretch.

    Examples
    --------
    >>> canals_at(np.array([[54.0, 54.1]]), np.array([[9.4, 9.6]]))
    [('Kiel Canal',)]
    """
    in_height = (_BOXES_DEG[0] <= lat_deg[..., None]) & (lat_deg[..., None] <= _BOXES_DEG[2])
    in_width = (_BOXES_DEG[1] <= lon_deg[..., None]) & (lon_deg[..., None] <= _BOXES_DEG[3])
    held = np.all(in_height & in_width, axis=1)
    return [tuple(CANALS[one].name for one in np.flatnonzero(row)) for row in held]
