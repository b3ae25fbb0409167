"""Times of a request."""

import re
from datetime import datetime
from typing import Annotated

from pydantic import AfterValidator

from wheelover.core.utc import seconds_from_utc

_UTC = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?Z", re.ASCII)


def utc_time(text: str) -> str:
    """Refuse what is no RFC 3339 time in UTC."""
    if not _UTC.fullmatch(text):
        raise ValueError("a UTC time like 2026-11-25T14:02:00Z is needed")
    datetime.fromisoformat(text[:19])
    return text


UtcTime = Annotated[str, AfterValidator(utc_time)]


def seconds_or_none(text: str | None) -> float | None:
    """Return a time as seconds since 1970 UTC, None where none is given."""
    return None if text is None else seconds_from_utc(text)
