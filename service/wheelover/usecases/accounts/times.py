"""Times as the store keeps them: RFC 3339, UTC, whole milliseconds; they sort as text."""

from datetime import UTC, datetime, timedelta


def after(utc: str, seconds: float) -> str:
    """Return the time so many seconds later; fewer than none is earlier.

    Examples
    --------
    >>> after("2026-11-26T23:59:30.000Z", 45)
    '2026-11-27T00:00:15.000Z'
    """
    moved = datetime.fromisoformat(utc) + timedelta(seconds=seconds)
    return moved.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def epoch_s(utc: str) -> float:
    """Return a time as seconds since 1970."""
    return datetime.fromisoformat(utc).timestamp()
