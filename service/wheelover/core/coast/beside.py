"""Land of the coastline inside the cross-track limits of the legs."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from wheelover.core.clearance.of_points import track_lines
from wheelover.core.clearance.passing import NO_PASSING, Passing, TrackPiece
from wheelover.core.coast.measured import first_of_pieces, on_coast, passing_coast
from wheelover.core.coast.near import Sought
from wheelover.core.types.clearance import SIDES, Piece
from wheelover.core.types.coast import Coast, CorridorLand, LandRow
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

LEAST_BESIDE_CANAL_M = 250.0
"""Of a leg through a canal the shores beside all else of it are looked for this far at least."""

_BOTH: tuple[Side, Side] = ("port", "starboard")


def corridor_land(
    legs: Sequence[PlannedLeg], rows: Sequence[LandRow], coast: Coast, cover: Any | None
) -> tuple[dict[int, tuple[CorridorLand, ...]], dict[int, float]]:
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

    Returns
    -------
    land : dict
        The nearest coastline of each side; of a leg with a waived stretch that beside it and that
        beside the rest.
    rest_m : dict
        How near the coastline comes beside the rest of a leg with a waived stretch, in metres.
    """
    by_leg = {one.piece.index: one for one in rows if one.piece.kind == "leg"}
    waived = {index: one.waived for index, one in by_leg.items() if one.waived is not None}
    plain = [
        one
        for one in legs
        if one.path is not None
        and one.index not in waived
        and _may_reach(one, by_leg.get(one.index))
    ]
    through = [one for one in legs if one.path is not None and one.index in waived]
    found = _inside(_passing(plain, coast, cover, more_m=0.0), plain)
    if not through:
        return found, {}
    # Beside the stretch that is waived land is nearest: of these legs all that is near is wanted.
    passing = _passing(through, coast, cover, more_m=max(map(_reach_m, through)))
    bounds_m = np.array([(waived[one.index].from_m, waived[one.index].to_m) for one in through])
    reach_m = np.array(list(map(_reach_m, through)))
    along_m = passing.along_m
    # At its mouths the shore beside the canal comes into the corridor before the leg comes to it.
    low_m = (bounds_m[:, 0] - reach_m)[passing.piece]
    high_m = (bounds_m[:, 1] + reach_m)[passing.piece]
    within = (low_m <= along_m) & (along_m <= high_m)
    rest = passing.rows(np.flatnonzero(~within))
    for number, leg in enumerate(through):
        beside = _inside(passing.rows(np.flatnonzero(within & (passing.piece == number))), through)
        others = _inside(rest.rows(np.flatnonzero(rest.piece == number)), through)
        found[leg.index] = (
            *(replace(one, waived=True) for one in beside.get(leg.index, ())),
            *others.get(leg.index, ()),
        )
    return found, _nearest_m(rest, through)


def _nearest_m(passing: Passing, legs: Sequence[PlannedLeg]) -> dict[int, float]:
    """Return the least distance of each leg that passes anything."""
    return {
        leg.index: float(np.min(passing.distance_m[passing.piece == number]))
        for number, leg in enumerate(legs)
        if bool(np.any(passing.piece == number))
    }


def _passing(legs: Sequence[PlannedLeg], coast: Coast, cover: Any | None, more_m: float) -> Passing:
    """Return what of the coastline passes legs within the widest of what is looked at."""
    if not legs:
        return NO_PASSING
    sought = Sought(
        reach_m=np.array(list(map(_reach_m, legs))),
        by_side=np.ones(len(legs), dtype=np.bool_),
        more_m=more_m,
    )
    return passing_coast(track_lines(tuple(map(_whole, legs))), coast, sought, cover)[0]


def _reach_m(leg: PlannedLeg) -> float:
    """Return how far beside a leg the coastline is looked for."""
    widest_m = m_from_nm(_widest_nm(leg) or 0.0)
    return widest_m if leg.canal is None else max(widest_m, LEAST_BESIDE_CANAL_M)


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
