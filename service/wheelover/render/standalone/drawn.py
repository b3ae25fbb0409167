"""What the page draws: the layers' shapes side by side, also across 180 degrees."""

import json
from collections.abc import Callable
from typing import Any

from wheelover.render.standalone.catalogue import OTHER_SIGN, SIGNS
from wheelover.render.standalone.parts import CoastDrawn
from wheelover.render.standalone.tables import places_of

Document = dict[str, Any]

UNITS_IN_DEGREE = 10_000_000
"""Places are drawn in whole units of this many to the degree: a centimetre."""


def middle_deg(waypoints: list[Document]) -> float:
    """Return the longitude in the middle of a route, which may lie beyond 180.

    Examples
    --------
    >>> middle_deg([{"lon_deg": 179.0}, {"lon_deg": -177.0}])
    181.0
    """
    lons = [float(waypoints[0]["lon_deg"])]
    for one in waypoints[1:]:
        step = (float(one["lon_deg"]) - lons[-1] + 180.0) % 360.0 - 180.0
        lons.append(lons[-1] + step)
    return (min(lons) + max(lons)) / 2.0


def beside(middle: float) -> Callable[[Document], Document]:
    """Return what moves a geometry by whole turns next to a longitude, part by part.

    Each part of a geometry that was cut at 180 degrees lies on one side of it, so a part is moved
    as one. Coordinates come out as steps: a line is one list of whole units, longitude and
    latitude in turn, its first place and from then on the way from each place to the next.

    Examples
    --------
    >>> beside(181.0)({"type": "LineString", "coordinates": [[-179.0, 1.0], [-178.9, 1.0]]})
    {'type': 'LineString', 'steps': [1810000000, 10000000, 1000000, 0]}
    """

    def moved(geometry: Document) -> Document:
        kind = geometry["type"]
        if kind == "GeometryCollection":
            return {"type": kind, "geometries": [moved(one) for one in geometry["geometries"]]}
        depth = {"Point": 0, "MultiPoint": 0, "Polygon": 2, "MultiPolygon": 2}.get(kind, 1)
        return {"type": kind, "steps": _moved(geometry["coordinates"], depth, middle)}

    return moved


def _moved(part: Any, depth: int, middle: float) -> Any:
    """Return coordinates moved, all that hang together by the same whole turns."""
    if _depth(part) > depth:
        return [_moved(one, depth, middle) for one in part]
    flat = places_of({"type": "", "coordinates": part})
    if not flat:
        return part
    lon = (min(one[0] for one in flat) + max(one[0] for one in flat)) / 2.0
    by = -360.0 * round((lon - middle) / 360.0)
    return _steps(part, by)


def _depth(part: Any) -> int:
    """Return how deep coordinates are nested: 0 for one position."""
    return 0 if not part or isinstance(part[0], int | float) else 1 + _depth(part[0])


def _steps(part: Any, by: float) -> Any:
    """Return coordinates moved east, every line of them as steps."""
    depth = _depth(part)
    if depth > 1:
        return [_steps(one, by) for one in part]
    last, steps = (0, 0), []
    for lon, lat, *_ in part if depth == 1 else [part]:
        place = (round((lon + by) * UNITS_IN_DEGREE), round(lat * UNITS_IN_DEGREE))
        steps += [place[0] - last[0], place[1] - last[1]]
        last = place
    return steps


def classes(properties: Document) -> str:
    """Return the classes by which a feature is drawn."""
    names = [f"layer-{properties.get('layer', '')}"]
    if properties.get("planned") is True:
        names.append("is-planned")
    if "met" in properties:
        names.append({True: "is-met", False: "is-not-met"}.get(properties["met"], "is-not-judged"))
    if properties.get("track_exists") is False or properties.get("fits") is False:
        names.append("is-no-track")
    return " ".join(names)


def label(properties: Document) -> str:
    """Return the few letters that stand beside a point on the map."""
    layer = properties.get("layer")
    if layer == "waypoint":
        return str(properties.get("id", ""))
    if layer == "wheel_over":
        return f"WO {properties.get('waypoint_id', '')}" if properties.get("planned") else ""
    if layer == "time_label":
        return str(properties.get("text", ""))
    return str(properties.get("name") or properties.get("id") or "")


def drawn_text(
    layers: list[tuple[str, list[Document]]],
    coast: CoastDrawn | None,
    waypoints: list[Document],
) -> str:
    """Return what is drawn as JSON that may stand inside a page.

    Parameters
    ----------
    layers : list of (name, features)
        In drawing order; their numbers name layers and rows.
    coast : CoastDrawn or None
        The coastline.
    waypoints : list of dict
        Of the route, in order.
    """
    moved = beside(middle_deg(waypoints))
    body = {
        "layers": [
            {
                "sign": SIGNS.get(name, OTHER_SIGN),
                "features": [
                    {
                        "classes": classes(one["properties"]),
                        "label": label(one["properties"]),
                        "shape": moved(one["geometry"]),
                    }
                    for one in features
                ],
            }
            for name, features in layers
        ],
        "coast": None if coast is None else _coast(coast, moved),
    }
    text = json.dumps(body, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    # Inside a page nothing of it may end the element it stands in.
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _coast(coast: CoastDrawn, moved: Callable[[Document], Document]) -> Any:
    """Return the rings of the coastline, moved one by one, and the frame around them."""
    rings = [[list(place) for place in ring] for ring in coast.rings]
    shapes = [moved({"type": "LineString", "coordinates": one})["steps"] for one in rings]
    return {"rings": shapes, "frame": list(coast.frame)}


def bounds_deg(waypoints: list[Document]) -> list[list[float]]:
    """Return south-west and north-east of a route, beside its middle longitude."""
    middle = middle_deg(waypoints)
    lons = [one["lon_deg"] - 360.0 * round((one["lon_deg"] - middle) / 360.0) for one in waypoints]
    lats = [one["lat_deg"] for one in waypoints]
    return [[min(lats), min(lons)], [max(lats), max(lons)]]
