"""The force model of a ship of which only the main dimensions are known: a regression.

Hull forces after [YoshimuraMasumoto]_, added masses after Motora's charts as fitted there, for
merchant ships with one propeller and one rudder, in deep water and on even keel. Where a published
set is known the regression misses it by up to 10 per cent in advance and 20 per cent in tactical
diameter, and overshoots of a zig-zag come out 3 to 70 per cent too small: what it gives is an
estimate and is called so.
"""

import math
from dataclasses import dataclass

from wheelover.core.errors import OutOfDomain
from wheelover.core.types.force_model import (
    ForceModel,
    HullForces,
    Masses,
    Prime,
    Propeller,
    RudderForces,
)

USUAL_LPP_RATIO = 0.965
"""Length between perpendiculars over length overall of usual merchant ships."""

_BLOCK, _SLENDER = (0.5, 0.9), (4.0, 9.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimensions:
    """Main dimensions, and what else is known of a ship.

    Length is between perpendiculars, draught the mean. What is not given is that of usual ships: a
    rudder of a fiftieth of length times draught and 0.75 draughts high, a propeller of 0.62
    draughts, the centre of gravity at midships, wake and resistance after the block coefficient.
    """

    name: str
    length_m: float
    beam_m: float
    draught_m: float
    block_coefficient: float
    rudder_area_m2: float | None = None
    rudder_height_m: float | None = None
    propeller_diameter_m: float | None = None
    centre_ahead_m: float = 0.0
    wake: Prime | None = None
    resistance: Prime | None = None


def estimated_forces(ship: Dimensions, *, speed_m_per_s: float) -> ForceModel:
    """Return the force model that the regression gives for a ship.

    Parameters
    ----------
    ship : Dimensions
        What is known of her.
    speed_m_per_s : float
        Approach speed through the water.

    Raises
    ------
    OutOfDomain
        For a block coefficient outside 0.5 to 0.9, or a length outside 4 to 9 beams: beyond the
        ships the regression was made from.

    Notes
    -----
    Dimensionless numbers used: c = Cb B / L, k = 2 d / L, q = L / B [YoshimuraMasumoto]_.
    """
    slender = ship.length_m / ship.beam_m
    if not (
        _BLOCK[0] <= ship.block_coefficient <= _BLOCK[1] and _SLENDER[0] <= slender <= _SLENDER[1]
    ):
        raise OutOfDomain(
            f"block coefficient {ship.block_coefficient:g}, length {slender:.1f} beams: forces are "
            f"estimated for {_BLOCK[0]} to {_BLOCK[1]} and {_SLENDER[0]:g} to {_SLENDER[1]:g} only"
        )
    return ForceModel(
        name=ship.name,
        source="estimated from main dimensions, Yoshimura and Masumoto 2012",
        length_m=ship.length_m,
        beam_m=ship.beam_m,
        draught_m=ship.draught_m,
        speed_m_per_s=speed_m_per_s,
        masses=_masses(ship),
        hull=_hull(ship),
        propeller=_propeller(ship),
        rudder=_rudder(ship),
    )


def _hull(ship: Dimensions) -> HullForces:
    """Return the hull's polynomials in the drift angle."""
    block, slender = ship.block_coefficient, ship.length_m / ship.beam_m
    full, deep = block / slender, 2.0 * ship.draught_m / ship.length_m
    fine = (1.0 - block) * slender
    return HullForces(
        form="drift_angle",
        resistance=ship.resistance or (0.012 if block > 0.7 else 0.014),
        x_vv=1.15 * full - 0.18,
        x_vr=-1.91 * full + 0.08,
        x_rr=-0.085 * full + 0.008,
        x_vvvv=-6.68 * full + 1.1,
        y_v=math.pi * deep / 2.0 + 1.4 * full,
        y_r=0.5 * full,
        y_vvv=0.185 * slender + 0.48,
        y_vvr=-0.75,
        y_vrr=0.26 * fine + 0.11,
        y_rrr=-0.051,
        n_v=deep,
        n_r=-0.54 * deep + deep**2,
        n_vvv=-0.69 * block + 0.66,
        n_vvr=1.55 * full - 0.76,
        n_vrr=-0.075 * fine + 0.098,
        n_rrr=0.25 * full - 0.056,
    )


def _masses(ship: Dimensions) -> Masses:
    """Return mass and added masses."""
    block, slender = ship.block_coefficient, ship.length_m / ship.beam_m
    depth = ship.draught_m / ship.beam_m
    long_depth = depth * slender
    volume_m3 = block * ship.length_m * ship.beam_m * ship.draught_m
    mass = 2.0 * volume_m3 / (ship.length_m**2 * ship.draught_m)
    sway_ratio = (
        0.882
        - 0.54 * block * (1.0 - 1.6 * depth)
        - 0.156 * (1.0 - 0.673 * block) * slender
        + 0.826 * long_depth * (1.0 - 0.678 * depth)
        - 0.638 * block * long_depth * (1.0 - 0.669 * depth)
    )
    yaw_lengths = 0.01 * (
        33.0 - 76.85 * block * (1.0 - 0.784 * block) + 3.43 * slender * (1.0 - 0.63 * block)
    )
    return Masses(
        displacement_m3=volume_m3,
        centre_ahead_m=ship.centre_ahead_m,
        gyration_lengths=0.25,
        added_surge=0.05 * mass,
        added_sway=sway_ratio * mass,
        added_yaw=yaw_lengths**2 * mass,
    )


def _propeller(ship: Dimensions) -> Propeller:
    """Return a propeller of usual size in the wake of such a hull."""
    return Propeller(
        diameter_m=ship.propeller_diameter_m or 0.62 * ship.draught_m,
        place_lengths=-0.48,
        thrust_deduction=0.20,
        wake=0.5 * ship.block_coefficient - 0.05 if ship.wake is None else ship.wake,
        wake_decay=4.0,
        wake_bend=0.0,
        wake_bow_in=1.0,
        wake_bow_out=1.0,
        k_0=0.35,
        k_1=-0.33,
        k_2=-0.13,
    )


def _rudder(ship: Dimensions) -> RudderForces:
    """Return a rudder of usual height and the flow at it."""
    full = ship.block_coefficient * ship.beam_m / ship.length_m
    area_m2 = ship.rudder_area_m2 or ship.length_m * ship.draught_m / 50.0
    height_m = ship.rudder_height_m or 0.75 * ship.draught_m
    aspect = height_m**2 / area_m2
    wake_over = 2.26 - 1.82 * (1.0 - _propeller(ship).wake)
    straightening = 2.06 * full + 0.14
    return RudderForces(
        area_m2=area_m2,
        height_m=height_m,
        lift_slope=6.13 * aspect / (2.25 + aspect),
        place_lengths=-0.5,
        steering_deduction=0.39,
        hull_force=3.6 * full,
        hull_force_place_lengths=-0.40,
        wake_over_propeller=wake_over,
        race=0.55 / wake_over,
        straightening_bow_in=straightening,
        straightening_bow_out=straightening,
        flow_place_lengths=-0.9,
    )
