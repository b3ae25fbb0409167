"""The nearest danger to each side of each piece of the track, whatever is asked of it."""

from collections.abc import Sequence

from wheelover.core.arrays import Ints
from wheelover.core.clearance.limits import Judged
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.types.clearance import SIDES, SideNearest


def nearest_by_side(
    pieces: Sequence[TrackPiece], judged: Judged, rows: Ints
) -> tuple[SideNearest, ...]:
    """Return the nearest of the dangers measured to each side of each piece.

    Parameters
    ----------
    pieces : sequence of TrackPiece
        The planned track.
    judged : Judged
        Rows of pieces and dangers, with what is left of each distance.
    rows : ndarray, shape (n,)
        The nearest of them (``foremost.by_side``).

    Notes
    -----
    Of a danger near several pieces only those rows are there that may matter to its judgement, so
    one asks for the turns at both ends of a leg along with the leg.
    """
    passing = judged.passing
    columns = passing.piece, passing.side, passing.hazard, judged.clearance_m
    return tuple(
        SideNearest(
            piece=pieces[piece].piece,
            side=SIDES[side],
            hazard_index=hazard,
            clearance_m=clearance_m,
        )
        for piece, side, hazard, clearance_m in zip(
            *(one[rows].tolist() for one in columns), strict=True
        )
    )
