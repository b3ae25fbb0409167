"""How far the models of the manoeuvre reach: where they do not, no number is given."""

from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.ship import Response, ShipProfile

LEAST_SPEED_KN = 5.0
LEAST_DEPTH_RATIO = 1.5
"""Depth over draught. Below it a turn with working rudder grows several times as much as the hard
over circles of the papers show, and differently for each ship."""

MOST_WIND_BFT = 5.0
_SAME_DEPTH_RATIO = 0.2


def beyond_models(
    ship: ShipProfile, response: Response, speed_kn: float, conditions: Conditions
) -> str | None:
    """Return why the models do not hold for this ship in these conditions, None where they do.

    Parameters
    ----------
    ship : ShipProfile
        The ship: draughts and propulsion.
    response : Response
        How she answers the helm, and from what this is known.
    speed_kn : float
        Speed through the water.
    conditions : Conditions
        Depth, wind and thrusters.

    Notes
    -----
    Effects of shallow water are significant below three draughts and rapid below two
    [ShallowTurns]_; trials are taken in more than four [Circ1053]_.
    """
    if speed_kn < LEAST_SPEED_KN:
        return f"at {speed_kn:g} kn, under {LEAST_SPEED_KN:g}, the model of the manoeuvre fails"
    if ship.propulsion == "azimuthing":
        return "the models hold for propeller and rudder, not for azimuthing drives"
    if ship.propulsion == "twin_screw" and not response.is_her_own:
        return "a twin-screw ship is not simulated without trial data of her own"
    if conditions.thrusters_in_use:
        return "thrusters are in use, which no model here holds"
    return too_windy(conditions) or _too_shallow(ship, response, conditions.depth_m)


def too_windy(conditions: Conditions) -> str | None:
    """Return why the wind is too strong for every model, None where it is not, or not known.

    Parameters
    ----------
    conditions : Conditions
        The force of the wind, or its speed.
    """
    wind_bft = conditions.most_wind_bft
    if wind_bft is None or wind_bft <= MOST_WIND_BFT:
        return None
    return f"the wind of force {wind_bft:g} is above {MOST_WIND_BFT:g}, which no model here holds"


def _too_shallow(ship: ShipProfile, response: Response, depth_m: float | None) -> str | None:
    """Return why the water is too shallow for the response, None where it is not, or not known."""
    draught_m = max(ship.draught_fore_m, ship.draught_aft_m)
    if depth_m is None or draught_m <= 0.0 or depth_m >= LEAST_DEPTH_RATIO * draught_m:
        return None
    known_m = response.at_depth_m
    if known_m is not None and abs(known_m - depth_m) <= _SAME_DEPTH_RATIO * draught_m:
        return None
    return (
        f"the water of {depth_m:g} m is {depth_m / draught_m:.2f} times her draught, under "
        f"{LEAST_DEPTH_RATIO:g}, and her response is not from such depth"
    )
