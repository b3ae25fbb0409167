"""Positions as people type them, and positions off another one."""

import re
from typing import Any

from wheelover.core.errors import Fault, InvalidInput
from wheelover.core.geo import rhumb
from wheelover.core.units import m_from_nm
from wheelover.formats.positions import NotUnderstood, coordinate_deg, shown

_AFTER_LATITUDE = re.compile(r"^(.*?[0-9].*?[NSns])[\s,;/]*(?=[^\s,;/])(.*)$", re.ASCII)
_LEADING_LETTER = re.compile(r"^\s*([NSns].*?[0-9].*?)[\s,;/]*([EWew].*)$", re.ASCII)


def read_position(text: str) -> dict[str, Any]:
    """Return a typed position in degrees, and how it is shown.

    Raises
    ------
    InvalidInput
        With the reason, naming latitude or longitude.

    Examples
    --------
    >>> read_position("51 23.456 N 001 12.0 E")["echo"]
    '51-23.456N 001-12.000E'
    """
    try:
        latitude, longitude = _parted(text)
        lat_deg = coordinate_deg(latitude, "latitude")
        lon_deg = coordinate_deg(longitude, "longitude")
    except NotUnderstood as error:
        message = f"{error}. Write it like 51-23.456N 001-12.345E or +51.39093, +1.20575."
        raise InvalidInput(message, (Fault(pointer="/text", message=message),)) from error
    return {
        "position": {"lat_deg": lat_deg, "lon_deg": lon_deg},
        "echo": shown(lat_deg, lon_deg),
    }


def _parted(text: str) -> tuple[str, str]:
    """Return a text as latitude and longitude."""
    for mark in (",", ";"):
        if text.count(mark) == 1:
            latitude, longitude = text.split(mark)
            return latitude, longitude
    for form in (_LEADING_LETTER, _AFTER_LATITUDE):
        match = form.match(text)
        if match:
            return match.group(1), match.group(2)
    words = text.split()
    if len(words) == 2:
        return words[0], words[1]
    raise NotUnderstood("the position cannot be parted into latitude and longitude")


def offset_position(
    lat_deg: float, lon_deg: float, bearing_deg: float, distance_nm: float
) -> dict[str, Any]:
    """Return the position reached on a constant true course, and how it is shown.

    Raises
    ------
    OutOfDomain
        When the course would pass a pole.
    """
    lat, lon = rhumb.direct(lat_deg, lon_deg, bearing_deg, m_from_nm(distance_nm))
    reached = {"lat_deg": float(lat[0]), "lon_deg": float(lon[0])}
    return {"position": reached, "echo": shown(reached["lat_deg"], reached["lon_deg"])}
