"""Dangers inside the cross-track limits: where the alarm would stay silent over a danger."""

import numpy as np

from wheelover.core.clearance.of_legs import passing_leg
from wheelover.core.clearance.passing import Passing, SearchIndex, TrackPiece, tree_of
from wheelover.core.errors import OutOfDomain
from wheelover.core.types.chart import PointHazards
from wheelover.core.types.plan import Corridors, Intrusion, Piece
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

_BOTH: tuple[Side, Side] = ("port", "starboard")


def inside_corridors(legs: tuple[PlannedLeg, ...], hazards: PointHazards) -> Corridors:
    """Return the dangers that lie inside the cross-track limits of the legs.

    Each leg is measured from waypoint to waypoint, not only as far as the turns at its ends: the
    alarm counts from the leg. A danger beyond an end of the leg is inside when it is that near to
    the end. Uncertainty of a danger's position counts against the limit.

    Parameters
    ----------
    legs : tuple of PlannedLeg
        The legs; those without a limit, or without a length, are passed over.
    hazards : PointHazards
        The dangers.
    """
    limited = [leg for leg in legs if leg.path is not None and _widest_nm(leg) is not None]
    if not limited or hazards.count == 0:
        return Corridors()
    widest_m = max(m_from_nm(_widest_nm(leg) or 0.0) for leg in limited)
    points_m, tree = tree_of(hazards)
    search_m = widest_m + hazards.position_uncertainty_m
    index = SearchIndex(points_m=points_m, tree=tree, search_m=search_m)
    intrusions: list[Intrusion] = []
    unmeasured = []
    for leg in limited:
        try:
            intrusions += _of_leg(leg, hazards, index)
        except OutOfDomain:
            unmeasured.append(leg.index)
    return Corridors(intrusions=tuple(intrusions), unmeasured=tuple(unmeasured))


def _widest_nm(leg: PlannedLeg) -> float | None:
    """Return the larger cross-track limit of a leg, None without any."""
    given = [one for one in (leg.xtd_port_nm, leg.xtd_starboard_nm) if one is not None]
    return max(given) if given else None


def _of_leg(leg: PlannedLeg, hazards: PointHazards, index: SearchIndex) -> list[Intrusion]:
    """Return the nearest danger inside the limit of each side of one leg."""
    if leg.path is None:
        raise AssertionError("a leg without a length has no corridor")
    piece = TrackPiece(
        piece=Piece(kind="leg", index=leg.index), leg=leg.path, from_m=0.0, to_m=leg.length_m
    )
    passing = passing_leg(piece, leg.path, hazards, index)
    limits_nm = (leg.xtd_port_nm, leg.xtd_starboard_nm)
    found = []
    for side, limit_nm in zip(_BOTH, limits_nm, strict=True):
        if limit_nm is not None:
            found += _of_side(leg.index, side, m_from_nm(limit_nm), passing, hazards)
    return found


def _of_side(
    leg_index: int, side: Side, limit_m: float, passing: Passing, hazards: PointHazards
) -> list[Intrusion]:
    """Return the nearest danger inside the limit of one side; what lies on the leg is on both."""
    here = np.array([one in (side, "crossed", "ahead", "astern") for one in passing.side], np.bool_)
    clearance_m = passing.distance_m - hazards.position_uncertainty_m[passing.hazard]
    rows = np.flatnonzero(here & ~(clearance_m > limit_m))
    if rows.size == 0:
        return []
    nearest = int(rows[np.argmin(clearance_m[rows])])
    return [
        Intrusion(
            leg_index=leg_index,
            side=side,
            hazard_index=int(passing.hazard[nearest]),
            clearance_m=float(clearance_m[nearest]),
            limit_m=limit_m,
            count=int(rows.size),
        )
    ]
