"""Times of the clock as they are written: UTC to the nearest second."""

from wheelover.core.utc import utc_from_seconds

FIRST_S, LAST_S = -62_135_596_800.0, 253_402_300_799.0
"""The years 1 to 9999, as dates can be written."""


def utc(at_s: float | None) -> str | None:
    """Return a time in seconds since 1970 as it is written, None beyond the years of the calendar.

    Examples
    --------
    >>> utc(1795615319.7)
    '2026-11-25T14:02:00Z'
    """
    if at_s is None or not FIRST_S <= at_s <= LAST_S:
        return None
    return utc_from_seconds(float(round(at_s)))


def zone_time(at_s: float | None, description_h: float) -> str | None:
    """Return a time as the clock on board shows it, with how far that is from UTC.

    Parameters
    ----------
    at_s : float or None
        Seconds since 1970 UTC.
    description_h : float
        Zone description: hours to add to zone time to have UTC.

    Examples
    --------
    >>> zone_time(1547602860.0, -5.0), zone_time(1547602860.0, 3.5)
    ('2019-01-16T06:41:00+05:00', '2019-01-15T22:11:00-03:30')
    """
    shown = None if at_s is None else utc(at_s - description_h * 3600.0)
    if shown is None:
        return None
    minutes = round(abs(description_h) * 60.0)
    sign = "-" if description_h > 0.0 else "+"
    return f"{shown.removesuffix('Z')}{sign}{minutes // 60:02d}:{minutes % 60:02d}"
