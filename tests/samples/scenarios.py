"""The passages of the sample routes: invented ships, marks and dangers, in places of their own.

Positions may lie in real waters. Nothing here is for navigation.
"""

import math
from dataclasses import dataclass, field
from typing import Any

from wheelover.core.geo import geodesic, rhumb
from wheelover.core.types.route import Position
from wheelover.usecases.strike_turn import strike_turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A waypoint, with what is asked of the leg that leads to it."""

    lat_deg: float
    lon_deg: float
    name: str | None = None
    turn_radius_nm: float | None = None
    line: str = "rhumb"
    speed_kn: float | None = None
    xtd_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """One passage: its stops, its ship and its dangers, and what its plan must show."""

    key: str
    title: str
    stops: tuple[Stop, ...]
    ship: str
    dangers: tuple[dict[str, Any], ...] = ()
    limit_m: float | None = None
    conditions: dict[str, float] = field(default_factory=dict)
    codes: tuple[str, ...] = ()
    exchange_version: str = "1.2"


def danger(name: str, kind: str, geometry: str, coordinates: Any, **more: Any) -> dict[str, Any]:
    """Return a danger as a GeoJSON feature; its id is its name in plain letters."""
    return {
        "type": "Feature",
        "geometry": {"type": geometry, "coordinates": coordinates},
        "properties": {"id": name.lower().replace(" ", "-"), "name": name, "kind": kind, **more},
    }


def _coastal() -> Scenario:
    stops = (
        Stop(lat_deg=38.30, lon_deg=-9.45, name="Sea reach"),
        Stop(lat_deg=38.75, lon_deg=-9.75, name="Bold Head", turn_radius_nm=1.0, xtd_nm=0.5),
        Stop(lat_deg=39.30, lon_deg=-9.82, name="Bird Stacks", turn_radius_nm=1.5, xtd_nm=0.5),
        Stop(lat_deg=39.70, lon_deg=-9.62, name="Long Strand", turn_radius_nm=1.0, xtd_nm=0.5),
        Stop(
            lat_deg=40.60,
            lon_deg=-9.10,
            name="Bar turn",
            turn_radius_nm=0.5,
            xtd_nm=0.3,
            speed_kn=12.0,
        ),
        Stop(lat_deg=40.61, lon_deg=-8.93, name="Bar anchorage", xtd_nm=0.2, speed_kn=8.0),
    )
    dangers = (
        danger(
            "Bold Rock", "rock", "Point", [-9.705, 38.752], depth_m=4.2, position_uncertainty_m=20
        ),
        danger(
            "Bird Wreck",
            "wreck",
            "Point",
            [-9.78, 39.32],
            position_uncertainty_m=50,
            min_clearance_m=1000,
        ),
        danger(
            "Bar Spit", "shoal", "Point", [-9.092, 40.594], depth_m=6.0, position_uncertainty_m=50
        ),
    )
    return Scenario(
        key="coastal",
        title="Coastal passage",
        stops=stops,
        ship="coaster-84",
        dangers=dangers,
        limit_m=926.0,
        codes=("clearance_not_met", "reach_assumed"),
        exchange_version="1.1",
    )


def _about_light() -> Scenario:
    light = Position(lat_deg=45.0, lon_deg=-12.0)
    turn = strike_turn(light, 1.0, 40.0, 130.0)["waypoint"]
    before = rhumb.direct(turn["lat_deg"], turn["lon_deg"], 220.0, 14_816.0)
    after = rhumb.direct(turn["lat_deg"], turn["lon_deg"], 130.0, 14_816.0)
    stops = (
        Stop(
            lat_deg=round(float(before[0][0]), 7),
            lon_deg=round(float(before[1][0]), 7),
            name="Inbound",
        ),
        Stop(
            lat_deg=round(turn["lat_deg"], 7),
            lon_deg=round(turn["lon_deg"], 7),
            name="Round Sole Light",
            turn_radius_nm=1.0,
        ),
        Stop(
            lat_deg=round(float(after[0][0]), 7),
            lon_deg=round(float(after[1][0]), 7),
            name="Outbound",
        ),
    )
    dangers = (
        danger(
            "Sole Light",
            "light",
            "Point",
            [-12.0, 45.0],
            position_uncertainty_m=0,
            min_clearance_m=1800,
        ),
    )
    return Scenario(
        key="round-a-light",
        title="Turn about a light",
        stops=stops,
        ship="container-280",
        dangers=dangers,
        codes=("dangers_loaded",),
        exchange_version="1.0",
    )


def _short_legs() -> Scenario:
    stops = (
        Stop(lat_deg=46.00, lon_deg=-20.00, name="Straight in"),
        Stop(lat_deg=46.10, lon_deg=-20.00, name="First of the pair", turn_radius_nm=0.4),
        Stop(lat_deg=46.1045, lon_deg=-19.9935, name="Second of the pair", turn_radius_nm=0.4),
        Stop(lat_deg=46.20, lon_deg=-19.9935, name="Straight out"),
    )
    return Scenario(
        key="short-legs",
        title="Short legs that do not fit",
        stops=stops,
        ship="container-280",
        codes=("leg_too_short",),
        conditions={"set_deg": 90.0, "drift_kn": 2.0},
    )


def _antimeridian() -> Scenario:
    stops = (
        Stop(lat_deg=44.0, lon_deg=177.0, name="West of it"),
        Stop(lat_deg=44.8, lon_deg=179.5, name="Last east", turn_radius_nm=1.0),
        Stop(lat_deg=45.0, lon_deg=-179.6, name="First west", turn_radius_nm=1.0, line="geodesic"),
        Stop(lat_deg=44.2, lon_deg=-177.5, name="East of it"),
    )
    halves = [
        [[[179.7, 44.95], [180.0, 44.95], [180.0, 45.05], [179.7, 45.05], [179.7, 44.95]]],
        [[[-180.0, 44.95], [-179.9, 44.95], [-179.9, 45.05], [-180.0, 45.05], [-180.0, 44.95]]],
    ]
    dangers = (
        danger(
            "Date Bank",
            "shoal area",
            "MultiPolygon",
            halves,
            depth_m=9.0,
            position_uncertainty_m=100,
        ),
    )
    return Scenario(
        key="antimeridian",
        title="Across 180 degrees",
        stops=stops,
        ship="container-280",
        dangers=dangers,
        limit_m=1852.0,
        codes=("clearance_not_met",),
    )


def _high_latitude() -> Scenario:
    stops = (
        Stop(lat_deg=78.5, lon_deg=0.0, name="Ice edge south"),
        Stop(lat_deg=80.2, lon_deg=2.0, name="Ice edge", turn_radius_nm=2.0),
        Stop(
            lat_deg=81.0,
            lon_deg=15.0,
            name="Off the north cape",
            turn_radius_nm=2.0,
            line="geodesic",
        ),
        Stop(lat_deg=81.2, lon_deg=30.0, name="Polynya", line="rhumb"),
    )
    return Scenario(
        key="high-latitude",
        title="High latitude",
        stops=stops,
        ship="coaster-84",
        codes=("dangers_loaded",),
    )


def _ocean_200() -> Scenario:
    """A hundred short legs along a coast, then a hundred across an ocean along a geodesic."""
    stops = [
        Stop(
            lat_deg=round(37.05 + 0.06 * number, 4),
            lon_deg=round(-9.85 - 0.03 * (number % 2) - 0.02 * math.sin(number), 4),
            turn_radius_nm=0.5 if number else None,
            speed_kn=12.0 if number else None,
        )
        for number in range(100)
    ]
    azimuth, _, whole_m = (float(one[0]) for one in geodesic.inverse(43.0, -10.2, 38.5, -60.0))
    for number in range(100):
        lat, lon, course = geodesic.direct(43.0, -10.2, azimuth, whole_m * number / 99)
        off = geodesic.direct(lat, lon, course + 90.0, 400.0 * (number % 3 - 1))
        stops.append(
            Stop(
                lat_deg=round(float(off[0][0]), 4),
                lon_deg=round(float(off[1][0]), 4),
                turn_radius_nm=1.5 if number < 99 else None,
                line="geodesic",
                speed_kn=16.0,
            )
        )
    return Scenario(
        key="ocean-200",
        title="Two hundred waypoints",
        stops=tuple(stops),
        ship="tanker-333",
        codes=("dangers_loaded",),
    )


def _lines_and_areas() -> Scenario:
    stops = (
        Stop(lat_deg=47.00, lon_deg=-25.00, name="Field south"),
        Stop(lat_deg=47.30, lon_deg=-25.00, name="Cable corner", turn_radius_nm=0.8, xtd_nm=0.3),
        Stop(lat_deg=47.35, lon_deg=-24.50, name="Field east", xtd_nm=0.3),
    )
    ring = [[-25.02, 47.10], [-24.98, 47.10], [-24.98, 47.14], [-25.02, 47.14], [-25.02, 47.10]]
    outer = [[-24.90, 47.20], [-24.60, 47.20], [-24.60, 47.45], [-24.90, 47.45], [-24.90, 47.20]]
    hole = [[-24.88, 47.24], [-24.62, 47.24], [-24.62, 47.43], [-24.88, 47.43], [-24.88, 47.24]]
    dangers = (
        danger(
            "Mid Cable",
            "cable",
            "LineString",
            [[-25.04, 47.02], [-25.012, 47.20], [-25.06, 47.40]],
            position_uncertainty_m=100,
        ),
        danger("Practice Ground", "restricted area", "Polygon", [ring]),
        danger("Ring Bank", "shoal area", "Polygon", [outer, hole], depth_m=11.0),
        danger(
            "Wave Buoys",
            "buoys",
            "MultiPoint",
            [[-24.97, 47.26], [-24.96, 47.27]],
            position_uncertainty_m=150,
        ),
    )
    return Scenario(
        key="lines-and-areas",
        title="Lines and areas",
        stops=stops,
        ship="coaster-84",
        dangers=dangers,
        codes=("danger_crossed", "cross_track_wider_port"),
        exchange_version="1.1",
    )


def _equator() -> Scenario:
    stops = (
        Stop(lat_deg=-1.20, lon_deg=-30.40, name="South of the line"),
        Stop(lat_deg=-0.10, lon_deg=-30.00, name="The line", turn_radius_nm=1.2, speed_kn=15.0),
        Stop(lat_deg=0.60, lon_deg=-28.60, name="Sharp north", turn_radius_nm=0.9, speed_kn=15.0),
        Stop(
            lat_deg=1.60, lon_deg=-29.00, name="North of the line", speed_kn=15.0, line="geodesic"
        ),
    )
    return Scenario(
        key="equator",
        title="Across the equator in a current",
        stops=stops,
        ship="tanker-333",
        conditions={"set_deg": 285.0, "drift_kn": 1.5},
        codes=("turn_current", "methods_apart"),
    )


SCENARIOS = (
    _coastal(),
    _about_light(),
    _short_legs(),
    _antimeridian(),
    _high_latitude(),
    _ocean_200(),
    _lines_and_areas(),
    _equator(),
)
