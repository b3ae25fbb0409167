"""The clock: the one place that reads it. Order never hangs on it, only what is shown."""

from datetime import UTC, datetime


def now_utc() -> str:
    """Return the time as it is stored: RFC 3339, UTC, whole milliseconds."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
