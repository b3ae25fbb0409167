"""The register of expected checks: nothing is clear because nothing was said.

What is due is written down first; each check then answers, and a row that got no answer reads
``not_checked``. The findings for what was not checked come from the rows, one for each cause.
"""

from collections import Counter
from collections.abc import Callable
from itertools import chain

from wheelover.core.checks import (
    action_points,
    charts,
    clearance,
    clearing_lines,
    contingencies,
    cross_track,
    cues,
    depth,
    index_lines,
    land,
    late_helm,
    legs,
    methods,
    monitoring,
    overhead,
    pilot_card,
    positions,
    response,
    routeing,
    schedule,
    sky,
    sources,
    swept,
    turn_areas,
    turns,
    whole_route,
)
from wheelover.core.checks.catalogue import CATALOGUE, TITLES, DueCheck
from wheelover.core.checks.rules import water_findings
from wheelover.core.checks.waivers import unused_findings, with_waivers
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    leg_subject,
    plan_subject,
    turn_subject,
)
from wheelover.core.errors import WheeloverError
from wheelover.core.types.plan import CheckRow, Finding, Subject

Check = Callable[[Workings], tuple[Verdict, ...]]

CHECKS: tuple[Check, ...] = (
    whole_route.check,
    positions.check,
    legs.check,
    cross_track.check,
    turns.check,
    methods.check,
    response.check,
    swept.check,
    late_helm.check,
    charts.check,
    clearance.check,
    routeing.check,
    turn_areas.check,
    depth.check,
    overhead.check,
    land.check,
    index_lines.check,
    clearing_lines.check,
    cues.check,
    monitoring.check,
    sky.check,
    action_points.check,
    contingencies.check,
    sources.check,
    pilot_card.check,
    schedule.check,
)

NO_ANSWER = "the check gave no answer"

FEW = 2
"""Up to so many legs or turns with one cause get a finding each."""

MOST_LISTED = 12


def run_checks(
    workings: Workings, checks: tuple[Check, ...] = CHECKS
) -> tuple[tuple[CheckRow, ...], tuple[Finding, ...]]:
    """Return the filled register and every finding, in sailing order.

    Parameters
    ----------
    workings : Workings
        What was computed.
    checks : tuple of callables
        The checks that answer. Leaving one out turns its rows into ``not_checked``, never into
        silence.
    """
    waivers = workings.limits.waivers
    due = {one.code for one in due_on(workings)}
    made = (
        verdict
        for verdict in chain.from_iterable(check(workings) for check in checks)
        if verdict.check in due or verdict.check not in TITLES
    )
    verdicts = with_waivers(made, waivers)
    rows = settle(workings, verdicts)
    found = [finding for verdict in verdicts for finding in verdict.findings]
    found.extend(unused_findings(found, waivers))
    found.extend(water_findings(workings))
    found.extend(not_checked_findings(rows))
    # One finding may stand in the verdicts of several pieces; it is told once.
    findings = {(one.code, one.subject, one.about): one for one in found}
    return rows, tuple(sorted(findings.values(), key=_sailing_order))


def subjects_of(workings: Workings) -> dict[str, tuple[Subject, ...]]:
    """Return everything a check may be due on, for each kind of thing it is due per."""
    return {
        "plan": (plan_subject(),),
        "leg": tuple(leg_subject(leg) for leg in workings.track.legs),
        "turn": tuple(turn_subject(turn) for turn in workings.track.turns),
    }


def due_on(workings: Workings) -> tuple[DueCheck, ...]:
    """Return the checks that are due: of a contingency's plan not those of the passage."""
    if not workings.bridge.of_contingency:
        return CATALOGUE
    return tuple(due for due in CATALOGUE if not due.passage)


