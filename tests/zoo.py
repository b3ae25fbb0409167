"""The awkward routes and the small makers that many tests share. All data here is invented."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.clearance.whole import clear as clear_of
from wheelover.core.planning import make_plan
from wheelover.core.types.chart import Chart, Hazards
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, LineKind, Route, Waypoint
from wheelover.core.types.ship import Response, ShipProfile
from wheelover.formats.geojson_shapes import shapes_of

Vectors = Callable[[str], list[dict[str, Any]]]

SHIP = ShipProfile(
    name="Zoo carrier 200",
    loa_m=200.0,
    beam_m=32.0,
    draught_fore_m=10.0,
    draught_aft_m=10.0,
    speed_kn=12.0,
    turn_radius_nm=0.5,
)


RESPONSE = Response(
    k_per_s=0.0741,
    t_s=107.0,
    at_speed_kn=12.0,
    alpha_s2=12_000.0,
    drift_lengths=0.45,
    race_exponent=1.2,
    speed_recovery=0.075,
    speed_loss=0.7,
    drift_lag=0.5,
)
"""Of the size that fits to turning circles give."""

QUICK_RESPONSE = Response(
    k_per_s=0.05,
    t_s=30.0,
    at_speed_kn=15.0,
    alpha_s2=5000.0,
    drift_lengths=0.4,
    race_exponent=1.0,
    speed_recovery=0.075,
    speed_loss=0.7,
    drift_lag=0.6,
)
"""Of a ship that answers quickly."""


def route(
    places: Sequence[tuple[float, float]],
    *,
    lines: Sequence[LineKind] | None = None,
    radii_nm: Sequence[float] | None = None,
    leg: LegWishes | None = None,
) -> Route:
    """Return a route through (lat, lon) places, with a line for each leg and a radius for each
    waypoint between two legs.
    """
    waypoints = []
    for index, (lat_deg, lon_deg) in enumerate(places):
        kind: LineKind = lines[index - 1] if lines is not None and index else "rhumb"
        between = 0 < index < len(places) - 1
        radius_nm = radii_nm[index - 1] if radii_nm is not None and between else None
        waypoints.append(
            Waypoint(
                id=f"W{index}",
                lat_deg=lat_deg,
                lon_deg=lon_deg,
                turn_radius_nm=radius_nm,
                leg=(leg or LegWishes(line=kind)) if index else None,
            )
        )
    return Route(name="zoo", waypoints=tuple(waypoints))


def points(
    places: Sequence[tuple[float, float]],
    *,
    uncertainty_m: float = 0.0,
    limit_m: float = float("nan"),
) -> Hazards:
    """Return point dangers at (lat, lon) places."""
    geometries = [("Point", [lon_deg, lat_deg]) for lat_deg, lon_deg in places]
    return dangers(geometries, uncertainty_m=uncertainty_m, limit_m=limit_m)


def dangers(
    geometries: Sequence[tuple[str, Any]],
    *,
    uncertainty_m: float = 0.0,
    limit_m: float = float("nan"),
) -> Hazards:
    """Return dangers of GeoJSON (type, coordinates)."""
    count = len(geometries)
    own_points, paths = shapes_of(geometries)
    return Hazards(
        ids=tuple(f"h{index}" for index in range(count)),
        names=(None,) * count,
        kinds=(None,) * count,
        shapes=tuple(kind for kind, _ in geometries),
        depth_m=np.full(count, np.nan),
        position_uncertainty_m=np.full(count, uncertainty_m),
        uncertainty_given=np.ones(count, dtype=np.bool_),
        min_clearance_m=np.full(count, limit_m),
        points=own_points,
        paths=paths,
    )


def chart(*places: tuple[float, float], **more: float) -> Chart:
    """Return a chart of point dangers."""
    return Chart(loaded=True, hazards=points(places, **more))


NO_CHART = Chart(loaded=False, hazards=points([]))


def plan(
    a_route: Route,
    *,
    ship: ShipProfile | None = SHIP,
    a_chart: Chart = NO_CHART,
    limit_m: float | None = None,
    conditions: Conditions | None = None,
    limits: Limits | None = None,
) -> Plan:
    """Return the plan of a route with everything else as plain as can be."""
    return make_plan(
        a_route,
        ship,
        a_chart,
        conditions or Conditions(),
        limits or Limits(min_clearance_m=limit_m),
    )


def request(**more: Any) -> dict[str, Any]:
    """Return a small good plan request; members given replace its own."""
    body: dict[str, Any] = {
        "route": {
            "name": "zoo",
            "waypoints": [
                {"id": "A", "lat_deg": 47.0, "lon_deg": -30.0},
                {"id": "B", "lat_deg": 47.2, "lon_deg": -30.0, "turn_radius_nm": 0.5},
                {"id": "C", "lat_deg": 47.2, "lon_deg": -29.6},
            ],
        },
        "ship": {
            "name": "Zoo carrier 200",
            "loa_m": 200.0,
            "beam_m": 32.0,
            "draught_fore_m": 10.0,
            "draught_aft_m": 10.0,
            "speed_kn": 12.0,
        },
        "hazards": {
            "type": "FeatureCollection",
            "features": [
                {
                    "type": "Feature",
                    "geometry": {"type": "Point", "coordinates": [-29.99, 47.19]},
                    "properties": {"id": "rock", "name": "Zoo rock"},
                }
            ],
        },
        "limits": {"min_clearance_m": 500.0},
    }
    return {**body, **more}


def clear(
    pieces: tuple[TrackPiece, ...], hazards: Hazards, limit_m: float | None = None
) -> Clearances:
    """Return how near a track comes to dangers, with one limit for all or none."""
    return clear_of(pieces, hazards, Limits(min_clearance_m=limit_m))
