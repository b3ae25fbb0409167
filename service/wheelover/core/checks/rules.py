"""What became of each rule of the limit set: missed, waived, not checked or met."""

from collections import Counter
from collections.abc import Iterable, Sequence

from wheelover.core.checks.workings import Workings, leg_subject, plan_subject, turn_subject
from wheelover.core.margins import rules_in
from wheelover.core.sweep.of_turns import legs_beside
from wheelover.core.types.dangers import WATER_KINDS, WaterKind
from wheelover.core.types.limits import Rule, RuleMember
from wheelover.core.types.plan import CheckRow, Finding, RuleMiss, RuleResult, RuleRow, Subject
from wheelover.core.types.track import PlannedLeg

CHECKS_OF: dict[RuleMember, tuple[str, ...]] = {
    "min_clearance_m": ("leg_clearance", "turn_clearance"),
    "min_xtd_nm": ("leg_cross_track",),
    "max_off_track_m": ("turn_response",),
    "min_to_close_s": ("turn_window",),
    "min_ukc_m": ("leg_depth", "turn_depth"),
    "min_ukc_draught_ratio": ("leg_depth", "turn_depth"),
    "min_overhead_m": ("leg_overhead", "turn_overhead"),
    "safety_contour_m": ("leg_depth",),
    "safety_depth_m": ("leg_depth",),
    "helm_late_s": ("turn_late_helm",),
}
"""The checks that look whether a rule is kept."""


def rule_rows(
    workings: Workings, rows: tuple[CheckRow, ...], findings: tuple[Finding, ...]
) -> tuple[RuleRow, ...]:
    """Return a row for each rule of the set in the kinds of water that the legs lead through.

    A rule is met only where everything that looks for it was done everywhere: what was not checked
    is not kept.

    Parameters
    ----------
    workings : Workings
        Inputs and results.
    rows : tuple of CheckRow
        The filled register.
    findings : tuple of Finding
        What was found, with the rules that were missed.
    """
    limit_set = workings.limits.limit_set
    if limit_set is None:
        return ()
    by_check: dict[str, list[CheckRow]] = {}
    for row in rows:
        by_check.setdefault(row.check, []).append(row)
    return tuple(
        _row(rule, subjects, by_check, findings)
        for water, subjects in _subjects_by_water(workings).items()
        for rule in rules_in(limit_set, water)
    )


def _subjects_by_water(workings: Workings) -> dict[WaterKind, set[Subject]]:
    """Return the legs and turns in each kind of water; of an unknown kind they are in every one."""
    found: dict[WaterKind, set[Subject]] = {}
    legs, beside = workings.track.legs, legs_beside(workings.track.legs)
    touched: list[tuple[Subject, Sequence[PlannedLeg]]] = [
        (leg_subject(leg), (leg,)) for leg in legs
    ]
    touched += [(turn_subject(one), beside[one.waypoint_index]) for one in workings.track.turns]
    for subject, near in touched:
        for leg in near:
            water = leg.water or workings.limits.water
            for kind in WATER_KINDS if water is None else (water,):
                found.setdefault(kind, set()).add(subject)
    return {kind: found[kind] for kind in WATER_KINDS if kind in found}


def _row(
    rule: Rule,
    subjects: set[Subject],
    by_check: dict[str, list[CheckRow]],
    findings: tuple[Finding, ...],
) -> RuleRow:
    """Return what became of one rule."""
    missed = [one for one in findings if rule.id in one.rules]
    looked = [
        row
        for check in CHECKS_OF[rule.member]
        for row in by_check.get(check, ())
        if row.subject in subjects
    ]
    result: RuleResult = "met"
    reason = _not_checked(looked)
    if any(one.waiver is None for one in missed):
        result = "missed"
    elif missed:
        result = "waived"
    elif reason is not None:
        result = "not_checked"
    return RuleRow(
        rule=rule,
        result=result,
        reason=reason,
        misses=tuple(
            RuleMiss(
                subject=one.subject,
                about=one.about,
                measured=one.measured,
                finding_id=one.id,
                waiver=one.waiver,
            )
            for one in missed
        ),
    )


def _not_checked(rows: Iterable[CheckRow]) -> str | None:
    """Return why a rule was not looked for everywhere, the commonest cause first."""
    causes = Counter(row.not_checked for row in rows if row.not_checked is not None)
    if not causes:
        return None
    ((most, _), *others) = causes.most_common()
    return most if not others else f"{most}; and {len(others)} causes more"


def water_findings(workings: Workings) -> tuple[Finding, ...]:
    """Return the finding that a set is given and the kind of water of some legs is not."""
    limits = workings.limits
    if limits.limit_set is None:
        return ()
    unknown = [leg for leg in workings.track.legs if (leg.water or limits.water) is None]
    kinds = {leg.water or limits.water for leg in workings.track.legs} - {None}
    silent = [
        kind for kind in WATER_KINDS if kind in kinds and limits.limit_set.water(kind) is None
    ]
    found = []
    if unknown:
        message = (
            f"The kind of water of {len(unknown)} of {len(workings.track.legs)} legs is not given: "
            f"of every limit of {limits.limit_set.label} the strictest of all waters counts there."
        )
        found.append(_water("water_not_given", message))
    if silent:
        message = (
            f"{limits.limit_set.label} asks nothing in {' and '.join(silent)} water, which legs of "
            "this plan lead through: nothing of the set is held against them."
        )
        found.append(_water("water_without_limits", message))
    return tuple(found)


def _water(code: str, message: str) -> Finding:
    """Return a finding about the waters of the plan."""
    return Finding(code=code, grade="must_explain", subject=plan_subject(), message=message)
