"""The dangers that matter most to each piece of the track, and where she has them abeam."""

from collections.abc import Sequence

import numpy as np

from wheelover.core.arrays import Bools, Ints, tied_m
from wheelover.core.clearance.limits import Judged
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.of_track import places_of
from wheelover.core.clearance.passing import Passing
from wheelover.core.clearance.ties import settled
from wheelover.core.legs import positions
from wheelover.core.types.clearance import LIMIT_SOURCES, SIDES, Piece, PieceNear
from wheelover.core.types.limits import Rule

FEW = 3
"""So many dangers of each piece are told, least margin first, and every one inside its limit."""

MOST = 12
"""No more than so many are told of one piece; each danger inside a limit is a finding anyway."""

_END_M = 1e-3


def few_of_each(
    track: TrackLines,
    judged: Judged,
    nearest: Ints,
    rules: tuple[Rule, ...],
    ids: Sequence[str],
    few: int = FEW,
) -> tuple[tuple[PieceNear, ...], dict[Piece, int]]:
    """Return the dangers that matter most to each piece, least margin first, and how many more.

    Parameters
    ----------
    track : TrackLines
        The track.
    judged : Judged
        What passes it.
    nearest : ndarray, shape (n,)
        Rows of the pieces nearest to each danger.
    rules : tuple of Rule
        The rules that ``judged`` numbers.
    ids : sequence of str
        Of the dangers: of those that matter as much, the first by id are told.
    few : int
        How many of each piece.

    Notes
    -----
    A danger is told where it is nearest, wherever it is inside its limit, and where it has the
    least margin of all: of a danger off a corner the turn speaks, not both legs as well.
    """
    told = _told(judged, nearest)
    left_m = tied_m(judged.margin_m)
    order = told[np.lexsort((judged.passing.hazard[told], left_m[told],
                             judged.passing.piece[told]))]  # fmt: skip
    same = np.diff(judged.passing.piece[order]) == 0
    same &= np.diff(left_m[order]) == 0.0
    order = settled(order, same, judged.passing.hazard, ids)
    piece = judged.passing.piece[order]
    first = np.searchsorted(piece, piece)
    rank = np.arange(order.size) - first
    telling = (rank < few) | judged.infringed[order] | judged.rule_missed[order]
    more = np.bincount(piece[telling & (rank >= MOST)], minlength=len(track.pieces))
    left_out = {track.pieces[one].piece: int(more[one]) for one in np.flatnonzero(more).tolist()}
    rows = order[telling & (rank < MOST)]
    return _as_rows(track, judged.rows(rows), rules), left_out


def _told(judged: Judged, nearest: Ints) -> Ints:
    """Return the rows that may be told at all, whatever else was measured on the way."""
    telling = judged.infringed | judged.rule_missed
    telling[nearest] = True
    passing = judged.passing
    pieces = int(np.max(passing.piece, initial=-1)) + 1
    least_m = np.full(pieces, np.inf)
    left_m = tied_m(judged.margin_m)
    np.minimum.at(least_m, passing.piece, left_m)
    telling |= left_m == least_m[passing.piece]
    return np.flatnonzero(telling)


def _as_rows(track: TrackLines, judged: Judged, rules: tuple[Rule, ...]) -> tuple[PieceNear, ...]:
    """Return rows with their places."""
    passing = judged.passing
    lat, lon = places_of(track, passing)
    abeam = _has_abeam(track, passing)
    columns = zip(
        passing.piece.tolist(), passing.hazard.tolist(), passing.distance_m.tolist(),
        judged.clearance_m.tolist(), judged.limit_m.tolist(), judged.limit_source.tolist(),
        judged.infringed.tolist(), judged.rule.tolist(), judged.rule_missed.tolist(),
        passing.side.tolist(), positions(lat, lon),
        positions(passing.danger_lat_deg, passing.danger_lon_deg), passing.along_m.tolist(),
        abeam.tolist(), strict=True,
    )  # fmt: skip
    return tuple(
        PieceNear(
            piece=track.pieces[piece].piece,
            hazard_index=hazard,
            distance_m=distance_m,
            clearance_m=clearance_m,
            limit_m=limit_m if source >= 0 else None,
            limit_source=LIMIT_SOURCES[source] if source >= 0 else None,
            met=not infringed if source >= 0 else None,
            rule=rules[rule] if rule >= 0 else None,
            rule_missed=rule_missed,
            side=SIDES[side],
            nearest=nearest,
            hazard_point=hazard_point,
            along_m=along_m,
            abeam=is_abeam,
        )
        for piece, hazard, distance_m, clearance_m, limit_m, source, infringed, rule, rule_missed,
        side, nearest, hazard_point, along_m, is_abeam in columns
    )  # fmt: skip


def _has_abeam(track: TrackLines, passing: Passing) -> Bools:
    """Return whether the nearest place is one where the danger is abeam.

    It is wherever it lies between the ends of the piece, for there the way to the danger is square
    to the track; and what is crossed is abeam where it is met.
    """
    from_m = np.zeros(len(track.pieces))
    to_m = np.zeros(len(track.pieces))
    from_m[track.leg_piece] = track.ends.from_m[track.leg_piece]
    to_m[track.leg_piece] = track.ends.to_m[track.leg_piece]
    to_m[track.arc_piece] = np.radians(np.abs(track.arcs.sweep_deg)) * track.arcs.radius_m
    within = (passing.along_m > from_m[passing.piece] + _END_M) & (
        passing.along_m < to_m[passing.piece] - _END_M
    )
    return np.asarray(within | (passing.side == SIDES.index("crossed")))
