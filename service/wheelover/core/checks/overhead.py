"""The checks of clearance over the mast, on every leg and in every turn."""

from wheelover.core.checks.untracked import leg_untracked, turn_untracked
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
    turn_name,
    turn_subject,
)
from wheelover.core.types.clearance import Piece
from wheelover.core.types.depth import OverheadSum
from wheelover.core.types.plan import Finding, Subject

_NO_SHIP = "no ship is given, so her height above the water is not known"
_NO_RULE = "no clearance over the mast is required, so it is shown and not judged"


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the clearance over the mast."""
    found: dict[Piece, list[OverheadSum]] = {}
    for one in workings.depths.overheads:
        found.setdefault(one.piece, []).append(one)
    on_legs = [
        _verdict(
            "leg_overhead",
            leg_subject(leg),
            f"On {leg_name(leg)}",
            Piece(kind="leg", index=leg.index),
            leg_untracked(leg),
            found,
            workings,
        )
        for leg in workings.track.legs
    ]
    in_turns = [
        _verdict(
            "turn_overhead",
            turn_subject(turn),
            f"In the {turn_name(turn)}",
            Piece(kind="turn", index=turn.index),
            turn_untracked(turn),
            found,
            workings,
        )
        for turn in workings.track.turns
    ]
    return (*on_legs, *in_turns)


def _verdict(
    name: str,
    subject: Subject,
    where: str,
    piece: Piece,
    untracked: str | None,
    found: dict[Piece, list[OverheadSum]],
    workings: Workings,
) -> Verdict:
    """Return the verdict on what one piece passes beneath."""
    sums = found.get(piece, [])
    if workings.ship is None:
        return Verdict(check=name, subject=subject, not_checked=_NO_SHIP)
    if not workings.chart.loaded:
        return Verdict(check=name, subject=subject, not_checked="no dangers are loaded")
    left_out = [] if untracked is None else [untracked]
    for one in sums:
        said = list(one.left_out)
        if one.required_m is None:
            said.append(_NO_RULE)
        if said:
            left_out.append(f"{one.hazard_name or one.hazard_id}: {'; '.join(said)}")
    uncovered = coverage_unknown(workings, piece)
    if uncovered is not None:
        left_out.append(uncovered)
    return Verdict(
        check=name,
        subject=subject,
        findings=tuple(_finding(subject, where, one) for one in sums if one.met is False),
        not_checked="; ".join(left_out) or None,
    )


def _finding(subject: Subject, where: str, one: OverheadSum) -> Finding:
    """Return the finding of an object that is too low."""
    known_m = sum(term.value_m for term in one.terms if term.value_m is not None)
    clearance_m = round(known_m, 2) if one.clearance_m is None else one.clearance_m
    required = "" if one.required_m is None else f", {one.required_m:.2f} m required"
    by = "" if one.required_by is None else f" ({one.required_by})"
    strikes = clearance_m <= 0.0
    message = (
        f"{where} the mast passes {clearance_m:.2f} m under {one.hazard_name or one.hazard_id}"
        f"{required}{by}, with the highest tide while she passes and her lightest draught."
    )
    return Finding(
        code="overhead_strikes" if strikes else "overhead_not_met",
        grade="must_resolve",
        subject=subject,
        about=one.hazard_id,
        message=message,
        measured=clearance_m,
        limit=0.0 if one.required_m is None else one.required_m,
        unit="m",
        rules=one.missed_rules,
        # What the plan itself asks for, and air at all, no waiver of a set's rule answers.
        waivable=not strikes and not one.own_missed,
    )
