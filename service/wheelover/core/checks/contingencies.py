"""Check of contingencies: that there are some, from the legs that want one, and what is found."""

import math
from collections import Counter
from collections.abc import Iterator

from wheelover.core.checks.leaving import late_by, leaving_not_checked, turn_findings, turn_name_of
from wheelover.core.checks.monitoring import given_of
from wheelover.core.checks.workings import Verdict, Workings, plan_subject
from wheelover.core.monitoring.aborts import COMMITTING
from wheelover.core.monitoring.leaving import near_enough_m
from wheelover.core.monitoring.words import CONTINGENCY_WORDS
from wheelover.core.types.contingency import CheckedContingency
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.units import nm_from_m

_LISTED = 8
_GRADE_WORDS = {"must_resolve": "must be resolved", "must_explain": "must be explained"}


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdict on the contingencies of the plan."""
    checked = workings.bridge.contingencies
    findings = [*_wanted(workings)]
    reasons = []
    if not checked:
        reasons.append("no contingency is given: no anchorage, alternative or refuge")
    for one in checked:
        findings += _of(workings, one)
        not_checked = sum(1 for row in one.plan.checks if row.not_checked is not None)
        if not_checked:
            reasons.append(
                f"of contingency {one.contingency.id} {not_checked} of {len(one.plan.checks)} "
                "checks due were not made in full"
            )
        reasons += leaving_not_checked(workings, one)
    return (
        Verdict(
            check="contingencies",
            subject=plan_subject(),
            findings=tuple(findings),
            not_checked="; ".join(reasons) or None,
        ),
    )


def _wanted(workings: Workings) -> Iterator[Finding]:
    """Yield the finding of legs of pilotage or confined water that no contingency leaves."""
    left = {one.contingency.from_id for one in workings.bridge.contingencies}
    without = [
        leg.to_id
        for leg in workings.track.legs
        if given_of(workings, leg).stage in COMMITTING and leg.to_id not in left
    ]
    if not without or not left:
        return
    listed = ", ".join(without[:_LISTED]) + (" and others" if len(without) > _LISTED else "")
    yield Finding(
        code="contingency_missing",
        grade="must_explain",
        subject=plan_subject(),
        message=f"No contingency leaves from {len(without)} of the legs whose stage is pilotage or "
        f"confined waters: those to {listed}.",
    )


def _of(workings: Workings, one: CheckedContingency) -> Iterator[Finding]:
    """Yield what is found of one contingency."""
    name = f"{CONTINGENCY_WORDS[one.contingency.kind]} {one.contingency.id}"
    if all(leg.to_id != one.contingency.from_id for leg in workings.track.legs):
        yield _finding(
            one,
            "contingency_leaves_nowhere",
            "must_resolve",
            f"The {name} leaves from the leg to {one.contingency.from_id}, and no leg of this "
            "route leads there.",
        )
    else:
        yield from _off(workings, one, name)
        yield from _late(workings, one, name)
        yield from _turn(workings, one, name)
    if one.past_eta_ids:
        yield _finding(
            one,
            "contingency_eta_past",
            "must_resolve",
            f"The {name} gives an ETA at {', '.join(one.past_eta_ids[:_LISTED])} that is not later "
            "than she leaves the track of this plan: it is left out, and nothing of it is checked.",
        )
    yield from _worst(one, f"Of the {name}", "contingency", one.plan.findings)


def _worst(
    one: CheckedContingency, of: str, code: str, findings: tuple[Finding, ...]
) -> Iterator[Finding]:
    """Yield the finding of the worst grade among those of a contingency, with the first of them."""
    counts = Counter(finding.grade for finding in findings)
    for grade in ("must_resolve", "must_explain"):
        if not counts[grade]:
            continue
        first = next(finding for finding in findings if finding.grade == grade)
        yield _finding(
            one,
            f"{code}_{grade}",
            grade,
            f"{of} {counts[grade]} {'finding' if counts[grade] == 1 else 'findings'} "
            f"{_GRADE_WORDS[grade]}. The first: {first.message}",
        )
        return


def _turn(workings: Workings, one: CheckedContingency, name: str) -> Iterator[Finding]:
    """Yield what is found of the turn from the planned track onto its first leg."""
    late_m = one.leaving.late_m
    if late_m is not None and one.leaves is not None:
        yield _finding(
            one,
            "contingency_wheel_over_past",
            "must_resolve",
            f"The wheel-over for leaving to the {name} is past {math.ceil(late_m)} m before she "
            f"steadies on the leg to {one.leaves.leg_to_id}: leave the leg farther on, or from the "
            "leg before.",
        )
    of = f"Of {turn_name_of(workings, one)} to the {name}"
    yield from _worst(one, of, "contingency_turn", turn_findings(one))


def _off(workings: Workings, one: CheckedContingency, name: str) -> Iterator[Finding]:
    """Yield the finding of a route that begins off the leg, beyond its limit or her length."""
    if one.leaves is None or one.off_m is None:
        return
    leg = workings.track.legs[one.leaves.leg_index]
    loa_m = 0.0 if workings.ship is None else workings.ship.loa_m
    if abs(one.off_m) <= near_enough_m(leg, loa_m, one.off_m):
        return
    side = "starboard" if one.off_m >= 0.0 else "port"
    yield _finding(
        one,
        "contingency_off_leg",
        "must_explain",
        f"The route of the {name} begins {nm_from_m(abs(one.off_m)):.2f} NM to {side} of the leg "
        "it leaves: the way from the track to there is not checked.",
    )


def _late(workings: Workings, one: CheckedContingency, name: str) -> Iterator[Finding]:
    """Yield the finding of a route that she leaves for where she is committed already."""
    late = late_by(workings, one)
    if late is None:
        return
    after = (
        "she is committed before that leg begins"
        if late.after_m is None
        else f"that is {math.ceil(late.after_m)} m after the computed point of no return"
    )
    yield _finding(
        one,
        "contingency_after_no_return",
        "must_explain",
        f"The {name} leaves from the leg to {one.contingency.from_id} where she has no room to "
        f"turn round any more: {after}. Leave it earlier, or say how she comes onto its track.",
    )


def _finding(one: CheckedContingency, code: str, grade: Grade, message: str) -> Finding:
    """Return a finding about one contingency."""
    return Finding(
        code=code, grade=grade, subject=plan_subject(), about=one.contingency.id, message=message
    )
