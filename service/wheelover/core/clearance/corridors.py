"""Dangers inside the cross-track limits: where the alarm would stay silent over a danger."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.clearance.edges_of_legs import passing_leg_edges
from wheelover.core.clearance.index import (
    EdgeIndex,
    PointIndex,
    Surroundings,
    point_index,
    surroundings_of,
)
from wheelover.core.clearance.of_legs import passing_leg
from wheelover.core.clearance.of_pieces import inside_of_piece
from wheelover.core.clearance.passing import Passing, TrackPiece, joined
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.edges import positions_on
from wheelover.core.types.chart import Hazards, Points
from wheelover.core.types.plan import Corridors, Intrusion, Piece
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

_BOTH: tuple[Side, Side] = ("port", "starboard")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search:
    """What is looked for beside a leg; ``vertices`` are both ends of every stretch of an edge."""

    around: Surroundings
    vertices: PointIndex | None


def inside_corridors(legs: tuple[PlannedLeg, ...], hazards: Hazards) -> Corridors:
    """Return the dangers that lie inside the cross-track limits of the legs.

    Each leg is measured from waypoint to waypoint, not only as far as the turns at its ends: the
    alarm counts from the leg. A danger beyond an end of the leg is inside when it is that near to
    the end. Uncertainty of a danger's position counts against the limit. A line or an area may
    lie on both sides: each stretch of an edge counts where it is nearest and where it ends.

    Parameters
    ----------
    legs : tuple of PlannedLeg
        The legs; those without a limit, or without a length, are passed over.
    hazards : Hazards
        The dangers.

    Raises
    ------
    InvalidChart
        When the edges of lines and areas are longer in sum than can be measured.
    """
    limited = [leg for leg in legs if leg.path is not None and _widest_nm(leg) is not None]
    if not limited or hazards.count == 0:
        return Corridors()
    widest_m = max(m_from_nm(_widest_nm(leg) or 0.0) for leg in limited)
    search = _search(hazards, widest_m + hazards.position_uncertainty_m)
    intrusions: list[Intrusion] = []
    unmeasured = []
    for leg in limited:
        try:
            intrusions += _of_leg(leg, search)
        except OutOfDomain:
            unmeasured.append(leg.index)
    return Corridors(intrusions=tuple(intrusions), unmeasured=tuple(unmeasured))


def _search(hazards: Hazards, search_m: Floats) -> _Search:
    """Return the dangers ready to be looked for beside legs."""
    around = surroundings_of(hazards, search_m)
    edges = around.edges
    return _Search(around=around, vertices=None if edges is None else _vertices(edges, search_m))


def _vertices(index: EdgeIndex, search_m: Floats) -> PointIndex:
    """Return both ends of every stretch of an edge as points of its danger."""
    stretches = index.stretches
    starts = positions_on(stretches.edges, np.zeros(stretches.count))
    ends = positions_on(stretches.edges, np.ones(stretches.count))
    points = Points(
        hazard=np.concatenate([stretches.hazard, stretches.hazard]),
        lat_deg=np.concatenate([starts[0], ends[0]]),
        lon_deg=np.concatenate([starts[1], ends[1]]),
    )
    return point_index(points, search_m)


def _widest_nm(leg: PlannedLeg) -> float | None:
    """Return the larger cross-track limit of a leg, None without any."""
    given = [one for one in (leg.xtd_port_nm, leg.xtd_starboard_nm) if one is not None]
    return max(given) if given else None


def _of_leg(leg: PlannedLeg, search: _Search) -> list[Intrusion]:
    """Return the nearest danger inside the limit of each side of one leg."""
    if leg.path is None:
        raise AssertionError("a leg without a length has no corridor")
    piece = TrackPiece(
        piece=Piece(kind="leg", index=leg.index), leg=leg.path, from_m=0.0, to_m=leg.length_m
    )
    around = search.around
    parts = [inside_of_piece(piece, around)]
    parts += [
        passing_leg(piece, leg.path, points).of(points.points.hazard)
        for points in (around.points, search.vertices)
        if points is not None
    ]
    if around.edges is not None:
        each = np.arange(around.edges.stretches.count)
        passing = passing_leg_edges(piece, leg.path, around.edges, key=each)
        parts.append(passing.of(around.edges.stretches.hazard))
    limits_nm = (leg.xtd_port_nm, leg.xtd_starboard_nm)
    found = []
    for side, limit_nm in zip(_BOTH, limits_nm, strict=True):
        if limit_nm is not None:
            found += _of_side(
                leg.index, side, m_from_nm(limit_nm), joined(parts), search.around.hazards
            )
    return found


def _of_side(
    leg_index: int, side: Side, limit_m: float, passing: Passing, hazards: Hazards
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
            count=int(np.unique(passing.hazard[rows]).size),
        )
    ]
