"""Charted areas that reach into the cross-track limits of the legs."""

from collections.abc import Sequence

import numpy as np

from wheelover.core.clearance.corridors import beside_legs
from wheelover.core.types.chart import Hazards
from wheelover.core.types.charted import AreaBeside
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import SIDES
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

_BOTH: tuple[Side, Side] = ("port", "starboard")


def areas_beside(
    legs: Sequence[PlannedLeg], areas: Hazards, limits: Limits
) -> tuple[AreaBeside, ...]:
    """Return the areas within each cross-track limit of each leg, and how near they are.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        The legs, measured from waypoint to waypoint.
    areas : Hazards
        The areas.
    limits : Limits
        With the cross-track limit of the set where a leg gives none.
    """
    limited, passing = beside_legs(tuple(legs), areas, limits)
    found = []
    for number, leg in enumerate(limited):
        rows = np.flatnonzero(passing.piece == number)
        for side, limit_nm in zip(_BOTH, (leg.xtd_port_nm, leg.xtd_starboard_nm), strict=True):
            if limit_nm is None:
                continue
            limit_m = m_from_nm(limit_nm)
            other = SIDES.index(_BOTH[1 - _BOTH.index(side)])
            here = rows[(passing.side[rows] != other) & (passing.distance_m[rows] <= limit_m)]
            for area in np.unique(passing.hazard[here]).tolist():
                least_m = float(np.min(passing.distance_m[here][passing.hazard[here] == area]))
                found.append(
                    AreaBeside(
                        leg_index=leg.index,
                        side=side,
                        area=area,
                        distance_m=least_m,
                        limit_m=limit_m,
                    )
                )
    return tuple(found)
