"""Numbers of the plan as they are printed: rounded once, in the careful direction, never blank.

What is left (clearances, water under the keel, time to close) is rounded down, what is required up,
the rest to nearest.
"""

import math

UNKNOWN = "not known"

CAB_M = 185.2
"""A cable: a tenth of a nautical mile."""


def _fixed(value: float, decimals: int) -> str:
    """Return a number with so many decimals, never a negative zero."""
    text = f"{value:.{decimals}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def nearest(value: float | None, decimals: int, unit: str = "", unknown: str = UNKNOWN) -> str:
    """Return a number rounded to nearest, with its unit.

    Examples
    --------
    >>> nearest(0.4203, 2, "NM"), nearest(None, 2, "NM"), nearest(-0.001, 1)
    ('0.42 NM', 'not known', '0.0')
    """
    if value is None:
        return unknown
    return f"{_fixed(value, decimals)} {unit}".rstrip()


def down(value: float | None, decimals: int, unit: str = "", unknown: str = UNKNOWN) -> str:
    """Return a number rounded down: what is left.

    Examples
    --------
    >>> down(612.6228, 0, "m"), down(-0.2, 0, "m"), down(4.35, 2)
    ('612 m', '-1 m', '4.35')
    """
    if value is None:
        return unknown
    scale = 10**decimals
    # A whole number of steps that binary digits miss by a hair is that number.
    return nearest(math.floor(round(value * scale, 6)) / scale, decimals, unit)


def up(value: float | None, decimals: int, unit: str = "", unknown: str = UNKNOWN) -> str:
    """Return a number rounded up: what is required or taken off.

    Examples
    --------
    >>> up(1.0301, 2, "m")
    '1.04 m'
    """
    if value is None:
        return unknown
    scale = 10**decimals
    return nearest(math.ceil(round(value * scale, 6)) / scale, decimals, unit)


def given(value: float | None, unit: str = "", unknown: str = UNKNOWN) -> str:
    """Return a number as it was given, with its unit.

    Examples
    --------
    >>> given(12.0, "kn"), given(0.625, "NM"), given(1e-05)
    ('12 kn', '0.625 NM', '0.00001')
    """
    if value is None:
        return unknown
    text = f"{value:.8f}".rstrip("0").rstrip(".")
    return f"{text} {unit}".rstrip()


def short(value: float, decimals: int) -> str:
    """Return a number rounded to nearest, without zeros that say nothing.

    Examples
    --------
    >>> short(15.0, 1), short(6.3446653, 1)
    ('15', '6.3')
    """
    text = _fixed(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def course(value: float | None) -> str:
    """Return a course in three figures: 359.6 is 000, never 360.

    Examples
    --------
    >>> course(359.6), course(4.2), course(None)
    ('000', '004', 'not known')
    """
    return UNKNOWN if value is None else f"{round(value) % 360:03d}"


def course_fine(value: float | None) -> str:
    """Return a course to a tenth of a degree.

    Examples
    --------
    >>> course_fine(359.96), course_fine(78.04)
    ('000.0', '078.0')
    """
    return UNKNOWN if value is None else f"{round(value, 1) % 360:05.1f}"


def side(value: float) -> str:
    """Return to which side a signed number counts."""
    return "stbd" if value > 0.0 else "port"


def judged(met: bool | None) -> str:
    """Return what was found of a limit."""
    return {True: "met", False: "NOT MET", None: "not judged"}[met]


def minute(utc: str | None) -> str:
    """Return a time of RFC 3339 to the minute in which it lies.

    Examples
    --------
    >>> minute("2026-11-26T14:02:11Z")
    '2026-11-26 14:02Z'
    """
    return UNKNOWN if not utc else f"{utc[:10]} {utc[11:16]}Z"


def minute_short(utc: str | None) -> str:
    """Return a time of RFC 3339 to the minute in which it lies, without its year.

    Examples
    --------
    >>> minute_short("2026-11-26T14:02:11Z"), minute_short(None)
    ('11-26 14:02Z', 'not known')
    """
    return UNKNOWN if not utc else f"{utc[5:10]} {utc[11:16]}Z"


def hours(span_s: float | None) -> str:
    """Return a span in hours and minutes, to the nearest minute.

    Examples
    --------
    >>> hours(2179.6), hours(90_000.0), hours(None)
    ('0:36', '25:00', 'not known')
    """
    if span_s is None:
        return UNKNOWN
    minutes = round(span_s / 60.0)
    return f"{minutes // 60}:{minutes % 60:02d}"
