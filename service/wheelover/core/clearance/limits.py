"""Limits of clearance: which one counts where, and where it is not kept."""

import math
from dataclasses import dataclass, fields

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
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

    ``limit_m`` is nan and ``limit_source`` -1 where no limit is given; ``infringed`` says where the
    limit is not kept, or without one where the danger lies on the track as far as its position is
    known. ``rule`` numbers the rule of the limit set that counts there, -1 for none, and
    ``rule_missed`` says where that is not kept, whatever limit counts.
    """

    passing: Passing
    clearance_m: Floats
    limit_m: Floats
    limit_source: Ints
    infringed: Bools
    rule: Ints
    rule_missed: Bools

    def rows(self, which: Ints) -> "Judged":
        """Return the rows of the given numbers."""
        columns = {one.name: getattr(self, one.name) for one in fields(Judged)}
        return Judged(
            passing=self.passing.rows(which),
            **{name: one[which] for name, one in columns.items() if name != "passing"},
        )

    @property
    def margin_m(self) -> Floats:
        """Return what is left over the limit; where none is given, the clearance itself."""
        return self.clearance_m - np.where(np.isnan(self.limit_m), 0.0, self.limit_m)


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
    cell = passing.piece, margins.columns_of(hazards)[passing.hazard]
    own_m = hazards.min_clearance_m[passing.hazard]
    own = ~np.isnan(own_m)
    limit_m = np.where(own, own_m, margins.limit_m[cell])
    clearance_m = passing.distance_m - hazards.position_uncertainty_m[passing.hazard]
    rule_m = margins.rule_m[cell]
    return Judged(
        passing=passing,
        clearance_m=clearance_m,
        limit_m=limit_m,
        limit_source=np.where(own, _HAZARD, margins.limit_source[cell]),
        # Without a limit the track must still not lie on a danger.
        infringed=~keeps_limit(clearance_m, np.where(np.isnan(limit_m), 0.0, limit_m)),
        rule=margins.rule[cell],
        rule_missed=~np.isnan(rule_m) & ~keeps_limit(clearance_m, rule_m),
    )


def keeps_limit(clearance_m: Floats | float, limit_m: Floats | float) -> Bools:
    """Return whether clearances are outside limits.

    On the limit is not outside it, and an undefined clearance is outside nothing.
    """
    return np.asarray(np.asarray(clearance_m) > np.asarray(limit_m))


def infringements_of(
    pieces: tuple[TrackPiece, ...], judged: Judged, rules: tuple[Rule, ...] = ()
) -> tuple[Infringement, ...]:
    """Return rows of dangers and pieces where the limit that counts, or a rule, is not kept.

    Parameters
    ----------
    pieces : tuple of TrackPiece
        The track.
    judged : Judged
        The rows, one for each danger and piece.
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
            *(one.tolist() for one in columns), strict=True
        )
    )


def worst_rows(judged: Judged) -> Ints:
    """Return for each danger inside a limit that was given the row on which it is worst."""
    inside = np.flatnonzero(judged.infringed & (judged.limit_source != _NONE))
    hazard = judged.passing.hazard[inside]
    order = np.lexsort((judged.passing.piece[inside], judged.margin_m[inside], hazard))
    first = np.append(True, np.diff(hazard[order]) != 0)[: order.size]
    return np.asarray(inside[order[first]], dtype=np.int64)