def settle(workings: Workings, verdicts: tuple[Verdict, ...]) -> tuple[CheckRow, ...]:
    """Return one row for each check due on each subject.

    Parameters
    ----------
    workings : Workings
        Says what legs and turns there are.
    verdicts : tuple of Verdict
        The answers that came.

    Raises
    ------
    WheeloverError
        When a check answers that is not due, or twice: the register would hide one of them.
    """
    answers: dict[tuple[str, Subject], Verdict] = {}
    for verdict in verdicts:
        key = (verdict.check, verdict.subject)
        if key in answers:
            raise WheeloverError(f"check {verdict.check} answered twice for {verdict.subject}")
        answers[key] = verdict
    subjects = subjects_of(workings)
    rows = tuple(
        _row(due, subject, answers.pop((due.code, subject), None))
        for due in due_on(workings)
        for subject in subjects[due.per]
    )
    if answers:
        raise WheeloverError(f"checks answered that were not due: {sorted(k[0] for k in answers)}")
    return rows


def _row(due: DueCheck, subject: Subject, verdict: Verdict | None) -> CheckRow:
    """Return the row of one check on one subject."""
    if verdict is None:
        reason = due.absent or NO_ANSWER
        verdict = Verdict(check=due.code, subject=subject, not_checked=reason)
    found = [finding.message for finding in verdict.findings if finding.grade != "note"]
    if len(found) > FEW:
        found = [*found[:FEW], f"And {len(found) - FEW} findings more."]
    return CheckRow(
        check=due.code,
        title=due.title,
        subject=subject,
        result=verdict.result,
        reason=" ".join(found) or verdict.not_checked,
        not_checked=verdict.not_checked,
    )


def not_checked_findings(rows: tuple[CheckRow, ...]) -> tuple[Finding, ...]:
    """Return the findings for what was not checked, told once for each cause.

    Where one cause stands in every row of a check, or in more than a few, the finding is about
    the plan and names them; else there is one for each leg or turn it touches.
    """
    due_count = Counter(row.check for row in rows)
    by_cause: dict[tuple[str, str], list[CheckRow]] = {}
    for row in rows:
        if row.not_checked is not None:
            by_cause.setdefault((row.check, row.not_checked), []).append(row)
    findings: list[Finding] = []
    for (check, reason), caused in by_cause.items():
        everywhere = len(caused) == due_count[check]
        if everywhere or len(caused) > FEW:
            message = _not_checked(check, reason, _scope(caused, due_count[check]))
            about = None if everywhere else caused[0].subject.id
            findings.append(
                Finding(
                    code=check,
                    grade="not_checked",
                    subject=plan_subject(),
                    about=about,
                    message=message,
                )
            )
        else:
            findings.extend(
                Finding(
                    code=check,
                    grade="not_checked",
                    subject=row.subject,
                    message=_not_checked(check, reason, f", {_at(row.subject)}"),
                )
                for row in caused
            )
    return tuple(findings)


def _at(subject: Subject) -> str:
    """Return what one leg or turn is called in a sentence."""
    return f"{subject.kind} {'to' if subject.kind == 'leg' else 'at'} {subject.id}"


def _scope(caused: list[CheckRow], due: int) -> str:
    """Return on how much of the plan a check was not made."""
    kind = caused[0].subject.kind
    if kind == "plan":
        return ""
    if len(caused) == due:
        return f", on any {kind}"
    ids = [str(row.subject.id) for row in caused]
    listed = ", ".join(ids[:MOST_LISTED]) + (" and others" if len(ids) > MOST_LISTED else "")
    return f", on {len(caused)} of {due} {kind}s ({listed})"


def _not_checked(check: str, reason: str, scope: str) -> str:
    """Return the sentence for something that was not checked."""
    title = TITLES[check]
    return f"Not checked{scope}: {title[0].lower()}{title[1:]}. Reason: {reason}."


def _sailing_order(finding: Finding) -> tuple[int, int, str]:
    """Return where a finding comes: the plan first, then as the ship meets them."""
    kinds = {"plan": 0, "waypoint": 1, "leg": 2, "turn": 3, "hazard": 4}
    kind = kinds[finding.subject.kind]
    if kind == 0:
        return (-1, 0, finding.code)
    return (finding.subject.index or 0, kind, finding.code)
