"""The nearest danger to each side of each piece of the track, whatever is asked of it."""

from collections.abc import Iterator, Sequence

import numpy as np

from wheelover.core.arrays import tied_m
from wheelover.core.clearance.limits import Judged
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.clearance.ties import settled
from wheelover.core.types.clearance import SIDES, SideNearest


def nearest_by_side(
    pieces: Sequence[TrackPiece], judged: Judged, ids: Sequence[str]
) -> Iterator[SideNearest]:
    """Yield the nearest of the dangers measured to each side of each piece, in sailing order.

    Parameters
    ----------
    pieces : sequence of TrackPiece
        The planned track.
    judged : Judged
        Rows of pieces and dangers, with what is left of each distance.
    ids : sequence of str
        Those of the dangers: of some as near the first of them counts.

    Notes
    -----
    Of a danger near several pieces only those rows are there that may matter to its judgement, so
    one asks for the turns at both ends of a leg along with the leg.
    """
    passing = judged.passing
    group = passing.piece * len(SIDES) + passing.side
    near_m = tied_m(judged.clearance_m)
    order = np.lexsort((passing.hazard, near_m, group))
    group_as, near_as = np.diff(group[order]) == 0, np.diff(near_m[order]) == 0.0
    order = settled(order, group_as & near_as, passing.hazard, ids)
    first = np.flatnonzero(np.append(True, np.diff(group[order]) != 0)[: order.size])
    rows = order[first]
    columns = passing.piece, passing.side, passing.hazard, judged.clearance_m
    for piece, side, hazard, clearance_m in zip(
        *(one[rows].tolist() for one in columns), strict=True
    ):
        yield SideNearest(
            piece=pieces[piece].piece,
            side=SIDES[side],
            hazard_index=hazard,
            clearance_m=clearance_m,
        )
