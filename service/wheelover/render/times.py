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
