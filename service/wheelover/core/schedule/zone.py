"""Zone time: what is added to the time kept on board to have UTC."""

import math
from collections.abc import Sequence

from wheelover.core.types.circumstances import ZoneFrom
from wheelover.core.types.route import Waypoint
from wheelover.core.types.schedule import ZoneAt

ZONE_DEG = 15.0


def zone_description_h(lon_deg: float) -> float:
    """Return the zone description of a longitude: hours to add to zone time to have UTC.

    Parameters
    ----------
    lon_deg : float
        Longitude, east positive.

    Notes
    -----
    The nautical zones of 15 degrees, that of Greenwich from 7.5 W to 7.5 E, the zones of 180 with
    +12 west and -12 east of it [Zone]_. On the edge of two zones the one nearer Greenwich.

    Examples
    --------
    >>> zone_description_h(105.38), zone_description_h(-75.26), zone_description_h(7.4)
    (-7.0, 5.0, 0.0)
    """
    zones = math.ceil(abs(lon_deg) / ZONE_DEG - 0.5)
    return float(-zones if lon_deg > 0.0 else zones) + 0.0


def zones_along(waypoints: Sequence[Waypoint], given: Sequence[ZoneFrom]) -> tuple[ZoneAt, ...]:
    """Return the zone description at each waypoint: the one given last, else that of the longitude.

    Parameters
    ----------
    waypoints : sequence of Waypoint
        In sailing order.
    given : sequence of ZoneFrom
        Zone descriptions kept from a waypoint on.
    """
    kept = {one.from_id: one.description_h for one in given}
    now_h: float | None = None
    found = []
    for waypoint in waypoints:
        now_h = kept.get(waypoint.id, now_h)
        by_longitude_h = zone_description_h(waypoint.lon_deg)
        found.append(
            ZoneAt(
                description_h=by_longitude_h if now_h is None else now_h, given=now_h is not None
            )
        )
    return tuple(found)
