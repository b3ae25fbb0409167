"""The response of a ship of which only the main dimensions are known.

Her force model is estimated by regression, circles are run on it, and the response is fitted to
them as if they were trials. The regression misses ships whose model is published by up to 10 per
cent in advance and 20 per cent in tactical diameter, and all its numbers together, so the band is
taken wider than numbers of trials would make it.
"""

import math

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.estimate_forces import USUAL_LPP_RATIO, Dimensions, estimated_forces
from wheelover.core.manoeuvre.force_circle import run_one_order
from wheelover.core.manoeuvre.standard import turning_circle
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import HelmOrder, Motion
from wheelover.core.types.standard_manoeuvres import TurningCircle
from wheelover.core.types.trials import CircleTrial, RoundPoint, TrialSet, TrialShip
from wheelover.core.units import kn_from_m_per_s, m_per_s_from_kn

ESTIMATE_SCATTER_RATIO = 10.0
"""How many times as far off as trial numbers the estimated ones are taken to be
(tests/core/test_fit_papers.py)."""

_RUDDERS_DEG = (35.0, 20.0, 10.0)


def estimated_trials(ship: TrialShip, draught_m: float) -> TrialSet:
    """Return the turning circles that the regression gives for a ship, as a set of trials.

    Parameters
    ----------
    ship : TrialShip
        Its beam, block coefficient and speed are needed; without a length between perpendiculars
        0.965 of that overall is taken.
    draught_m : float
        Mean draught.

    Raises
    ------
    OutOfDomain
        When something needed is not given, or the ship is unlike those of the regression.
    """
    needed = {
        "beam_m": ship.beam_m,
        "block_coefficient": ship.block_coefficient,
        "speed_kn": ship.speed_kn,
    }
    missing = [name for name, value in needed.items() if value is None]
    if missing or ship.beam_m is None or ship.block_coefficient is None or ship.speed_kn is None:
        raise OutOfDomain(f"an estimate needs {', '.join(missing)} of the ship")
    model = estimated_forces(
        Dimensions(
            name=ship.name,
            length_m=ship.lpp_m or USUAL_LPP_RATIO * ship.loa_m,
            beam_m=ship.beam_m,
            draught_m=draught_m,
            block_coefficient=ship.block_coefficient,
            rudder_area_m2=ship.rudder_area_m2,
        ),
        speed_m_per_s=m_per_s_from_kn(ship.speed_kn),
    )
    return TrialSet(
        loading="estimated",
        draught_fore_m=draught_m,
        draught_aft_m=draught_m,
        source="circles of a force model estimated from main dimensions",
        reference_from_bow_m=ship.loa_m / 2.0,
        circles=tuple(circle_of(model, ship, rudder_deg) for rudder_deg in _RUDDERS_DEG),
    )


def circle_of(model: ForceModel, ship: TrialShip, rudder_deg: float) -> CircleTrial:
    """Return a turning circle of a force model as the papers of a ship would give it.

    Rudder is positive to starboard.
    """

    def run(orders: tuple[HelmOrder, ...], times_s: list[float]) -> Motion:
        (order,) = orders
        return run_one_order(
            model,
            order.rudder_deg,
            times_s,
            rudder_rate_deg_per_s=ship.rudder_rate_deg_per_s,
            helm_delay_s=ship.helm_delay_s,
        )

    circle = turning_circle(
        run, rudder_deg=rudder_deg, length_m=model.length_m, speed_m_per_s=model.speed_m_per_s
    )
    return _as_trial(circle, float(kn_from_m_per_s(model.speed_m_per_s)))


def _as_trial(circle: TurningCircle, speed_kn: float) -> CircleTrial:
    """Return a computed circle as a trial."""
    return CircleTrial(
        side="starboard" if math.copysign(1.0, circle.rudder_deg) > 0.0 else "port",
        rudder_deg=abs(circle.rudder_deg),
        speed_kn=speed_kn,
        advance_m=circle.advance_m,
        transfer_m=circle.transfer_m,
        tactical_diameter_m=circle.tactical_diameter_m,
        final_diameter_m=circle.final_diameter_m,
        points=tuple(
            RoundPoint(
                heading_change_deg=point.heading_change_deg,
                time_s=point.time_s,
                speed_kn=float(kn_from_m_per_s(point.speed_m_per_s)),
            )
            for point in circle.points
        ),
    )
