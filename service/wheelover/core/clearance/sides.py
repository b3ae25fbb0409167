"""On which side of the track a danger lies, or that it lies beyond an end of it."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.clearance.passing import ON_TRACK_M, TrackPiece
from wheelover.core.types.clearance import SIDES, Whereabouts

_BEYOND_M = 0.001
_STARBOARD, _PORT, _CROSSED = SIDES.index("starboard"), SIDES.index("port"), SIDES.index("crossed")
_BY_BEARING = -1
_BEYOND: dict[Whereabouts | None, int] = {
    None: _BY_BEARING,
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
    ends: PieceEnds, piece: Ints, along_m: Floats, ahead_m: Floats, to_starboard: Bools,
    distance_m: Floats,
) -> Ints:  # fmt: skip
    """Return on which side of legs dangers lie, as numbers of ``SIDES``.

    Parameters
    ----------
    ends : PieceEnds
        Of all pieces of the track.
    piece : ndarray, shape (m,)
        The number of each piece.
    along_m, ahead_m : ndarray, shape (m,)
        The nearest place on the leg, and what is left from there to abeam of the danger.
    to_starboard : ndarray, shape (m,)
        Whether the danger bears to starboard of it.
    distance_m : ndarray, shape (m,)
        How far it lies from it.
    """
    side = np.where(to_starboard, _STARBOARD, _PORT)
    for word, beyond in (
        (ends.astern, (ahead_m < -_BEYOND_M) & (along_m <= ends.from_m[piece])),
        (ends.ahead, (ahead_m > _BEYOND_M) & (along_m >= ends.to_m[piece])),
    ):
        side = np.where(beyond & (word[piece] != _BY_BEARING), word[piece], side)
    return np.where(distance_m < ON_TRACK_M, _CROSSED, side)


def sides_of_arcs(to_starboard_turn: Bools, inner: Bools, distance_m: Floats) -> Ints:
    """Return on which side of arcs dangers lie: within the circle of a turn is its own side."""
    side = np.where(to_starboard_turn == inner, _STARBOARD, _PORT)
    return np.where(distance_m < ON_TRACK_M, _CROSSED, side)
