"""Checks of the clearance of each leg and turn from the loaded dangers."""

import math
from typing import Literal

import numpy as np

from wheelover.core.arrays import tied_m
from wheelover.core.checks.untracked import turn_untracked
from wheelover.core.checks.waivers import waiver_for
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
    rule_asked,
    turn_name,
    turn_subject,
)
from wheelover.core.depth.over import may_cross_above
from wheelover.core.margins import class_at, margins_of
from wheelover.core.types.clearance import Infringement, LimitSource, Piece
from wheelover.core.types.plan import Finding, Grade, Subject

Limited = Literal["all", "some", "none"]
"""For how much of the loaded dangers a limit of clearance counts."""

_LISTED = 3
_WINDS = "it curves too sharply beside the pole for its nearest points to be found"

_PASSABLE = ("ice", "unsurveyed", "warning", "restricted", "special", "routeing", "cable")
"""Classes of danger that a ship may be allowed to enter: there a waiver answers also that."""

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
                not_checked=_not_in_full(workings, piece, reason, limited.get(piece, "none")),
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
                    workings,
                    piece,
                    turn_untracked(turn) or unmeasured.get(piece),
                    limited.get(piece, "none"),
                ),
            )
        )
    return tuple(verdicts)


def _findings_by_piece(workings: Workings) -> dict[Piece, tuple[Finding, ...]]:
    """Return the finding of each danger under every piece on which it is inside its limit.

    The worst come first, and what is as bad in the order of ids: how the dangers came in says
    nothing.
    """
    by_hazard: dict[tuple[int, bool, bool, str | None, str | None], list[Infringement]] = {}
    # Beneath an object of known height the track may lead, where a sum of its own judges that.
    hazards = workings.chart.hazards
    known = {one.hazard for one in hazards.overheads if may_cross_above(hazards, one.hazard)}
    summed = {(one.piece, one.hazard_id) for one in workings.depths.overheads}
    ids = hazards.ids
    for one in workings.clearances.infringements:
        if one.hazard_index in known and (one.piece, ids[one.hazard_index]) in summed:
            continue
        rule = None if one.rule is None else one.rule.id
        waiver = _waiver(workings, one)
        key = (one.hazard_index, one.limit_source is None, one.limit_kept, rule, waiver)
        by_hazard.setdefault(key, []).append(one)
    found: dict[Piece, tuple[Finding, ...]] = {}
    worst_first = sorted(
        by_hazard.values(),
        key=lambda one: (float(tied_m(_worst_m(one))[0]), ids[one[0].hazard_index]),
    )
    for infringed in worst_first:
        finding = _finding(workings, infringed)
        for one in infringed:
            found[one.piece] = (*found.get(one.piece, ()), finding)
    return found


def _waiver(workings: Workings, one: Infringement) -> str | None:
    """Return the id of the waiver of a rule that is missed on one piece, None without one."""
    if one.rule is None:
        return None
    about = workings.chart.hazards.ids[one.hazard_index]
    subject = _piece_subject(workings, one.piece)
    waiver = waiver_for(workings.limits.waivers, one.rule.id, subject, about)
    return None if waiver is None else waiver.id


def _worst_m(infringed: list[Infringement]) -> float:
    """Return what is left over the limit where a danger is worst."""
    return min(one.clearance_m - one.limit_m for one in infringed)


def _not_in_full(
    workings: Workings, piece: Piece, no_track: str | None, limited: Limited
) -> str | None:
    """Return why a clearance is not simply met on a piece, None where charts cover it."""
    if not workings.chart.loaded:
        return "no dangers are loaded"
    if no_track is not None:
        return no_track
    if limited == "none":
        return "no clearance limit is given, so distances are shown and none is judged"
    uncovered = coverage_unknown(workings, piece)
    if limited == "some" and uncovered is None:
        return "no clearance limit is given for some dangers, so those are shown and not judged"
    return uncovered


def _limited(workings: Workings) -> dict[Piece, Limited]:
    """Return for how much of the dangers a limit counts on each piece of the track."""
    own = not np.all(np.isnan(workings.chart.hazards.min_clearance_m))
    pieces = workings.track.pieces
    asked = margins_of([one.asked for one in pieces], workings.limits).limit_source >= 0
    every, some = np.all(asked, axis=1).tolist(), np.any(asked, axis=1).tolist()
    return {
        piece.piece: "all" if whole else "some" if part or own else "none"
        for piece, whole, part in zip(pieces, every, some, strict=True)
    }


def _finding(workings: Workings, infringed: list[Infringement]) -> Finding:
    """Return the finding of a danger that is not outside its limit, where it is worst."""
    worst = min(infringed, key=lambda one: one.clearance_m - _not_kept_m(one))
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
        f"{_asked(worst, workings)}.{also} Measured from the centre line to the loaded danger; the "
        "hull is not applied."
    )
    code = "danger_crossed" if worst.limit_source is None else "clearance_not_met"
    on_track = worst.crossed or worst.clearance_m <= 0.0
    grade, doubt = _grade(workings, worst)
    return Finding(
        code="set_limit_not_met" if worst.limit_kept else code,
        grade=grade,
        subject=_piece_subject(workings, worst.piece),
        about=hazards.ids[index],
        message=message + doubt,
        measured=worst.clearance_m,
        limit=_not_kept_m(worst) if worst.limit_source or worst.limit_kept else None,
        unit="m",
        rules=() if worst.rule is None else (worst.rule.id,),
        waivable=not on_track or class_at(hazards, index) in _PASSABLE,
    )


def _grade(workings: Workings, worst: Infringement) -> tuple[Grade, str]:
    """Return how grave it is that a danger is not outside its limit, and what makes it less so.

    A charted danger that counts only because the chart does not say enough, or that is inside its
    limit only by an uncertainty that no one stated, must be explained.
    """
    on_chart = workings.on_chart
    number = worst.hazard_index - (0 if on_chart is None else on_chart.typed_count)
    if on_chart is None or number < 0:
        return "must_resolve", ""
    dangers = on_chart.charted.dangers
    if dangers.doubtful[number]:
        return (
            "must_explain",
            f" It counts because the chart leaves it open: {dangers.why[number]}.",
        )
    hazards = dangers.hazards
    uncertainty_m = float(hazards.position_uncertainty_m[number])
    if not hazards.uncertainty_given[number] and worst.clearance_m + uncertainty_m > worst.limit_m:
        return "must_explain", (
            f" The {uncertainty_m:.0f} m are assumed: the chart states no uncertainty for it."
        )
    return "must_resolve", ""


def _not_kept_m(one: Infringement) -> float:
    """Return the limit that is not kept: that which counts, or where it is kept the rule's."""
    if one.limit_kept and one.rule is not None:
        return one.rule.value
    return one.limit_m


def _passes(worst: Infringement, danger: str) -> str:
    """Return what the track does to a danger: crosses it, or passes it at a clearance."""
    if worst.crossed:
        return f"crosses {danger}"
    return f"passes {danger} at {_down_m(worst.clearance_m)} m"


def _asked(worst: Infringement, workings: Workings) -> str:
    """Return the limit that is not kept, and the rule; without any, that it lies on the track."""
    said = []
    if not worst.limit_kept and worst.limit_source is None:
        said.append("no limit is given, and as far as its position is known it lies on the track")
    elif worst.limit_source is not None and worst.limit_source != "set":
        kept = ", and is kept" if worst.limit_kept else ""
        said.append(f"{_SOURCES[worst.limit_source]} is {worst.limit_m:g} m{kept}")
    if worst.rule is not None:
        said.append(rule_asked(worst.rule, workings))
    return "; ".join(said)


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
