"""Limits of clearance: which one counts where, and where it is not kept."""

import math
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.clearance.foremost_loops import judged_loop
from wheelover.core.clearance.passing import Passing, TrackPiece
from wheelover.core.margins import Margins
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import LIMIT_SOURCES, SIDES, Infringement
from wheelover.core.types.limits import Rule

_HAZARD = LIMIT_SOURCES.index("hazard")
_NONE = -1
_CROSSED = SIDES.index("crossed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """Rows of a passing with what is left of each distance and what is asked for there.

    ``unsure_m`` is the uncertainty of the position, taken off. ``limit_m`` is nan and
    ``limit_source`` -1 where no limit is given; ``margin_m`` is what is left over the limit, or
    without one the clearance itself. ``infringed`` says where the limit is not kept, or without one
    where the danger lies on the track as far as its position is known. ``rule`` numbers the rule of
    the limit set that counts there, -1 for none, and ``rule_missed`` says where that is not kept,
    whatever limit counts.
    """

    passing: Passing
    unsure_m: Floats
    clearance_m: Floats
    limit_m: Floats
    margin_m: Floats
    limit_source: Ints
    rule: Ints
    infringed: Bools
    rule_missed: Bools


def judge(passing: Passing, hazards: Hazards, margins: Margins) -> Judged:
    """Return which limit counts for each row, and whether it is kept.

    The danger's own limit counts, else what the piece asks (core/margins.py).

    Parameters
    ----------
    passing : Passing
        Nearest points of pieces of the track to dangers.
    hazards : Hazards
        The dangers; the uncertainty of a position counts against the limit.
    margins : Margins
        What the pieces ask of each class of danger.
    """
    count, hazard = passing.hazard.size, passing.hazard
    unsure_m = hazards.position_uncertainty_m[hazard]
    found_m, is_so = np.empty((3, count)), np.empty((2, count), dtype=np.bool_)
    numbers = np.empty((2, count), dtype=np.int64)
    judged_loop(
        np.ascontiguousarray(passing.piece),
        margins.columns_of(hazards)[hazard],
        np.ascontiguousarray(passing.distance_m),
        unsure_m,
        np.asarray(hazards.min_clearance_m[hazard], np.float64),
        margins.limit_m,
        margins.rule_m,
        margins.limit_source,
        margins.rule,
        _HAZARD,
        found_m,
        numbers,
        is_so,
    )
    return Judged(
        passing=passing,
        unsure_m=unsure_m,
        clearance_m=found_m[0],
        limit_m=found_m[1],
        margin_m=found_m[2],
        limit_source=numbers[0],
        rule=numbers[1],
        infringed=is_so[0],
        rule_missed=is_so[1],
    )


def keeps_limit(clearance_m: Floats | float, limit_m: Floats | float) -> Bools:
    """Return whether clearances are outside limits.

    On the limit is not outside it, and an undefined clearance is outside nothing.
    """
    return np.asarray(np.asarray(clearance_m) > np.asarray(limit_m))


def infringements_of(
    pieces: tuple[TrackPiece, ...], judged: Judged, rows: Ints, rules: tuple[Rule, ...] = ()
) -> tuple[Infringement, ...]:
    """Return dangers and pieces where the limit that counts, or a rule, is not kept.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The track.
    judged : Judged
        Rows, one for each danger and piece.
    rows : ndarray, shape (n,)
        Those of them where it is not kept.
    rules : tuple of Rule
        The rules that ``judged`` numbers.
    """
    passing = judged.passing
    columns = (passing.hazard, passing.piece, passing.side, judged.clearance_m, judged.limit_m,
               judged.limit_source, judged.infringed, judged.rule, judged.rule_missed)  # fmt: skip
    return tuple(
        Infringement(
            hazard_index=hazard,
            piece=pieces[piece].piece,
            clearance_m=clearance_m,
            crossed=side == _CROSSED,
            limit_m=0.0 if math.isnan(limit_m) else limit_m,
            limit_source=None if source == _NONE else LIMIT_SOURCES[source],
            limit_kept=not infringed,
            rule=rules[rule] if missed else None,
        )
        for hazard, piece, side, clearance_m, limit_m, source, infringed, rule, missed in zip(
            *(one[rows].tolist() for one in columns), strict=True
        )
    )
