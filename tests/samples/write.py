"""Writes the sample files: ``python -m tests.samples.write``.

The route files are plain ones, as another system would write them, with what each format has room
for: GPX has no radius, speed or limits.
"""

import json
from pathlib import Path
from typing import Any
from xml.sax.saxutils import quoteattr

from tests.samples.scenarios import SCENARIOS, Scenario, Stop
from wheelover.formats.exchange_route import NAMESPACES
from wheelover.formats.positions import shown

SAMPLES = Path(__file__).parents[2] / "sample_routes"
INVENTED = "Ship, marks and dangers are invented. Not for navigation."

_GEOMETRY = {"rhumb": "Loxodrome", "geodesic": "Orthodrome"}


def csv_text(scenario: Scenario) -> str:
    """Return the passage as CSV; positions in degrees and minutes where they are told exactly."""
    lines = ["id,name,latitude,longitude,turn_radius_nm,line,speed_kn,xtd_port_nm,xtd_starboard_nm"]
    for number, stop in enumerate(scenario.stops, start=1):
        lat, lon = _spelt(stop)
        cells = [
            number,
            stop.name,
            lat,
            lon,
            stop.turn_radius_nm,
            stop.line if number > 1 else None,
            stop.speed_kn,
            stop.xtd_nm,
            stop.xtd_nm,
        ]
        lines.append(",".join("" if cell is None else str(cell) for cell in cells))
    return "\n".join(lines) + "\n"


def _spelt(stop: Stop) -> tuple[str, str]:
    """Return a position as degrees and minutes, or as signed degrees where that would round it."""
    minutes = [round(value * 60_000.0, 6) for value in (stop.lat_deg, stop.lon_deg)]
    if all(value == round(value) for value in minutes):
        lat, lon = shown(stop.lat_deg, stop.lon_deg).split()
        return lat, lon
    return f"{stop.lat_deg:+.7f}", f"{stop.lon_deg:+.7f}"


def geojson_text(scenario: Scenario) -> str:
    """Return the passage as GeoJSON points in order."""
    features = []
    for number, stop in enumerate(scenario.stops, start=1):
        members = {
            "id": str(number),
            "name": stop.name,
            "turn_radius_nm": stop.turn_radius_nm,
            "line": stop.line if number > 1 else None,
            "speed_kn": stop.speed_kn,
            "xtd_port_nm": stop.xtd_nm,
            "xtd_starboard_nm": stop.xtd_nm,
        }
        features.append(
            {
                "type": "Feature",
                "geometry": {"type": "Point", "coordinates": [stop.lon_deg, stop.lat_deg]},
                "properties": {key: value for key, value in members.items() if value is not None},
            }
        )
    return collection_text({"name": scenario.title, "note": INVENTED}, features)


def collection_text(members: dict[str, Any], features: list[dict[str, Any]]) -> str:
    """Return a FeatureCollection, one feature on a line."""
    head = json.dumps({"type": "FeatureCollection", **members}, ensure_ascii=False)[:-1]
    rows = ",\n".join(json.dumps(one, ensure_ascii=False) for one in features)
    return f'{head}, "features": [\n{rows}\n]}}\n'


def gpx_text(scenario: Scenario) -> str:
    """Return the passage as GPX 1.1."""
    points = [
        f'<rtept lat="{stop.lat_deg:.7f}" lon="{stop.lon_deg:.7f}">'
        f"{f'<name>{stop.name}</name>' if stop.name else ''}</rtept>"
        for stop in scenario.stops
    ]
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<gpx version="1.1" creator="wheelover samples" '
        'xmlns="http://www.topografix.com/GPX/1/1">\n'
        f"<metadata><desc>{INVENTED}</desc></metadata>\n"
        f"<rte><name>{scenario.title}</name>\n" + "\n".join(points) + "\n</rte>\n</gpx>\n"
    )


def exchange_text(scenario: Scenario) -> str:
    """Return the passage as route exchange XML; legs stand with the waypoint they lead to."""
    version = scenario.exchange_version
    rows = []
    for number, stop in enumerate(scenario.stops, start=1):
        radius = "" if stop.turn_radius_nm is None else f' radius="{stop.turn_radius_nm:g}"'
        name = "" if stop.name is None else f" name={quoteattr(stop.name)}"
        xtd = ""
        if stop.xtd_nm is not None:
            xtd = f' portsideXTD="{stop.xtd_nm:g}" starboardXTD="{stop.xtd_nm:g}"'
        leg = f'<leg{xtd} geometryType="{_GEOMETRY[stop.line]}"/>' if number > 1 else ""
        rows.append(
            f'<waypoint id="{number}"{name}{radius}>'
            f'<position lat="{stop.lat_deg:.7f}" lon="{stop.lon_deg:.7f}"/>{leg}</waypoint>'
        )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<route version="{version}" xmlns="{NAMESPACES[version]}">\n'
        f"<routeInfo routeName={quoteattr(scenario.title)}/>\n<waypoints>\n"
        + "\n".join(rows)
        + "\n</waypoints>\n</route>\n"
    )


def dangers_text(scenario: Scenario) -> str:
    """Return the dangers of a passage."""
    name = f"{scenario.title}: invented dangers"
    return collection_text({"name": name}, list(scenario.dangers))


def texts() -> dict[str, str]:
    """Return every written file by its name."""
    files = {}
    for one in SCENARIOS:
        files[f"{one.key}.csv"] = csv_text(one)
        files[f"{one.key}.geojson"] = geojson_text(one)
        files[f"{one.key}.gpx"] = gpx_text(one)
        files[f"{one.key}.rtz"] = exchange_text(one)
        if one.dangers:
            files[f"{one.key}-hazards.geojson"] = dangers_text(one)
    return files


def main() -> None:
    """Write them."""
    for name, text in texts().items():
        (SAMPLES / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
