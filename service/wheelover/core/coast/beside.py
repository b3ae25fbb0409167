"""Land of the coastline inside the cross-track limits of the legs."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from wheelover.core.clearance.of_points import track_lines
from wheelover.core.clearance.passing import Passing, TrackPiece
from wheelover.core.coast.measured import first_of_pieces, on_coast, passing_coast
from wheelover.core.coast.near import Sought
from wheelover.core.types.clearance import SIDES, Piece
from wheelover.core.types.coast import Coast, CorridorLand, LandRow
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

_BOTH: tuple[Side, Side] = ("port", "starboard")


def corridor_land(
    legs: Sequence[PlannedLeg], rows: Sequence[LandRow], coast: Coast, cover: Any | None
) -> dict[int, tuple[CorridorLand, ...]]:
    """Return the nearest coastline inside each cross-track limit, by the number of the leg.

    Each leg is measured from waypoint to waypoint, as the alarm counts. What lies beyond an end of
    it is on the side where it bears.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        The legs.
    rows : sequence of LandRow
        What was found about the stretches of them that the track follows.
    coast : Coast
        The shores.
    cover : shapely geometry or None
        What official charts cover.
    """
    by_leg = {one.piece.index: one for one in rows if one.piece.kind == "leg"}
    looked_at = [
        one for one in legs if one.path is not None and _may_reach(one, by_leg.get(one.index))
    ]
    if not looked_at:
        return {}
    reach_m = np.array([m_from_nm(_widest_nm(one) or 0.0) for one in looked_at])
    sought = Sought(reach_m=reach_m, by_side=np.ones(len(looked_at), dtype=np.bool_))
    track = track_lines(tuple(map(_whole, looked_at)))
    passing, _ = passing_coast(track, coast, sought, cover)
    return _inside(passing, looked_at)


def _may_reach(leg: PlannedLeg, row: LandRow | None) -> bool:
    """Return whether a coast may lie inside the limits of a leg.

    No place of the leg is farther from the stretch that the track follows than the longer tail.
    """
    widest_nm = _widest_nm(leg)
    if widest_nm is None:
        return False
    if row is None:
        return True
    near_m = row.search_m if row.nearest is None else row.nearest.distance_m
    tail_m = max(leg.track_from_m, leg.length_m - leg.track_to_m)
    return near_m - tail_m <= m_from_nm(widest_nm) + 1.0


def _whole(leg: PlannedLeg) -> TrackPiece:
    """Return a leg from waypoint to waypoint as a piece."""
    return TrackPiece(piece=Piece(kind="leg", index=leg.index), leg=leg.path, to_m=leg.length_m)


def _widest_nm(leg: PlannedLeg) -> float | None:
    """Return the larger cross-track limit of a leg, None without any."""
    given = [one for one in (leg.xtd_port_nm, leg.xtd_starboard_nm) if one is not None]
    return max(given) if given else None


def _inside(passing: Passing, legs: Sequence[PlannedLeg]) -> dict[int, tuple[CorridorLand, ...]]:
    """Return the nearest coastline inside each cross-track limit, by the number of the leg."""
    found: dict[int, tuple[CorridorLand, ...]] = {}
    for number, side in enumerate(_BOTH):
        limits_nm = [(leg.xtd_port_nm, leg.xtd_starboard_nm)[number] for leg in legs]
        limit_m = np.array([np.nan if one is None else m_from_nm(one) for one in limits_nm])
        here = passing.side != SIDES.index(_BOTH[1 - number])
        rows = np.flatnonzero(here & (passing.distance_m <= limit_m[passing.piece]))
        for row in first_of_pieces(passing, rows).tolist():
            leg = int(passing.piece[row])
            land = CorridorLand(
                side=side,
                limit_m=float(limit_m[leg]),
                distance_m=float(passing.distance_m[row]),
                on_coast=on_coast(passing, row),
            )
            found[legs[leg].index] = (*found.get(legs[leg].index, ()), land)
    return found
