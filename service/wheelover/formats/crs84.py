"""The one datum of GeoJSON: RFC 7946 knows WGS84 longitude and latitude only."""

from typing import Any

NAMES = ("urn:ogc:def:crs:OGC:1.3:CRS84", "urn:ogc:def:crs:OGC::CRS84")


def is_crs84(crs: Any) -> bool:
    """Return whether a ``crs`` member of the older GeoJSON says what RFC 7946 means anyway.

    Examples
    --------
    >>> is_crs84(None)
    True
    >>> is_crs84({"type": "name", "properties": {"name": "EPSG:3857"}})
    False
    """
    if crs is None:
        return True
    properties = crs.get("properties") if isinstance(crs, dict) else None
    return isinstance(properties, dict) and properties.get("name") in NAMES
