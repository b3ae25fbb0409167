"""The coefficients of the force model of a ship: hull, propeller and rudder.

The standard method of the Manoeuvring Modelling Group [YasukawaYoshimura]_. Places count from
midships: x forward, y to starboard; turning and rudder to starboard positive. Dimensionless
coefficients are of type ``Prime``: forces over (rho / 2) L d U^2, moments over that times L, masses
over (rho / 2) L^2 d, moments of inertia over (rho / 2) L^4 d, lengths over L, rate of turn
r' = r L / U. The density of the water cancels.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

Prime: TypeAlias = float
"""A number without a unit, made so as the head of this module says."""

HullForm = Literal["sway_velocity", "drift_angle"]
"""What the polynomials of the hull are in, beside the rate of turn.

``sway_velocity``: v' = v / U; resistance goes with U^2, and the added masses stand in the surge and
sway equations. ``drift_angle``: beta = atan(-v / u), bow inside the turn of the same sign as the
turn; resistance goes with u^2, and the added-mass parts of m v r and m u r are within ``x_vr`` and
``y_r``.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HullForces:
    """Hull polynomials: x surge force, y sway force, n yaw moment.

    In the names v is v' or beta as ``form`` says, r is r'; ``x_vvvv`` belongs to the fourth power.
    ``resistance`` is that straight ahead, above zero.
    """

    form: HullForm
    resistance: Prime
    x_vv: Prime
    x_vr: Prime
    x_rr: Prime
    x_vvvv: Prime
    y_v: Prime
    y_r: Prime
    y_vvv: Prime
    y_vvr: Prime
    y_vrr: Prime
    y_rrr: Prime
    n_v: Prime
    n_r: Prime
    n_vvv: Prime
    n_vvr: Prime
    n_vrr: Prime
    n_rrr: Prime


@dataclass(frozen=True, slots=True, kw_only=True)
class Masses:
    """The ship's mass as the volume of water displaced, where its centre is, and added masses."""

    displacement_m3: float
    centre_ahead_m: float
    gyration_lengths: float
    added_surge: Prime
    added_sway: Prime
    added_yaw: Prime


@dataclass(frozen=True, slots=True, kw_only=True)
class Propeller:
    """The propeller and the wake it works in.

    Thrust coefficient ``k_0 + k_1 J + k_2 J^2``. With bP the drift angle at the propeller, which
    lies ``place_lengths`` ahead of midships::

        1 - wP = (1 - wake exp(-wake_decay bP^2)) (1 + (1 - exp(-wake_bend |bP|)) (C2 - 1))

    where C2 is ``wake_bow_in`` for bP > 0 and ``wake_bow_out`` for bP < 0. A wake that does not
    change has ``wake_decay`` and ``wake_bend`` of zero.
    """

    diameter_m: float
    place_lengths: float
    thrust_deduction: Prime
    wake: Prime
    wake_decay: Prime
    wake_bend: Prime
    wake_bow_in: Prime
    wake_bow_out: Prime
    k_0: Prime
    k_1: Prime
    k_2: Prime


@dataclass(frozen=True, slots=True, kw_only=True)
class RudderForces:
    """The rudder: its size, lift, and the flow at it.

    ``flow_place_lengths`` is l_R', ``hull_force`` a_H and ``hull_force_place_lengths`` x_H';
    ``straightening_bow_in`` is gamma_R for beta_R > 0, ``straightening_bow_out`` for beta_R < 0;
    ``wake_over_propeller`` is epsilon, ``race`` kappa.
    """

    area_m2: float
    height_m: float
    lift_slope: Prime
    place_lengths: float
    steering_deduction: Prime
    hull_force: Prime
    hull_force_place_lengths: float
    wake_over_propeller: Prime
    race: Prime
    straightening_bow_in: Prime
    straightening_bow_out: Prime
    flow_place_lengths: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ForceModel:
    """A ship with one propeller and one rudder, on an approach speed at revolutions that hold it.

    ``length_m`` is between perpendiculars. ``source`` says where the coefficients come from.
    """

    name: str
    source: str
    length_m: float
    beam_m: float
    draught_m: float
    speed_m_per_s: float
    masses: Masses
    hull: HullForces
    propeller: Propeller
    rudder: RudderForces
