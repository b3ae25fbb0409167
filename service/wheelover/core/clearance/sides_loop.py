"""The compiled loops that tell on which side of pieces of the track dangers lie."""

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.passing import ON_TRACK_M
from wheelover.core.compiled import compiled
from wheelover.core.types.clearance import SIDES

BY_BEARING = -1
"""What lies beyond an end is told by its bearing."""

_BEYOND_M = 0.001
_STARBOARD, _PORT, _CROSSED = SIDES.index("starboard"), SIDES.index("port"), SIDES.index("crossed")


@compiled(
    "void(int64[::1],float64[::1],float64[::1],float64[::1],float64[::1],float64[::1],"
    "float64[::1],int64[::1],int64[::1],int64[::1])"
)
def sides_of_legs_loop(
    piece: Ints, along_m: Floats, ahead_m: Floats, right_m: Floats, distance_m: Floats,
    from_m: Floats, to_m: Floats, astern: Ints, ahead: Ints, side: Ints,
) -> None:  # fmt: skip
    """Write of rows on legs the side on which each danger lies (``sides.sides_of_legs``)."""
    for row in range(piece.size):
        one = piece[row]
        found = _STARBOARD if right_m[row] >= 0.0 else _PORT
        before = ahead_m[row] < -_BEYOND_M and along_m[row] <= from_m[one]
        behind = ahead_m[row] > _BEYOND_M and along_m[row] >= to_m[one]
        if before and astern[one] != BY_BEARING:
            found = astern[one]
        if behind and ahead[one] != BY_BEARING:
            found = ahead[one]
        side[row] = _CROSSED if distance_m[row] < ON_TRACK_M else found


@compiled(
    "void(int64[::1],float64[::1],float64[::1],float64[::1],int64[::1],int64[::1],int64[::1])"
)
def sides_of_arcs_loop(
    arc: Ints, beyond_m: Floats, distance_m: Floats, sweep_deg: Floats, arc_piece: Ints,
    piece: Ints, side: Ints,
) -> None:  # fmt: skip
    """Write of rows on arcs the piece, and the side on which each danger lies.

    What lies within the circle of a turn lies on the side to which it turns.
    """
    for row in range(arc.size):
        to_starboard = sweep_deg[arc[row]] > 0.0
        within = beyond_m[row] < 0.0
        piece[row] = arc_piece[arc[row]]
        side[row] = _STARBOARD if to_starboard == within else _PORT
        if distance_m[row] < ON_TRACK_M:
            side[row] = _CROSSED
