"""The dangers inside each side of each corridor, of all that was measured beside the legs."""

from collections.abc import Sequence

import numpy as np

from wheelover.core.arrays import Floats, Ints, tied_m
from wheelover.core.clearance.corridor_loop import corridors_loop
from wheelover.core.clearance.passing import ON_TRACK_M, Passing
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import SIDES, Intrusion
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

_BOTH: tuple[Side, Side] = ("port", "starboard")


def intrusions_of(
    legs: Sequence[PlannedLeg],
    passing: Passing,
    hazards: Hazards,
    beside_m: Floats,
    lost: frozenset[int],
) -> tuple[Intrusion, ...]:
    """Return the nearest danger inside the limit of each side, and inside its margin from it.

    Parameters
    ----------
    legs : sequence of PlannedLeg
        The legs; a side without a limit is passed over.
    passing : Passing
        What was measured beside them: any number of rows for a leg and a danger. What lies on a
        leg is on both sides of it.
    hazards : Hazards
        The dangers; of those as near the first by id is told.
    beside_m : ndarray, shape (n,)
        What must be left of each row over the limit.
    lost : frozenset of int
        Numbers of legs of which nothing is told.
    """
    limits_m = _limits_m(legs, lost)
    # Of dangers on the leg rounding would else say which is nearest.
    distance_m = np.where(passing.distance_m < ON_TRACK_M, 0.0, passing.distance_m)
    clearance_m = distance_m - hazards.position_uncertainty_m[passing.hazard]
    groups, rows, dangers = _nearest(passing, hazards, limits_m, clearance_m, beside_m)
    columns = (
        groups // 4,
        groups // 2 % 2,
        passing.hazard[rows],
        clearance_m[rows],
        limits_m[groups // 2 % 2, groups // 4],
        dangers,
        np.where(groups % 2, beside_m[rows], 0.0),
    )
    return tuple(
        Intrusion(
            leg_index=legs[leg].index,
            side=_BOTH[side],
            hazard_index=danger,
            clearance_m=left_over_m,
            limit_m=limit_m,
            count=count,
            margin_m=margin_m,
        )
        for leg, side, danger, left_over_m, limit_m, count, margin_m in zip(
            *(one.tolist() for one in columns), strict=True
        )
    )


def _nearest(
    passing: Passing, hazards: Hazards, limits_m: Floats, clearance_m: Floats, beside_m: Floats
) -> tuple[Ints, Ints, Ints]:
    """Return of each leg and side, inside the limit and inside the margin, what is nearest there.

    Returns
    -------
    groups, rows, dangers : ndarray, shape (m,)
        Four times the number of the leg, two more to starboard, and one more inside the margin; the
        nearest row, and how many dangers there are.
    """
    others = np.empty((2, 2 * clearance_m.size), dtype=np.int64)
    found = np.full((3, 4 * limits_m.shape[1]), -1, dtype=np.int64)
    found[1] = 0
    left_m = np.stack([tied_m(clearance_m), tied_m(clearance_m - beside_m)])
    many = corridors_loop(
        _in_order(passing.piece, passing.hazard, hazards.count),
        np.ascontiguousarray(passing.piece),
        np.ascontiguousarray(passing.hazard),
        np.stack([passing.side != SIDES.index(_BOTH[1 - side]) for side in (0, 1)]),
        clearance_m,
        beside_m,
        limits_m,
        left_m,
        found,
        others,
    )
    nearest, dangers, _ = found
    for group, row in others[:, :many].T.tolist():
        known = nearest[group]
        as_near = left_m[group % 2, row] == left_m[group % 2, known]
        if as_near and hazards.ids[passing.hazard[row]] < hazards.ids[passing.hazard[known]]:
            nearest[group] = row
    groups = np.flatnonzero(dangers)
    return groups, nearest[groups], dangers[groups]


def _limits_m(legs: Sequence[PlannedLeg], lost: frozenset[int]) -> Floats:
    """Return the limits of both sides of legs, shape (2, legs), nan where nothing is told."""
    both_nm = [[leg.xtd_port_nm for leg in legs], [leg.xtd_starboard_nm for leg in legs]]
    limits_m = m_from_nm(np.array(both_nm, dtype=np.float64))
    limits_m[:, sorted(lost)] = np.nan
    return limits_m


def _in_order(piece: Ints, hazard: Ints, hazard_count: int) -> Ints:
    """Return rows by piece and danger, those of one pair in their order."""
    count = max(piece.size, 1)
    key = (piece * hazard_count + hazard) * count + np.arange(piece.size)
    return np.asarray(np.sort(key) % count)
