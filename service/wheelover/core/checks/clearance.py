"""Checks of the clearance of each leg and turn from the loaded dangers."""

import math

import numpy as np

from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
    turn_name,
    turn_subject,
)
from wheelover.core.types.clearance import Infringement, LimitSource, Piece
from wheelover.core.types.plan import Finding, Subject
from wheelover.core.types.track import PlannedTurn

_LISTED = 3
_WINDS = "it curves too sharply beside the pole for its nearest points to be found"

_SOURCES: dict[LimitSource, str] = {
    "hazard": "the danger's own limit",
    "leg": "the leg's limit",
    "plan": "the plan's limit",
}


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the clearance of every leg and turn.

    A danger inside its limit on several pieces is one finding, which stands in the verdict of
    each of them.
    """
    by_piece = _findings_by_piece(workings)
    limited = _limited(workings)
    unmeasured = dict.fromkeys(workings.clearances.unmeasured, _WINDS)
    verdicts = []
    for leg in workings.track.legs:
        piece = Piece(kind="leg", index=leg.index)
        reason = None if leg.path is not None else "the leg has no length"
        reason = reason or unmeasured.get(piece)
        if not leg.room:
            reason = "the turns at its ends overlap, so no track exists; the whole leg was measured"
        verdicts.append(
            Verdict(
                check="leg_clearance",
                subject=leg_subject(leg),
                findings=by_piece.get(piece, ()),
                not_checked=_not_in_full(workings, reason, piece in limited),
            )
        )
    for turn in workings.track.turns:
        piece = Piece(kind="turn", index=turn.index)
        verdicts.append(
            Verdict(
                check="turn_clearance",
                subject=turn_subject(turn),
                findings=by_piece.get(piece, ()),
                not_checked=_not_in_full(
                    workings, _no_track(turn) or unmeasured.get(piece), piece in limited
                ),
            )
        )
    return tuple(verdicts)


def _findings_by_piece(workings: Workings) -> dict[Piece, tuple[Finding, ...]]:
    """Return the finding of each danger under every piece on which it is inside its limit.

    The worst come first, and what is as bad in the order of ids: how the dangers came in says
    nothing.
    """
    by_hazard: dict[tuple[int, bool], list[Infringement]] = {}
    for infringement in workings.clearances.infringements:
        key = (infringement.hazard_index, infringement.limit_source is None)
        by_hazard.setdefault(key, []).append(infringement)
    found: dict[Piece, tuple[Finding, ...]] = {}
    ids = workings.chart.hazards.ids
    worst_first = sorted(
        by_hazard.values(), key=lambda one: (_worst_m(one), ids[one[0].hazard_index])
    )
    for infringed in worst_first:
        finding = _finding(workings, infringed)
        for one in infringed:
            found[one.piece] = (*found.get(one.piece, ()), finding)
    return found


def _worst_m(infringed: list[Infringement]) -> float:
    """Return what is left over the limit where a danger is worst."""
    return min(one.clearance_m - one.limit_m for one in infringed)


def _no_track(turn: PlannedTurn) -> str | None:
    """Return why the path of a turn is not known, if it is not."""
    if turn.arc is None:
        return f"{turn.reason}; the path around the corner is not known"
    if not turn.fits:
        return "the turn does not fit, so the ship cannot follow its arc"
    return None


def _not_in_full(workings: Workings, no_track: str | None, limited: bool) -> str:
    """Return why a clearance is never simply met: so far nobody can state the coverage."""
    if not workings.chart.loaded:
        return "no dangers are loaded"
    if no_track is not None:
        return no_track
    if limited:
        return coverage_unknown(workings.chart)
    return "no clearance limit is given, so distances are shown and none is judged"


def _limited(workings: Workings) -> frozenset[Piece]:
    """Return the pieces of the track on which some limit counts."""
    general = workings.limits.min_clearance_m is not None
    own = not np.all(np.isnan(workings.chart.hazards.min_clearance_m))
    return frozenset(
        piece.piece
        for piece in workings.track.pieces
        if general or own or any(m is not None for m in piece.leg_limits_m)
    )


def _finding(workings: Workings, infringed: list[Infringement]) -> Finding:
    """Return the finding of a danger that is not outside its limit, where it is worst."""
    worst = min(infringed, key=lambda one: one.clearance_m - one.limit_m)
    index = worst.hazard_index
    hazards = workings.chart.hazards
    danger = hazards.names[index] or hazards.ids[index]
    uncertainty_m = float(hazards.position_uncertainty_m[index])
    less = f", {uncertainty_m:.0f} m of position uncertainty taken off" if uncertainty_m else ""
    others = [one.piece for one in infringed if one is not worst]
    listed = ", ".join(_piece_name(workings, piece) for piece in others[:_LISTED])
    more = f" and {len(others) - _LISTED} more" if len(others) > _LISTED else ""
    also = f" The same holds there too: {listed}{more}." if others else ""
    message = (
        f"The {_piece_name(workings, worst.piece)} {_passes(worst, danger)}{less}; "
        f"{_asked(worst)}.{also} Measured from the centre line to the loaded danger; the hull "
        "is not applied."
    )
    return Finding(
        code="danger_crossed" if worst.limit_source is None else "clearance_not_met",
        grade="must_resolve",
        subject=_piece_subject(workings, worst.piece),
        about=hazards.ids[index],
        message=message,
        measured=worst.clearance_m,
        limit=None if worst.limit_source is None else worst.limit_m,
        unit="m",
    )


def _passes(worst: Infringement, danger: str) -> str:
    """Return what the track does to a danger: crosses it, or passes it at a clearance."""
    if worst.crossed:
        return f"crosses {danger}"
    return f"passes {danger} at {_down_m(worst.clearance_m)} m"


def _asked(worst: Infringement) -> str:
    """Return the limit that is not kept; without one, that the danger lies on the track."""
    if worst.limit_source is None:
        return "no limit is given, and as far as its position is known it lies on the track"
    return f"{_SOURCES[worst.limit_source]} is {worst.limit_m:g} m"


def _down_m(clearance_m: float) -> str:
    """Return a clearance as it is written: rounded down to a decimetre, and not below zero."""
    return f"{math.floor(max(clearance_m, 0.0) * 10.0) / 10.0:.1f}"


def _piece_name(workings: Workings, piece: Piece) -> str:
    """Return what a piece of the track is called in a sentence."""
    if piece.kind == "leg":
        return leg_name(workings.track.legs[piece.index])
    return turn_name(workings.track.turns[piece.index])


def _piece_subject(workings: Workings, piece: Piece) -> Subject:
    """Return a piece of the track as the subject of a finding."""
    if piece.kind == "leg":
        return leg_subject(workings.track.legs[piece.index])
    return turn_subject(workings.track.turns[piece.index])
