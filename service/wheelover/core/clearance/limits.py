"""Limits of clearance: which one counts where, and where it is not kept."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.clearance.passing import Passing, TrackPiece
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import LIMIT_SOURCES, SIDES, Infringement

_HAZARD, _LEG, _PLAN = (LIMIT_SOURCES.index(one) for one in ("hazard", "leg", "plan"))
_NONE = -1
_CROSSED = SIDES.index("crossed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """Rows of a passing with what is left of each distance and what is asked for there.

    ``limit_m`` is nan and ``limit_source`` -1 where no limit is given; ``infringed`` says where the
    limit is not kept, or without one where the danger lies on the track as far as its position is
    known.
    """

    passing: Passing
    clearance_m: Floats
    limit_m: Floats
    limit_source: Ints
    infringed: Bools

    @property
    def margin_m(self) -> Floats:
        """Return what is left over the limit; where none is given, the clearance itself."""
        return self.clearance_m - np.where(np.isnan(self.limit_m), 0.0, self.limit_m)


def judge(
    pieces: tuple[TrackPiece, ...], passing: Passing, hazards: Hazards, plan_limit_m: float | None
) -> Judged:
    """Return which limit counts for each row, and whether it is kept.

    The danger's own limit counts, else the leg's, else the plan's.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The track.
    passing : Passing
        Nearest points of its pieces to dangers.
    hazards : Hazards
        The dangers; the uncertainty of a position counts against the limit.
    plan_limit_m : float or None
        The plan's limit.
    """
    asked = [_asked_by_piece(piece, plan_limit_m) for piece in pieces]
    piece_m = np.array([limit_m for limit_m, _ in asked])[passing.piece]
    source = np.array([source for _, source in asked], dtype=np.int64)[passing.piece]
    own_m = hazards.min_clearance_m[passing.hazard]
    own = ~np.isnan(own_m)
    limit_m = np.where(own, own_m, piece_m)
    clearance_m = passing.distance_m - hazards.position_uncertainty_m[passing.hazard]
    return Judged(
        passing=passing,
        clearance_m=clearance_m,
        limit_m=limit_m,
        limit_source=np.where(own, _HAZARD, source),
        # Without a limit the track must still not lie on a danger.
        infringed=~keeps_limit(clearance_m, np.where(np.isnan(limit_m), 0.0, limit_m)),
    )


def limits_of(pieces: tuple[TrackPiece, ...], plan_limit_m: float | None) -> Floats:
    """Return what each piece asks of dangers without a limit of their own, nothing being zero."""
    limit_m = np.array([_asked_by_piece(piece, plan_limit_m)[0] for piece in pieces])
    return np.where(np.isnan(limit_m), 0.0, limit_m)


def _asked_by_piece(piece: TrackPiece, plan_limit_m: float | None) -> tuple[float, int]:
    """Return what a piece asks of dangers without a limit of their own, and the source's number.

    In a turn the larger counts of what the two legs ask for, each by itself or by the plan.
    """
    asked: list[tuple[float, int]] = []
    for leg_m in piece.leg_limits_m:
        if leg_m is not None:
            asked.append((leg_m, _LEG))
        elif plan_limit_m is not None:
            asked.append((plan_limit_m, _PLAN))
    return max(asked, key=lambda one: one[0]) if asked else (np.nan, _NONE)


def keeps_limit(clearance_m: Floats | float, limit_m: Floats | float) -> Bools:
    """Return whether clearances are outside limits.

    On the limit is not outside it, and an undefined clearance is outside nothing.
    """
    return np.asarray(np.asarray(clearance_m) > np.asarray(limit_m))


def infringements_of(pieces: tuple[TrackPiece, ...], judged: Judged) -> tuple[Infringement, ...]:
    """Return every danger and piece where the limit that counts there is not kept."""
    passing = judged.passing
    return tuple(
        Infringement(
            hazard_index=int(passing.hazard[row]),
            piece=pieces[passing.piece[row]].piece,
            clearance_m=float(judged.clearance_m[row]),
            crossed=bool(passing.side[row] == _CROSSED),
            limit_m=0.0 if np.isnan(judged.limit_m[row]) else float(judged.limit_m[row]),
            limit_source=None
            if judged.limit_source[row] == _NONE
            else LIMIT_SOURCES[judged.limit_source[row]],
        )
        for row in np.flatnonzero(judged.infringed).tolist()
    )


def worst_rows(judged: Judged) -> Ints:
    """Return for each danger inside a limit that was given the row on which it is worst."""
    inside = np.flatnonzero(judged.infringed & (judged.limit_source != _NONE))
    hazard = judged.passing.hazard[inside]
    order = np.lexsort((judged.passing.piece[inside], judged.margin_m[inside], hazard))
    first = np.append(True, np.diff(hazard[order]) != 0)[: order.size]
    return np.asarray(inside[order[first]], dtype=np.int64)
