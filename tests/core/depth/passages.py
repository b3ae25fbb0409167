"""Small makers for tests of the sums. All data here is invented."""

from dataclasses import replace
from typing import Any

from tests import zoo
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.depth import DepthSum, Term
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.tide import Between, Tide, TideHeight

DEPARTURE_S = 1_795_615_200.0
"""2026-11-25T14:00:00Z."""

TANKER = ShipProfile(
    name="Zoo tanker 200",
    loa_m=206.0,
    lpp_m=200.0,
    beam_m=32.0,
    draught_fore_m=11.8,
    draught_aft_m=12.0,
    block_coefficient=0.8,
    air_draught_m=34.0,
    speed_kn=10.0,
    turn_radius_nm=0.5,
    displacement_t=62_000.0,
    tpc_t_per_cm=55.0,
    gm_m=3.0,
    kg_m=9.0,
    lateral_windage_m2=2400.0,
    windage_centre_above_water_m=8.0,
)

CALM = Conditions(wave_height_m=0.0, wind_kn=0.0, wind_from_deg=0.0, departure_s=DEPARTURE_S)

ASKED = Limits(min_ukc_m=0.5, min_ukc_draught_ratio=0.1)


def corner(*legs: LegWishes) -> Route:
    """Return a route of two legs of 12 and 16 miles with a turn between them."""
    plain = zoo.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.6)])
    wishes = legs if len(legs) == 2 else legs * 2
    ends = zip(plain.waypoints[1:], wishes, strict=True)
    waypoints = (plain.waypoints[0], *(replace(waypoint, leg=leg) for waypoint, leg in ends))
    return replace(plain, waypoints=waypoints)


def depth(depth_m: float, **more: Any) -> LegWishes:
    """Return a leg with a charted depth, well surveyed unless it is said otherwise."""
    return LegWishes(charted_depth_m=depth_m, **{"catzoc": "A1", **more})


def plan(*legs: LegWishes, **more: Any) -> Plan:
    """Return the plan of a corner with everything known that the sums need."""
    return zoo.plan(
        corner(*legs),
        **{"ship": TANKER, "conditions": CALM, "limits": ASKED, **more},
    )


def leg_sum(made: Plan, index: int = 0) -> DepthSum:
    """Return the sum of a leg."""
    return next(
        one for one in made.depths.sums if one.piece.kind == "leg" and one.piece.index == index
    )


def turn_sum(made: Plan, index: int = 0) -> DepthSum:
    """Return the sum of a turn."""
    return next(
        one for one in made.depths.sums if one.piece.kind == "turn" and one.piece.index == index
    )


def terms(found: Any) -> dict[str, Term]:
    """Return the terms of a sum by their names."""
    return {one.name: one for one in found.terms}


def tide(*heights: tuple[float, float], between: Between = "cosine", **more: Any) -> Tide:
    """Return a table of tides: hours after the departure, and metres."""
    return Tide(
        station="Zoo bar",
        heights=tuple(
            TideHeight(at_s=DEPARTURE_S + hours * 3600.0, height_m=metres)
            for hours, metres in heights
        ),
        between=between,
        **more,
    )


def result(made: Plan, check: str, index: int = 0) -> Any:
    """Return the row of a check on a leg or turn."""
    return next(row for row in made.checks if row.check == check and row.subject.index == index)
