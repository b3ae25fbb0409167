"""Routes in GeoJSON (RFC 7946): one LineString, or Points in order."""

import json
from typing import Any

from wheelover.core.errors import Fault, UnreadableFile
from wheelover.core.types.route import LegWishes, Waypoint
from wheelover.formats.crs84 import is_crs84
from wheelover.formats.more_wishes import as_text, asked
from wheelover.formats.positions import NotUnderstood, shown
from wheelover.formats.reading import (
    CLASS_COLUMN,
    LINES,
    MOST_TEXT,
    WATER_COLUMN,
    PartReading,
    ReadRow,
    RouteReading,
    current,
    in_range,
    leg_limits,
    refuse_if_nothing_understood,
    sound_waypoints,
    turn_wishes,
    wheel_over_choice,
    zone,
)
from wheelover.formats.strict_json import read_json

MOST_WAYPOINTS = 5000


def read_geojson(body: bytes, name: str) -> RouteReading:
    """Return a GeoJSON route as it was read.

    Parameters
    ----------
    body : bytes
        A geometry, a Feature or a FeatureCollection that holds one LineString, or Points in the
        order they are sailed. Of a collection with ``layer`` properties only the waypoint layer
        is read. Points may carry id, name, turn_radius_nm, gap_before, gap_after, the wheel-over
        chosen, and the wishes for the turn at them and the leg that leads to them, named as in the
        CSV columns.
    name : str
        Name of the route, where the file gives none.

    Raises
    ------
    UnreadableFile
        When the text is not GeoJSON, holds no route or more than one, or no position in it was
        understood.
    """
    value = read_json(body)
    if not isinstance(value, dict) or not isinstance(value.get("type"), str):
        raise _refused("", "not GeoJSON: an object with a type is needed")
    if not is_crs84(value.get("crs")):
        raise _refused("/crs", "only WGS84 longitude and latitude (CRS84) are read")
    features, notes = _route_features(_features(value))
    positions = _positions(features)
    if len(positions) > MOST_WAYPOINTS:
        raise _refused("", f"{len(positions)} positions, over the limit of {MOST_WAYPOINTS}")
    parts = _parts(positions)
    refuse_if_nothing_understood(parts)
    waypoints, left_out = sound_waypoints(parts)
    given = value.get("name")
    return RouteReading(
        format="geojson",
        name=given if isinstance(given, str) and 0 < len(given) <= MOST_TEXT else name,
        waypoints=waypoints,
        report=tuple(part.row for part in parts),
        read_as="GeoJSON, longitude before latitude, WGS84; lines are counted by position",
        notes=(*notes, *left_out),
    )


def _refused(pointer: str, message: str) -> UnreadableFile:
    """Return the error of a GeoJSON text that holds no readable route."""
    return UnreadableFile(f"GeoJSON: {message}", (Fault(pointer=pointer, message=message),))


def _features(value: dict[str, Any]) -> list[tuple[str, dict[str, Any]]]:
    """Return the features of a GeoJSON object, each with the pointer to it."""
    if value["type"] == "FeatureCollection":
        features = value.get("features")
        if not isinstance(features, list):
            raise _refused("/features", "a FeatureCollection needs a list of features")
        found = [(f"/features/{index}", feature) for index, feature in enumerate(features)]
    elif value["type"] == "Feature":
        found = [("", value)]
    else:
        found = [("", {"type": "Feature", "geometry": value, "properties": None})]
    for pointer, feature in found:
        if not isinstance(feature, dict) or feature.get("type") != "Feature":
            raise _refused(pointer, "a Feature is needed here")
        if not isinstance(feature.get("geometry"), dict):
            raise _refused(f"{pointer}/geometry", "a feature of a route needs a geometry")
    return found


def _layer(feature: dict[str, Any]) -> object:
    """Return the layer a feature says it belongs to."""
    properties = feature.get("properties")
    return properties.get("layer") if isinstance(properties, dict) else None


def _route_features(
    found: list[tuple[str, dict[str, Any]]],
) -> tuple[list[tuple[str, dict[str, Any]]], tuple[str, ...]]:
    """Return the features that are the route, and what is said of the rest."""
    waypoints = [one for one in found if _layer(one[1]) == "waypoint"]
    if waypoints and len(waypoints) < len(found):
        left = len(found) - len(waypoints)
        return waypoints, (f"the waypoint layer is read; {left} features of other layers are not",)
    return found, ()


def _positions(
    features: list[tuple[str, dict[str, Any]]],
) -> list[tuple[str, Any, Any]]:
    """Return the positions of the route: pointer, coordinates and properties of each."""
    kinds = [feature["geometry"].get("type") for _, feature in features]
    if kinds == ["LineString"]:
        pointer, feature = features[0]
        coordinates = feature["geometry"].get("coordinates")
        if not isinstance(coordinates, list):
            raise _refused(f"{pointer}/geometry/coordinates", "a list of positions is needed")
        return [
            (f"{pointer}/geometry/coordinates/{index}", position, {})
            for index, position in enumerate(coordinates)
        ]
    if kinds and all(kind == "Point" for kind in kinds):
        return [
            (
                f"{pointer}/geometry/coordinates",
                feature["geometry"].get("coordinates"),
                feature.get("properties"),
            )
            for pointer, feature in features
        ]
    listed = ", ".join(sorted({str(kind)[:40] for kind in kinds})) or "nothing"
    raise _refused(
        "/features",
        f"a route is one LineString, or Points in order; found {len(kinds)} features: {listed}",
    )


