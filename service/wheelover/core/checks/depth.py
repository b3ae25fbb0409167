"""The checks of water under the keel, on every leg and in every turn."""

from wheelover.core.checks.untracked import leg_untracked, turn_untracked
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    leg_name,
    leg_subject,
    turn_name,
    turn_subject,
)
from wheelover.core.depth.squat import HIGH_FROUDE_RATIO
from wheelover.core.types.clearance import Piece
from wheelover.core.types.depth import DepthSum
from wheelover.core.types.plan import Finding, Subject

_NO_RULE = "no under-keel clearance is required, so it is shown and not judged"


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the water under the keel."""
    sums = {one.piece: one for one in workings.depths.sums}
    reasons = dict(workings.depths.reasons)
    on_legs = [
        _verdict(
            "leg_depth",
            leg_subject(leg),
            f"On {leg_name(leg)}",
            leg_untracked(leg),
            sums.get(piece),
            reasons.get(piece),
        )
        for leg in workings.track.legs
        for piece in (Piece(kind="leg", index=leg.index),)
    ]
    in_turns = [
        _verdict(
            "turn_depth",
            turn_subject(turn),
            f"In the {turn_name(turn)}",
            turn_untracked(turn),
            sums.get(piece),
            reasons.get(piece),
        )
        for turn in workings.track.turns
        for piece in (Piece(kind="turn", index=turn.index),)
    ]
    return (*on_legs, *in_turns)


def _verdict(
    name: str,
    subject: Subject,
    where: str,
    untracked: str | None,
    found: DepthSum | None,
    reason: str | None,
) -> Verdict:
    """Return the verdict on one piece."""
    if found is None:
        said = untracked or reason or "no sum was made of it"
        return Verdict(check=name, subject=subject, not_checked=said)
    left_out = [*([] if untracked is None else [untracked]), *found.left_out]
    if found.required_ukc_m is None:
        left_out.append(_NO_RULE)
    return Verdict(
        check=name,
        subject=subject,
        findings=(*_too_little(subject, where, found), *_too_fast(subject, where, found)),
        not_checked="; ".join(left_out) or None,
    )


def _too_little(subject: Subject, where: str, found: DepthSum) -> tuple[Finding, ...]:
    """Return the finding of too little water, if there is too little."""
    if found.met is not False:
        return ()
    least_m = found.static_ukc_m if found.net_ukc_m is None else found.net_ukc_m
    what = "at rest" if found.net_ukc_m is None else _at_speed(found)
    required = (
        ""
        if found.required_by is None
        else f", {found.required_ukc_m:.2f} m required ({found.required_by})"
    )
    touches = least_m is not None and least_m <= 0.0
    message = (
        f"{where} {least_m:.2f} m of water is left under the keel {what}{required}. "
        f"{_remedy(found)}"
    ).rstrip()
    return (
        Finding(
            code="ukc_none_left" if touches else "ukc_not_met",
            grade="must_resolve",
            subject=subject,
            message=message,
            measured=least_m,
            limit=0.0 if found.required_ukc_m is None else found.required_ukc_m,
            unit="m",
            rules=found.missed_rules,
            # What the plan itself asks for, and water at all, no waiver of a set's rule answers.
            waivable=not touches and not found.own_missed,
        ),
    )


def _at_speed(found: DepthSum) -> str:
    """Return at which speed and tide a sum is made."""
    tide = next(one for one in found.terms if one.name == "tide")
    height = "" if tide.value_m is None else f" and a tide of {tide.value_m:.2f} m"
    return f"at {found.speed_kn:g} kn{height}"


def _remedy(found: DepthSum) -> str:
    """Return what would meet the requirement."""
    said = []
    if found.limiting_speed_kn is not None:
        said.append(f"It is met at {found.limiting_speed_kn:.1f} kn and below.")
    elif found.limiting_speed_reason is not None and found.required_ukc_m is not None:
        said.append(f"No speed meets it: {found.limiting_speed_reason}.")
    if found.tide_needed_m is not None:
        said.append(f"The tide needed at the planned speed is {found.tide_needed_m:.2f} m.")
    return " ".join(said)


def _too_fast(subject: Subject, where: str, found: DepthSum) -> tuple[Finding, ...]:
    """Return the finding of a speed too near the critical one for the depth."""
    number = found.froude_depth_ratio
    if number is None or number <= HIGH_FROUDE_RATIO or found.critical_speed_kn is None:
        return ()
    message = (
        f"{where} the Froude depth number is {number:.2f} at {found.speed_kn:g} kn, above "
        f"{HIGH_FROUDE_RATIO:g}: squat grows fast towards the critical speed of "
        f"{found.critical_speed_kn:.1f} kn, and formulas do not hold."
    )
    return (
        Finding(
            code="froude_depth_high",
            grade="must_explain",
            subject=subject,
            message=message,
            measured=number,
            limit=HIGH_FROUDE_RATIO,
        ),
    )
