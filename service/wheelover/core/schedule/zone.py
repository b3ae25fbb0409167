"""Zone time: which hour a longitude keeps at sea."""

import math


def zone_description_h(lon_deg: float) -> int:
    """Return the zone description: what is added to zone time to get UTC, west positive.

    Parameters
    ----------
    lon_deg : float
        Longitude, east positive, from -180 to 180.

    Notes
    -----
    The longitude over 15, to the nearest hour [Zone]_. What a coast or port keeps by law may differ
    and is for the navigator to give.

    Examples
    --------
    >>> zone_description_h(105.38), zone_description_h(-75.26), zone_description_h(-7.4)
    (-7, 5, 0)
    """
    return -math.floor((lon_deg + 7.5) / 15.0)