def _parts(positions: list[tuple[str, Any, Any]]) -> list[PartReading]:
    """Return every position beside the waypoint it gave."""
    parts = []
    taken: set[str] = set()
    given = {one for _, _, properties in positions if (one := _given_id(properties))}
    for number, (_, coordinates, properties) in enumerate(positions, start=1):
        raw = json.dumps(coordinates, ensure_ascii=False)[:MOST_TEXT]
        try:
            waypoint = _waypoint(coordinates, properties, _free_id(number, given | taken))
            if waypoint.id in taken:
                raise NotUnderstood(f"id {waypoint.id!r} is already that of an earlier position")
        except NotUnderstood as reason:
            row = ReadRow(line=number, raw=raw, problem=str(reason))
            parts.append(PartReading(row=row, waypoint=None))
            continue
        taken.add(waypoint.id)
        understood = shown(waypoint.lat_deg, waypoint.lon_deg)
        parts.append(
            PartReading(
                row=ReadRow(line=number, raw=raw, understood=understood, waypoint_id=waypoint.id),
                waypoint=waypoint,
            )
        )
    return parts


def _given_id(properties: Any) -> str | None:
    """Return the id that a position brings, None when it brings none that can be read."""
    try:
        return _word(properties, "id") if isinstance(properties, dict) else None
    except NotUnderstood:
        return None


def _free_id(number: int, taken: set[str]) -> str:
    """Return an id that no position has: its number, with a letter where that is taken."""
    name = f"WP{number:02d}"
    while name in taken:
        name += "x"
    return name


def _waypoint(coordinates: Any, properties: Any, free_id: str) -> Waypoint:
    """Return the waypoint at one position; ``free_id`` is its id where it has none of its own."""
    if properties is None:
        properties = {}
    if not isinstance(properties, dict):
        raise NotUnderstood("properties must be an object")
    if not isinstance(coordinates, list) or not 2 <= len(coordinates) <= 3:
        raise NotUnderstood("a position is [longitude, latitude]")
    if not all(isinstance(n, int | float) and not isinstance(n, bool) for n in coordinates):
        raise NotUnderstood("a position holds numbers only")
    lon_deg, lat_deg = float(coordinates[0]), float(coordinates[1])
    if abs(lat_deg) >= 90.0:
        swapped = " (longitude stands first)" if abs(lon_deg) < 90.0 else ""
        raise NotUnderstood(f"latitude {lat_deg:g} must lie between -90 and 90{swapped}")
    if abs(lon_deg) > 180.0:
        raise NotUnderstood(f"longitude {lon_deg:g} must lie in -180 to 180")
    return Waypoint(
        id=_word(properties, "id") or free_id,
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        name=_word(properties, "name"),
        turn_radius_nm=_number(properties, "turn_radius_nm"),
        gap_before=_flag(properties, "gap_before"),
        gap_after=_flag(properties, "gap_after"),
        wheel_over=wheel_over_choice(
            _word(properties, "wheel_over_method") or "",
            _number(properties, "wheel_over_distance_nm"),
        ),
        leg=_leg(properties),
        turn=turn_wishes(
            _word(properties, "turn_steering") or "",
            lambda member: _number(properties, member),
            lambda member: as_text(properties.get(member)),
        ),
        **asked("waypoint", lambda member: as_text(properties.get(member))),
    )


def _flag(properties: dict[str, Any], member: str) -> bool:
    """Return a mark of a point's properties; anything but true and false is refused."""
    value = properties.get(member)
    if value is None or isinstance(value, bool):
        return bool(value)
    raise NotUnderstood(f"{member} must be true or false")


def _leg(properties: dict[str, Any]) -> LegWishes | None:
    """Return what a point asks of the leg that leads to it, None when it asks nothing."""
    line = _word(properties, "line")
    if line is not None and line not in LINES:
        raise NotUnderstood(f"line {line!r} is neither rhumb nor geodesic")
    set_deg, drift_kn = current("leg", lambda member: _number(properties, member))
    said = [properties.get(member) or "" for member in (WATER_COLUMN, CLASS_COLUMN)]
    if not all(isinstance(one, str) for one in said):
        raise NotUnderstood(f"{WATER_COLUMN} and {CLASS_COLUMN} must be texts")
    water, by_class = leg_limits(*said)
    wishes = LegWishes(
        line=None if line is None else LINES[line],
        speed_kn=_number(properties, "speed_kn"),
        xtd_port_nm=_number(properties, "xtd_port_nm"),
        xtd_starboard_nm=_number(properties, "xtd_starboard_nm"),
        min_clearance_m=_number(properties, "min_clearance_m"),
        set_deg=set_deg,
        drift_kn=drift_kn,
        charted_depth_m=_number(properties, "charted_depth_m"),
        catzoc=zone(_word(properties, "catzoc") or ""),
        channel_width_m=_number(properties, "channel_width_m"),
        water=water,
        min_clearance_by_class=by_class,
        **asked("leg", lambda member: as_text(properties.get(member))),
    )
    return None if wishes == LegWishes() else wishes


def _number(properties: dict[str, Any], member: str) -> float | None:
    """Return a number of a point's properties, None when there is none."""
    value = properties.get(member)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NotUnderstood(f"{member} must be a number")
    return in_range(member, float(value))


def _word(properties: dict[str, Any], member: str) -> str | None:
    """Return a short text of a point's properties, None when there is none."""
    value = properties.get(member)
    if value is None or value == "":
        return None
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)  # mapping systems number their features
    if not isinstance(value, str) or len(value) > MOST_TEXT:
        raise NotUnderstood(f"{member} must be a text of at most {MOST_TEXT} characters")
    return value
