"""Which rows of pieces and dangers count most: of each danger, of each piece and of each side.

Compiled loops find them; where several count as much the ids of dangers settle it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, tied_m
from wheelover.core.clearance.foremost_loops import (
    dangers_loop,
    few_loop,
    ranked_loop,
    sides_loop,
)
from wheelover.core.clearance.limits import Judged
from wheelover.core.clearance.ties import settle
from wheelover.core.types.clearance import SIDES

FEW = 3
"""So many dangers of each piece are told, least margin first, and every one inside its limit."""

MOST = 12
"""No more than so many are told of one piece; each danger inside a limit is a finding anyway."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ByDanger:
    """Of each danger that is listed, nearest first, the row of the piece nearest to it.

    ``worst`` is the row on which it is worst inside a limit that was given, -1 for none.
    ``is_nearest`` says of every row whether it is that of the piece nearest to its danger, listed
    or not.
    """

    nearest: Ints
    worst: Ints
    is_nearest: Bools


def by_danger(judged: Judged, ids: Sequence[str]) -> ByDanger:
    """Return the rows that count most of each danger.

    Parameters
    ----------
    judged : Judged
        Rows in the order of pieces.
    ids : sequence of str
        Of the dangers: of those as near the first by id stands before the other.
    """
    passing = judged.passing
    hazard, distance_m = passing.hazard, np.ascontiguousarray(passing.distance_m)
    count = hazard.size
    is_nearest = np.zeros(count, dtype=np.bool_)
    listed = np.empty((2, count), dtype=np.int64)
    # One sort of plain numbers, no two of them the same, takes a tenth of what it takes by keys.
    order = np.sort(hazard * count + np.arange(count)) % max(count, 1)
    many = dangers_loop(
        order, np.ascontiguousarray(hazard), distance_m, judged.unsure_m, judged.limit_m,
        tied_m(judged.margin_m), judged.limit_source, judged.infringed, is_nearest, listed,
    )  # fmt: skip
    nearest, worst = listed[:, :many]
    near_m = tied_m(distance_m[nearest])
    ranked = np.argsort(near_m)
    settle(ranked, _as_before(near_m[ranked]), hazard[nearest], ids)
    return ByDanger(nearest=nearest[ranked], worst=worst[ranked], is_nearest=is_nearest)


@dataclass(frozen=True, slots=True, kw_only=True)
class ByPiece:
    """The rows that matter most to each piece, ``few``, least margin first.

    Of each piece by its number ``least`` is the row with the least margin of all, -1 where none is
    near, ``infringed_count`` says how many dangers are inside their limit, and ``left_out_count``
    how many rows that matter are not among the few.
    """

    few: Ints
    least: Ints
    infringed_count: Ints
    left_out_count: Ints


def by_piece(judged: Judged, is_nearest: Bools, piece_count: int, ids: Sequence[str]) -> ByPiece:
    """Return the rows that matter most to each piece.

    Parameters
    ----------
    judged : Judged
        Rows in the order of pieces.
    is_nearest : ndarray of bool
        Which of them are those of the pieces nearest to their dangers.
    piece_count : int
        How many pieces there are.
    ids : sequence of str
        Of the dangers: of those that matter as much, the first by id are told.

    Notes
    -----
    A danger is told where it is nearest, wherever it is inside its limit, and where it has the
    least margin of all: of a danger off a corner the turn speaks, not both legs as well.
    """
    piece, margin_m = np.ascontiguousarray(judged.passing.piece), tied_m(judged.margin_m)
    count = piece.size
    ranked, told = np.empty(count, dtype=np.int64), np.empty(count, dtype=np.int64)
    equal = np.zeros(count, dtype=np.bool_)
    in_each = np.bincount(piece, minlength=piece_count)
    places = np.cumsum(in_each) - in_each
    if ranked_loop(np.argsort(margin_m), piece, margin_m, places, ranked, equal):
        settle(ranked, equal, judged.passing.hazard, ids)
    of_pieces = np.zeros((3, piece_count), dtype=np.int64)
    of_pieces[0] = -1
    many = few_loop(
        ranked, piece, margin_m, judged.infringed, judged.rule_missed, is_nearest, FEW, MOST,
        told, of_pieces,
    )  # fmt: skip
    least, infringed_count, left_out_count = of_pieces
    return ByPiece(
        few=told[:many],
        least=least,
        infringed_count=infringed_count,
        left_out_count=left_out_count,
    )


def by_side(judged: Judged, piece_count: int, ids: Sequence[str]) -> Ints:
    """Return the row of the danger nearest to each side of each piece, in sailing order.

    Parameters
    ----------
    judged : Judged
        Rows in the order of pieces.
    piece_count : int
        How many pieces there are.
    ids : sequence of str
        Of the dangers: of some as near the first of them counts.
    """
    hazard = judged.passing.hazard
    group = judged.passing.piece * len(SIDES) + judged.passing.side
    nearest = np.full(piece_count * len(SIDES), -1, dtype=np.int64)
    others = np.empty(group.size, dtype=np.int64)
    near_m = tied_m(judged.clearance_m)
    many = sides_loop(group, near_m, nearest, others)
    for row in others[:many].tolist():
        known = nearest[group[row]]
        if near_m[row] == near_m[known] and ids[hazard[row]] < ids[hazard[known]]:
            nearest[group[row]] = row
    return nearest[nearest >= 0]


def _as_before(values: Floats) -> Bools:
    """Return whether each value is equal to the one before it."""
    equal = np.zeros(values.size, dtype=np.bool_)
    equal[1:] = values[1:] == values[:-1]
    return equal
