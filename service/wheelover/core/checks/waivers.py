"""Waivers: which findings they answer, and those that answer none."""

from collections.abc import Iterable
from dataclasses import replace

from wheelover.core.checks.workings import Verdict, plan_subject
from wheelover.core.types.limits import Waiver
from wheelover.core.types.plan import Finding, Subject


def waiver_for(
    waivers: Iterable[Waiver], rule: str, subject: Subject, about: str | None
) -> Waiver | None:
    """Return the first waiver of a rule in one place, None without one.

    Parameters
    ----------
    waivers : iterable of Waiver
        All of the plan.
    rule : str
        The id of the rule.
    subject : Subject
        The leg or turn.
    about : str or None
        The danger, where there is one.
    """
    return next((one for one in waivers if _answers(one, rule, subject, about)), None)


def _answers(waiver: Waiver, rule: str, subject: Subject, about: str | None) -> bool:
    """Return whether a waiver is one of a rule in one place."""
    if waiver.rule not in (rule, rule.split("/")[1]):
        return False
    if waiver.subject_kind is not None and (waiver.subject_kind, waiver.subject_id) != (
        subject.kind,
        subject.id,
    ):
        return False
    return waiver.danger_id is None or waiver.danger_id == about


def with_waivers(verdicts: Iterable[Verdict], waivers: tuple[Waiver, ...]) -> tuple[Verdict, ...]:
    """Return verdicts with what was waived marked in their findings.

    A miss that is waived is still found: it wants an explanation, which the waiver is. What lies on
    the track wants to be resolved whoever waives a distance from it.
    """
    if not waivers:
        return tuple(verdicts)
    return tuple(
        replace(one, findings=tuple(_marked(finding, waivers) for finding in one.findings))
        for one in verdicts
    )


def _marked(finding: Finding, waivers: tuple[Waiver, ...]) -> Finding:
    """Return a finding with the waiver that answers all the rules it misses, if there is one."""
    found = [waiver_for(waivers, rule, finding.subject, finding.about) for rule in finding.rules]
    if not found or found[0] is None or None in found:
        return finding
    waiver = found[0]
    grade = "must_explain" if finding.waivable else finding.grade
    return replace(finding, grade=grade, waiver=waiver, message=f"{finding.message} {waiver.label}")


def unused_findings(
    findings: Iterable[Finding], waivers: tuple[Waiver, ...]
) -> tuple[Finding, ...]:
    """Return a finding for every waiver that answers no finding."""
    used = {one.waiver.id for one in findings if one.waiver is not None}
    return tuple(
        Finding(
            code="waiver_unused",
            grade="must_explain",
            subject=plan_subject(),
            about=one.id,
            message=f"The waiver of {one.rule} answers nothing that was found: the rule is kept "
            "there, was not checked, or is not one of the limit set. "
            f"It reads: {one.label} Take it out, or name what it is for.",
        )
        for one in waivers
        if one.id not in used
    )
