"""Turns with marks about them, for tests of cues."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from tests import zoo
from wheelover.core.aids.helms import Helm, helms_of
from wheelover.core.geo import geodesic
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.marks import Mark
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import Position, Route, TurnWishes

WATCHING = replace(zoo.SHIP, eye_height_m=25.0, radar_height_m=36.0)
RIGHT = ((47.0, -30.0), (47.2, -30.0), (47.2, -29.6))
"""North, then east: an alteration of 90 degrees to starboard."""

SLIGHT = ((47.0, -30.0), (47.2, -30.0), (47.4, -29.95))
"""North, then ten degrees to starboard."""


def plan_of(
    places: Sequence[tuple[float, float]] = RIGHT,
    marks: Sequence[Mark] = (),
    *,
    cue_ids: tuple[str, ...] = (),
    ship: Any = WATCHING,
    conditions: Conditions | None = None,
    limits: Limits | None = None,
) -> Plan:
    """Return the plan of a route among the user's own marks; the cues are of its first turn."""
    plain = zoo.route(places, radii_nm=[0.5] * (len(places) - 2))
    route = replace(
        plain,
        waypoints=tuple(
            replace(one, turn=TurnWishes(cue_ids=cue_ids)) if number == 1 and cue_ids else one
            for number, one in enumerate(plain.waypoints)
        ),
    )
    return zoo.plan(
        route,
        ship=ship,
        a_chart=replace(zoo.NO_CHART, marks=tuple(marks)),
        conditions=conditions,
        limits=limits or Limits(),
    )


def helm_of(route: Route | Sequence[tuple[float, float]] = RIGHT) -> Helm:
    """Return the wheel-over of the first turn of a route."""
    plan = plan_of(route) if not isinstance(route, Route) else zoo.plan(route, ship=WATCHING)
    return helms_of(plan.turns, plan.legs, plan.times)[0]


def mark_at(mark_id: str, helm: Helm, relative_deg: float, range_m: float, **more: Any) -> Mark:
    """Return a mark at a relative bearing and range from a wheel-over, easily seen and shown."""
    lat, lon, _ = geodesic.direct(
        helm.at.lat_deg, helm.at.lon_deg, helm.course_in_deg + relative_deg, range_m
    )
    given = {
        "kind": "landmark",
        "source": "you",
        "height_m": 50.0,
        "visually_conspicuous": True,
        "radar_conspicuous": True,
        "lit": True,
        "nominal_range_nm": 15.0,
        **more,
    }
    place = Position(lat_deg=float(lat[0]), lon_deg=float(lon[0]))
    return Mark(id=mark_id, name=mark_id, position=place, **given)


def scattered(count: int, about: Position, within_deg: float = 0.25, seed: int = 3) -> list[Mark]:
    """Return marks of all sorts about a place."""
    rng = np.random.default_rng(seed)
    return [
        Mark(
            id=f"m{number}",
            name=f"m{number}",
            position=Position(
                lat_deg=about.lat_deg + rng.uniform(-within_deg, within_deg),
                lon_deg=about.lon_deg + rng.uniform(-within_deg, within_deg),
            ),
            kind=("landmark", "beacon", "light")[rng.integers(3)],
            source="you",
            floating=bool(rng.integers(2)),
            lit=bool(rng.integers(2)),
            height_m=None if rng.integers(3) == 0 else float(rng.uniform(2.0, 60.0)),
            nominal_range_nm=None if rng.integers(3) == 0 else float(rng.uniform(1.0, 20.0)),
            visually_conspicuous=(True, False, None)[rng.integers(3)],
            radar_conspicuous=(True, False, None)[rng.integers(3)],
        )
        for number in range(count)
    ]
