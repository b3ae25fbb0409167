"""Leeway and weather helm: what a steady wind does to a ship that holds her heading.

In the dimensionless terms of core/types/force_model.py, with b the leeway to starboard in radians,
d the rudder to starboard, and the wind's side force Y positive to starboard at x lengths ahead of
midships::

    Y - Yv b - (1 + aH) F = 0              F = f (d + g b)
    x Y - Nv b + h F = 0                   h = -(xR + aH xH)

    b = Y (1 + (1 + aH) x / h) / (Yv + (1 + aH) Nv / h)
    d = (Nv b - x Y) / (h f) - g b

Yv and Nv are the hull's forces by drift angle, F is the rudder's side force, f its slope and g the
straightening of the flow at it [LeewayBalance]_. Without a rudder that holds the heading b would be
Y / Yv.
"""

import math
from dataclasses import dataclass

from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import sin_cos_deg
from wheelover.core.manoeuvre.estimate_forces import (
    USUAL_LPP_RATIO,
    Dimensions,
    estimated_forces,
)
from wheelover.core.manoeuvre.mmg import balanced_revolutions_per_s
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import Current, InWind, Wind
from wheelover.core.types.ship import ShipProfile

AIR_OVER_WATER_RATIO = 1.225 / 1025.0
"""Density of air at 15 degrees Celsius over that of sea water."""

BEAM_FORCE_RATIO = 0.85
"""Side force of a wind from abeam over its pressure times the windage. From 0.7 for full tankers to
1.0 for car carriers: a fifth of the leeway is not known better than this [Windage]_."""

MOST_LEEWAY_DEG = 10.0
"""Beyond it the hull's side force is far above that in proportion to the drift angle."""

