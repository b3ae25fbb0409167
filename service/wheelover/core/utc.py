"""Times as the core counts them: seconds since 1970 in UTC, and as they are written."""

import numpy as np

_SECONDS = "datetime64[s]"


def seconds_from_utc(text: str) -> float:
    """Return a time as seconds since the beginning of 1970 in UTC, leap seconds not counted.

    Parameters
    ----------
    text : str
        An RFC 3339 time in UTC, such as 2026-11-25T14:02:00Z, found good before.

    Examples
    --------
    >>> seconds_from_utc("1970-01-02T00:00:01Z"), seconds_from_utc("2026-11-25T14:02:00.5Z")
    (86401.0, 1795615320.5)
    """
    whole, _, rest = text.removesuffix("Z").partition(".")
    return float(np.datetime64(whole, "s").astype(np.int64)) + float(f"0.{rest or 0}")


def utc_from_seconds(at_s: float) -> str:
    """Return a time as it is written, to the second before it.

    Parameters
    ----------
    at_s : float
        Seconds since the beginning of 1970 in UTC.

    Examples
    --------
    >>> utc_from_seconds(1795615320.5)
    '2026-11-25T14:02:00Z'
    """
    return f"{np.array(int(at_s // 1.0)).astype(_SECONDS)}Z"
