"""Values of the plan as cells of a table: rounded for reading, whole beside it."""

import json
import math
import re
from html import escape
from typing import Any

from wheelover.formats.positions import shown

_UNITS = {
    "nm": ("NM", 3),
    "m": ("m", 1),
    "deg": ("deg", 1),
    "kn": ("kn", 2),
    "s": ("s", 0),
    "min": ("min", 1),
    "h": ("h", 2),
    "t": ("t", 2),
    "ratio": ("ratio", 3),
    "count": ("", 0),
    "index": ("", 0),
    "utc": ("UTC", 0),
}
_LONG_UNITS = {
    "deg_per_min": ("deg/min", 1),
    "m_per_s": ("m/s", 2),
    "t_per_day": ("t/day", 2),
    "kg_per_m3": ("kg/m3", 1),
}
_NEVER_LARGER = re.compile(r"clearance|(^|_)(distance|nearest|ukc|margin)_m$")
_NEVER_SMALLER = re.compile(r"limit|required|needed|uncertainty")


def unit_of(name: str) -> tuple[str, str, int]:
    """Return a member's name without its unit, the unit, and the decimals that are shown.

    Examples
    --------
    >>> unit_of("distance_nm"), unit_of("rate_deg_per_min"), unit_of("name")
    (('distance', 'NM', 3), ('rate', 'deg/min', 1), ('name', '', 3))
    """
    for suffix, (unit, digits) in {**_LONG_UNITS, **_UNITS}.items():
        if name.endswith(f"_{suffix}"):
            return name[: -len(suffix) - 1], unit, digits
    return name, "", 3


def head(name: str) -> str:
    """Return the head of a column.

    Examples
    --------
    >>> head("distance_nm"), head("waypoint_id")
    ('distance, NM', 'waypoint id')
    """
    stem, unit, _ = unit_of(name)
    text = stem.replace("_", " ")
    return f"{text}, {unit}" if unit else text


def readable(name: str, value: Any) -> str:
    """Return a value of the plan for reading.

    What must not be overstated is rounded down, what must be kept is rounded up; all else to the
    nearest. A text is told from nothing given.

    Examples
    --------
    >>> readable("clearance_m", 612.68), readable("limit_m", 400.01), readable("met", False)
    ('612.6', '400.1', 'NO')
    >>> readable("course_deg", 359.97), readable("name", None)
    ('000.0', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "NO"
    if isinstance(value, int | float):
        return _number(name, float(value))
    return value if isinstance(value, str) else _compound(value)


def _compound(value: Any) -> str:
    """Return a value of several parts."""
    if isinstance(value, list) and all(isinstance(one, str) for one in value):
        return ", ".join(value)
    if isinstance(value, dict) and set(value) == {"lat_deg", "lon_deg"}:
        return shown(value["lat_deg"], value["lon_deg"])
    return json.dumps(value, ensure_ascii=False)


def _number(name: str, value: float) -> str:
    """Return a number rounded in the careful direction."""
    digits = unit_of(name)[2]
    scale = 10.0**digits
    if _NEVER_SMALLER.search(name):
        value = math.ceil(round(value * scale, 6)) / scale
    elif _NEVER_LARGER.search(name):
        value = math.floor(round(value * scale, 6)) / scale
    if re.search(r"(^|_)(course|bearing|heading|set|from)(_in|_out)?_deg$", name):
        return f"{round(value, 1) % 360.0:05.1f}"
    return f"{round(value, digits) + 0.0:.{digits}f}"


def cell(name: str, value: Any, tag: str = "td") -> str:
    """Return a cell: its text, and the whole value of a number with its unit."""
    text = escape(readable(name, value))
    unit = escape(unit_of(name)[1])
    if isinstance(value, bool) or not isinstance(value, int | float):
        return f"<{tag}>{text}</{tag}>"
    kept = f' data-value="{json.dumps(value)}"' + (f' data-unit="{unit}"' if unit else "")
    return f'<{tag} class="number"{kept}>{text}</{tag}>'
