"""The dangers that matter most to each piece of the track, and where she has them abeam."""

import numpy as np

from wheelover.core.arrays import Bools, Ints
from wheelover.core.clearance.limits import Judged
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.of_track import places_of
from wheelover.core.clearance.passing import Passing
from wheelover.core.types.clearance import LIMIT_SOURCES, SIDES, PieceNear
from wheelover.core.types.limits import Rule
from wheelover.core.types.route import Position

FEW = 3
"""So many dangers of each piece are told, least margin first, and every one inside its limit."""

_END_M = 1e-3


def few_of_each(
    track: TrackLines, judged: Judged, nearest: Ints, rules: tuple[Rule, ...], few: int = FEW
) -> tuple[PieceNear, ...]:
    """Return the dangers that matter most to each piece, least margin first.

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
    few : int
        How many of each piece.

    Notes
    -----
    A danger is told where it is nearest, wherever it is inside its limit, and where it has the
    least margin of all: of a danger off a corner the turn speaks, not both legs as well.
    """
    told = _told(judged, nearest)
    order = told[np.lexsort((judged.passing.hazard[told], judged.margin_m[told],
                             judged.passing.piece[told]))]  # fmt: skip
    piece = judged.passing.piece[order]
    first = np.searchsorted(piece, piece)
    rank = np.arange(order.size) - first
    rows = order[(rank < few) | judged.infringed[order] | judged.rule_missed[order]]
    return _as_rows(track, judged.rows(rows), rules)


def _told(judged: Judged, nearest: Ints) -> Ints:
    """Return the rows that may be told at all, whatever else was measured on the way."""
    telling = judged.infringed | judged.rule_missed
    telling[nearest] = True
    passing = judged.passing
    order = np.lexsort((passing.hazard, judged.margin_m, passing.piece))
    least = order[np.append(True, np.diff(passing.piece[order]) != 0)[: order.size]]
    telling[least] = True
    return np.flatnonzero(telling)


def _as_rows(track: TrackLines, judged: Judged, rules: tuple[Rule, ...]) -> tuple[PieceNear, ...]:
    """Return rows with their places."""
    passing = judged.passing
    lat, lon = places_of(track, passing)
    abeam = _has_abeam(track, passing)
    found = []
    for row in range(len(passing.hazard)):
        limited = bool(judged.limit_source[row] >= 0)
        found.append(
            PieceNear(
                piece=track.pieces[passing.piece[row]].piece,
                hazard_index=int(passing.hazard[row]),
                distance_m=float(passing.distance_m[row]),
                clearance_m=float(judged.clearance_m[row]),
                limit_m=float(judged.limit_m[row]) if limited else None,
                limit_source=LIMIT_SOURCES[judged.limit_source[row]] if limited else None,
                met=not bool(judged.infringed[row]) if limited else None,
                rule=rules[judged.rule[row]] if judged.rule[row] >= 0 else None,
                rule_missed=bool(judged.rule_missed[row]),
                side=SIDES[passing.side[row]],
                nearest=Position(lat_deg=float(lat[row]), lon_deg=float(lon[row])),
                hazard_point=Position(
                    lat_deg=float(passing.danger_lat_deg[row]),
                    lon_deg=float(passing.danger_lon_deg[row]),
                ),
                along_m=float(passing.along_m[row]),
                abeam=bool(abeam[row]),
            )
        )
    return tuple(found)


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
