"""Limits of clearance: which one counts where, and where it is not kept."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from wheelover.core.clearance.passing import (
    Passing,
    TrackPiece,
)
from wheelover.core.types.chart import Hazards
from wheelover.core.types.plan import (
    Clearance,
    Infringement,
    LimitSource,
)


def limit_on_piece(
    hazards: Hazards, hazard_index: int, piece: TrackPiece, plan_limit_m: float | None
) -> tuple[float | None, LimitSource | None]:
    """Return the limit that counts: the danger's own, else the leg's, else the plan's.

    In a turn the larger counts of what the two legs ask for, each by itself or by the plan.
    """
    own_m = float(hazards.min_clearance_m[hazard_index])
    if not np.isnan(own_m):
        return own_m, "hazard"
    asked: list[tuple[float, LimitSource]] = []
    for leg_m in piece.leg_limits_m:
        if leg_m is not None:
            asked.append((leg_m, "leg"))
        elif plan_limit_m is not None:
            asked.append((plan_limit_m, "plan"))
    return max(asked, key=lambda one: one[0]) if asked else (None, None)


def keeps_limit(clearance_m: float, limit_m: float) -> bool:
    """Return whether a clearance is outside a limit.

    On the limit is not outside it, and an undefined clearance is outside nothing.
    """
    return clearance_m > limit_m


def infringements_of(
    pieces: tuple[TrackPiece, ...],
    passings: list[Passing],
    hazards: Hazards,
    plan_limit_m: float | None,
) -> Iterator[Infringement]:
    """Yield every danger and piece where the limit that counts there is not kept.

    Where none is given, a danger counts that lies on the track as far as its position is known.
    """
    for piece, passing in zip(pieces, passings, strict=True):
        clearance_m = passing.distance_m - hazards.position_uncertainty_m[passing.hazard]
        for row in np.argsort(passing.hazard, kind="stable"):
            hazard = int(passing.hazard[row])
            limit_m, source = limit_on_piece(hazards, hazard, piece, plan_limit_m)
            # Without a limit the track must still not lie on a danger.
            asked_m = 0.0 if limit_m is None else limit_m
            if not keeps_limit(float(clearance_m[row]), asked_m):
                yield Infringement(
                    hazard_index=hazard,
                    piece=piece.piece,
                    clearance_m=float(clearance_m[row]),
                    crossed=passing.side[row] == "crossed",
                    limit_m=asked_m,
                    limit_source=source,
                )


def worst_of_each(infringements: tuple[Infringement, ...]) -> dict[int, Infringement]:
    """Return for each danger inside a limit that was given the piece on which it is worst."""
    worst: dict[int, Infringement] = {}
    for one in infringements:
        if one.limit_source is None:
            continue
        known = worst.get(one.hazard_index)
        if known is None or one.clearance_m - one.limit_m < known.clearance_m - known.limit_m:
            worst[one.hazard_index] = one
    return worst


def held_to_worst(row: Clearance, worst: Infringement | None) -> Clearance:
    """Return a row that is not met if the danger is inside its limit on any piece at all.

    The nearest piece may ask for less than another that lies farther off: the limit shown is then
    the one that is not kept, and the row says on which piece.
    """
    if worst is None:
        return row
    return replace(
        row,
        limit_m=worst.limit_m,
        limit_source=worst.limit_source,
        limit_piece=worst.piece,
        met=False,
    )


def not_said_met(row: Clearance) -> Clearance:
    """Return a row that is not said to be met: a piece that was not measured may be nearer."""
    return replace(row, met=None if row.met else row.met)
