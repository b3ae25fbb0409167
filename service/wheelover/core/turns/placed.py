"""Where on the earth a ship is that was run from a helm order in the plane."""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, as_floats
from wheelover.core.geo import geodesic
from wheelover.core.types.route import Position


def places_from(
    origin: Position | tuple[Floats, Floats], east_m: ArrayLike, north_m: ArrayLike
) -> tuple[Floats, Floats]:
    """Return the positions of places in the plane that touches the earth at an origin.

    Parameters
    ----------
    origin : Position, or tuple of ndarrays of shape (n,)
        Where the helm is ordered; or latitude and longitude of that for each place.
    east_m, north_m : array_like, shape (n,)
        Places in the plane.

    Returns
    -------
    lat_deg, lon_deg : ndarray, shape (n,)
        Directions and distances from the origin are kept; within 2 NM of it any other distance is
        to a millimetre or so.
    """
    east, north = as_floats(east_m), as_floats(north_m)
    if isinstance(origin, Position):
        origin = as_floats(origin.lat_deg), as_floats(origin.lon_deg)
    lat, lon, _ = geodesic.direct(
        *origin,
        np.degrees(np.arctan2(east, north)),
        np.hypot(east, north),
    )
    return lat, lon
