"""What is asked of each danger beside the swept hull."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import LIMIT_SOURCES

_HAZARD, _LEG, _PLAN = (LIMIT_SOURCES.index(one) for one in ("hazard", "leg", "plan"))
_NONE = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The limit of each danger, shape (n,): nan, of source -1, where there is none.

    ``margin_m`` is the distance the hull must be farther off than: the limit, or nothing, and the
    uncertainty of the danger's position.
    """

    limit_m: Floats
    limit_source: Ints
    margin_m: Floats


def asked_of(
    hazards: Hazards, leg_limits_m: tuple[float | None, ...], plan_limit_m: float | None
) -> Asked:
    """Return which limit counts for each danger: its own, else the leg's, else the plan's.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    leg_limits_m : tuple of float or None
        What the legs ask, one of them or both legs of a turn: then the larger counts, as beside
        the centre line (core/clearance/limits.py).
    plan_limit_m : float or None
        Counts for a leg that asks nothing.
    """
    rows = [(plan_limit_m, _PLAN) if leg_m is None else (leg_m, _LEG) for leg_m in leg_limits_m]
    given = [(limit_m, source) for limit_m, source in rows if limit_m is not None]
    limit_m, source = max(given, key=lambda one: one[0]) if given else (np.nan, _NONE)
    own = ~np.isnan(hazards.min_clearance_m)
    limits_m = np.where(own, hazards.min_clearance_m, limit_m)
    return Asked(
        limit_m=limits_m,
        limit_source=np.where(own, _HAZARD, source),
        margin_m=np.where(np.isnan(limits_m), 0.0, limits_m) + hazards.position_uncertainty_m,
    )
