"""On which side of the track a danger lies, or that it lies beyond an end of it."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.passing import TrackPiece
from wheelover.core.clearance.sides_loop import BY_BEARING, sides_of_legs_loop
from wheelover.core.types.clearance import SIDES, Whereabouts

_BEYOND: dict[Whereabouts | None, int] = {
    None: BY_BEARING,
    **{word: number for number, word in enumerate(SIDES)},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceEnds:
    """Where p pieces of the track begin and end on their legs, and what lies beyond.

    ``astern`` and ``ahead`` number the words of ``SIDES`` for what lies beyond an end, -1 where
    its bearing decides.
    """

    from_m: Floats
    to_m: Floats
    astern: Ints
    ahead: Ints


def piece_ends(pieces: tuple[TrackPiece, ...]) -> PieceEnds:
    """Return the ends of the pieces of a track."""
    return PieceEnds(
        from_m=np.array([one.from_m for one in pieces]),
        to_m=np.array([one.to_m for one in pieces]),
        astern=np.array(
            [_BEYOND["astern" if one.opens else one.corner_before_side] for one in pieces],
            dtype=np.int64,
        ),
        ahead=np.array(
            [_BEYOND["ahead" if one.closes else one.corner_side] for one in pieces], dtype=np.int64
        ),
    )


def sides_of_legs(
    ends: PieceEnds, piece: Ints, along_m: Floats, ahead_m: Floats, right_m: Floats,
    distance_m: Floats, side: Ints,
) -> None:  # fmt: skip
    """Write on which side of legs dangers lie, as numbers of ``SIDES``.

    Parameters
    ----------
    ends : PieceEnds
        Of all pieces of the track.
    piece : ndarray, shape (m,)
        The number of each piece.
    along_m, ahead_m : ndarray, shape (m,)
        The nearest place on the leg, and what is left from there to abeam of the danger.
    right_m : ndarray, shape (m,)
        Below zero where the danger bears to port of it.
    distance_m : ndarray, shape (m,)
        How far it lies from it.
    side : ndarray, shape (m,)
        Takes them.
    """
    sides_of_legs_loop(
        piece, along_m, ahead_m, right_m, distance_m, ends.from_m, ends.to_m, ends.astern,
        ends.ahead, side,
    )  # fmt: skip