MOST_HELM_DEG = 15.0
"""Beyond it the lift of a rudder is no longer in proportion to its angle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipInWind:
    """A ship as the wind and the water find her; the centre of windage counts from midships."""

    forces: ForceModel
    windage_m2: float
    centre_ahead_m: float


def ship_in_wind(ship: ShipProfile, speed_m_per_s: float) -> ShipInWind:
    """Return a ship as wind and water find her.

    Parameters
    ----------
    ship : ShipProfile
        Her windage, dimensions, draughts and block coefficient. Without a length between
        perpendiculars 0.965 of that overall is taken, without a centre of windage midships.
    speed_m_per_s : float
        Speed through the water, above zero.

    Raises
    ------
    OutOfDomain
        When something needed is not given, or the regression does not hold for such a ship: the
        wind cannot be applied.
    """
    if ship.lateral_windage_m2 is None:
        raise OutOfDomain("the ship's windage is not given")
    if ship.block_coefficient is None:
        raise OutOfDomain("the ship's block coefficient is not given")
    if ship.propulsion == "twin_screw":
        raise OutOfDomain("forces are estimated for ships with one propeller and one rudder")
    draught_m = 0.5 * (ship.draught_fore_m + ship.draught_aft_m)
    if draught_m <= 0.0:
        raise OutOfDomain("the ship's draught is not above zero")
    centre_m = ship.windage_centre_from_bow_m
    return ShipInWind(
        forces=estimated_forces(
            Dimensions(
                name=ship.name,
                length_m=ship.lpp_m or USUAL_LPP_RATIO * ship.loa_m,
                beam_m=ship.beam_m,
                draught_m=draught_m,
                block_coefficient=ship.block_coefficient,
            ),
            speed_m_per_s=speed_m_per_s,
        ),
        windage_m2=ship.lateral_windage_m2,
        centre_ahead_m=0.0 if centre_m is None else 0.5 * ship.loa_m - centre_m,
    )


def in_wind(ship: ShipInWind, heading_deg: float, current: Current, wind: Wind) -> InWind:
    """Return leeway and weather helm on a steady heading.

    Parameters
    ----------
    ship : ShipInWind
        The ship at her speed through the water.
    heading_deg : float
        Her heading.
    current : Current
        It carries her through the air too.
    wind : Wind
        The true wind.

    Raises
    ------
    OutOfDomain
        When leeway or rudder are beyond what is in proportion to the wind's force.

    Notes
    -----
    The apparent wind's side force is that from abeam times the sine of its angle [Windage]_, and
    its centre stays at the centre of windage: in truth it moves forward with the wind before the
    beam and aft with the wind abaft it, by up to a fifth of her length, so that the weather helm is
    known in size better than in sign when it is small. Heel, waves and the wind's share of the
    resistance are left out. Deep water.

    Examples
    --------
    A ballasted ship of 200 m at 12 kn, 20 kn of wind from port abeam:

    >>> from wheelover.core.units import m_per_s_from_kn
    >>> profile = ShipProfile(name="Invented", loa_m=200.0, beam_m=32.0, draught_fore_m=6.0,
    ...     draught_aft_m=8.0, block_coefficient=0.75, lateral_windage_m2=3500.0)
    >>> ship = ship_in_wind(profile, m_per_s_from_kn(12.0))
    >>> wind = Wind(from_deg=270.0, speed_m_per_s=m_per_s_from_kn(20.0))
    >>> found = in_wind(ship, 0.0, Current(), wind)
    >>> round(found.leeway_deg, 1), round(found.helm_deg, 1)
    (1.1, 2.6)
    """
    forces = ship.forces
    across, apparent = _apparent_m_per_s(forces.speed_m_per_s, heading_deg, current, wind)
    push = side_push(ship, across, apparent)
    hull, rudder = forces.hull, forces.rudder
    behind = rudder.place_lengths + rudder.hull_force * rudder.hull_force_place_lengths
    lever, side = -behind, 1.0 + rudder.hull_force
    ahead = ship.centre_ahead_m / forces.length_m
    leeway_rad = push * (1.0 + side * ahead / lever) / (hull.y_v + side * hull.n_v / lever)
    slope, straightening = _at_rudder(forces)
    holds = (hull.n_v * leeway_rad - ahead * push) / lever
    found = InWind(
        leeway_deg=math.degrees(leeway_rad),
        helm_deg=math.degrees(holds / slope - straightening * leeway_rad),
    )
    _require_small(found)
    return found


def leeway_flow(found: InWind, heading_deg: float, speed_m_per_s: float) -> Current:
    """Return leeway as a current: what carries her to leeward, across her heading.

    Parameters
    ----------
    found : InWind
        Her leeway.
    heading_deg : float
        Her heading.
    speed_m_per_s : float
        Speed through the water.

    Examples
    --------
    >>> flow = leeway_flow(InWind(leeway_deg=-2.0, helm_deg=0.0), 10.0, 6.0)
    >>> flow.set_deg, round(flow.drift_m_per_s, 3)
    (280.0, 0.209)
    """
    side_deg = math.copysign(90.0, found.leeway_deg)
    return Current(
        set_deg=(heading_deg + side_deg) % 360.0,
        drift_m_per_s=speed_m_per_s * math.sin(math.radians(abs(found.leeway_deg))),
    )


def flows_together(*flows: Current) -> Current:
    """Return the current that is the vector sum of several.

    Examples
    --------
    >>> both = flows_together(Current(set_deg=0.0, drift_m_per_s=3.0),
    ...     Current(set_deg=90.0, drift_m_per_s=4.0))
    >>> round(both.set_deg, 2), both.drift_m_per_s
    (53.13, 5.0)
    """
    parts = [_vector_m_per_s(one.set_deg, one.drift_m_per_s) for one in flows]
    east, north = (math.fsum(part[axis] for part in parts) for axis in (0, 1))
    return Current(
        set_deg=math.degrees(math.atan2(east, north)) % 360.0,
        drift_m_per_s=math.hypot(east, north),
    )


def side_push(ship: ShipInWind, across_m_per_s: float, apparent_m_per_s: float) -> float:
    """Return the wind's side force over (rho / 2) L d U^2 of the water.

    Parameters
    ----------
    ship : ShipInWind
        The ship at her speed.
    across_m_per_s, apparent_m_per_s : float
        The apparent wind: what of it blows across her, to starboard positive, and all of it.
    """
    forces = ship.forces
    areas_ratio = ship.windage_m2 / (forces.length_m * forces.draught_m)
    speeds_ratio = across_m_per_s * apparent_m_per_s / forces.speed_m_per_s**2
    return AIR_OVER_WATER_RATIO * areas_ratio * BEAM_FORCE_RATIO * speeds_ratio


def _vector_m_per_s(towards_deg: float, speed_m_per_s: float) -> tuple[float, float]:
    """Return what goes towards a direction as east and north."""
    sine, cosine = sin_cos_deg(towards_deg)
    return float(sine) * speed_m_per_s, float(cosine) * speed_m_per_s


def _apparent_m_per_s(
    speed_m_per_s: float, heading_deg: float, current: Current, wind: Wind
) -> tuple[float, float]:
    """Return the apparent wind: what of it blows across her, to starboard positive, and all."""
    # What blows comes from where it is named; she goes against her own way and the current's.
    blows = _vector_m_per_s(wind.from_deg + 180.0, wind.speed_m_per_s)
    carried = _vector_m_per_s(current.set_deg, current.drift_m_per_s)
    east, north = blows[0] - carried[0], blows[1] - carried[1]
    sine, cosine = _vector_m_per_s(heading_deg, 1.0)
    across, along = east * cosine - north * sine, east * sine + north * cosine
    return across, math.hypot(across, along - speed_m_per_s)


def _at_rudder(forces: ForceModel) -> tuple[float, float]:
    """Return the rudder's force by angle over (rho / 2) L d U^2, and how leeway adds to the angle.

    Straight ahead, in the race of the propeller that holds her speed [YasukawaYoshimura]_.
    """
    propeller, rudder = forces.propeller, forces.rudder
    inflow_ratio = 1.0 - propeller.wake
    tip_m_per_s = balanced_revolutions_per_s(forces) * propeller.diameter_m
    advance_ratio = inflow_ratio * forces.speed_m_per_s / tip_m_per_s
    thrust = propeller.k_0 + advance_ratio * (propeller.k_1 + advance_ratio * propeller.k_2)
    behind = math.sqrt(1.0 + 8.0 * thrust / (math.pi * advance_ratio**2))
    raced = 1.0 + rudder.race * (behind - 1.0)
    share = propeller.diameter_m / rudder.height_m
    flow_ratio = (
        rudder.wake_over_propeller * inflow_ratio * math.sqrt(share * raced**2 + (1.0 - share))
    )
    area_ratio = rudder.area_m2 / (forces.length_m * forces.draught_m)
    slope = area_ratio * rudder.lift_slope * flow_ratio**2
    return slope, rudder.straightening_bow_out / flow_ratio


def _require_small(found: InWind) -> None:
    """Refuse what is no longer in proportion to the wind's force."""
    if abs(found.leeway_deg) > MOST_LEEWAY_DEG:
        raise OutOfDomain(
            f"in this wind she would make {abs(found.leeway_deg):.1f} degrees of leeway, more than "
            f"the {MOST_LEEWAY_DEG:g} that can be computed"
        )
    if abs(found.helm_deg) > MOST_HELM_DEG:
        raise OutOfDomain(
            f"in this wind she would carry {abs(found.helm_deg):.1f} degrees of rudder to hold her "
            f"heading, more than the {MOST_HELM_DEG:g} that can be computed"
        )
