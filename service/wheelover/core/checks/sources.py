"""Checks of what the plan is drawn from, and of the checklists that people go through."""

import math
from collections.abc import Iterator

from wheelover.core.checks.monitoring import given_of
from wheelover.core.checks.workings import Verdict, Workings, plan_subject
from wheelover.core.monitoring.checklists import CHECKLISTS
from wheelover.core.monitoring.sources import ASKED_KINDS, DATED_KINDS
from wheelover.core.types.checklists import ListName
from wheelover.core.types.plan import Finding
from wheelover.core.types.sources import SourceFound

_LISTED = 8
_LIST_WORDS: dict[ListName, str] = {
    "appraisal": "the appraisal",
    "planning": "the plan",
    "pilotage": "the exchange with the pilot",
}


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the sources and on the checklists."""
    findings = [finding for one in workings.bridge.sources for finding in _of_source(workings, one)]
    return (
        Verdict(
            check="sources",
            subject=plan_subject(),
            findings=tuple(findings),
            not_checked="; ".join(_asked_for(workings)) or None,
        ),
        Verdict(
            check="checklists",
            subject=plan_subject(),
            findings=tuple(_not_done(workings)),
            not_checked="; ".join(_unticked(workings)) or None,
        ),
    )


def _name(one: SourceFound) -> str:
    """Return what a source is called in a sentence."""
    number = f" {one.source.number}" if one.source.number else ""
    return f"{one.source.title}{number}"


def _of_source(workings: Workings, one: SourceFound) -> Iterator[Finding]:
    """Yield what is wrong with one source."""
    if not one.source.consulted:
        yield _finding(one, "source_not_consulted", f"Not consulted: {_name(one)}.")
    if one.unknown_legs:
        listed = ", ".join(one.unknown_legs[:_LISTED])
        yield _finding(
            one, "source_leg_unknown", f"{_name(one)} is for legs that the route lacks: {listed}."
        )
    most_days = workings.limits.sources_max_age_days
    if one.age_days is None:
        return
    if one.age_days < 0.0:
        yield _finding(
            one,
            "source_dated_ahead",
            f"{_name(one)} is said to be corrected to {one.source.corrected_to_utc}, which is "
            "after the departure.",
        )
    elif most_days is not None and one.age_days > most_days:
        yield Finding(
            code="source_old",
            grade="must_explain",
            subject=plan_subject(),
            about=one.source.id,
            message=f"{_name(one)} was corrected last {math.ceil(one.age_days)} days before "
            f"departure; the limit is {most_days:g} days.",
            measured=one.age_days,
            limit=most_days,
            unit="days",
        )


def _finding(one: SourceFound, code: str, message: str) -> Finding:
    """Return a finding about one source."""
    return Finding(
        code=code, grade="must_explain", subject=plan_subject(), about=one.source.id,
        message=message,
    )  # fmt: skip


def _asked_for(workings: Workings) -> Iterator[str]:
    """Yield what is missing of the sources."""
    found = workings.bridge.sources
    kinds = {one.source.kind for one in found}
    if workings.bridge.cells:
        kinds.add("chart")
    missing = [words for kind, words in ASKED_KINDS.items() if kind not in kinds]
    if missing:
        yield f"not in the list of sources: {', '.join(missing)}"
    undated = [
        _name(one)
        for one in found
        if one.source.kind in DATED_KINDS and one.source.corrected_to_utc is None
    ]
    if undated:
        yield f"no date of the last correction: {', '.join(undated[:_LISTED])}"
    dated = any(one.source.corrected_to_utc is not None for one in found)
    if dated and workings.conditions.departure_s is None:
        yield "no departure is given, so the age of the sources is not known"
    if dated and workings.limits.sources_max_age_days is None:
        yield "no limit of the age of sources is given"
    without = _without_chart(workings)
    if without and "chart" in kinds:
        listed = ", ".join(without[:_LISTED]) + (" and others" if len(without) > _LISTED else "")
        yield f"no chart is named for {len(without)} legs ({listed})"
    lacking = [f"{one.name}: {one.lacking}" for one in workings.bridge.cells if one.lacking]
    if lacking:
        yield ", ".join(lacking[:_LISTED])


def _without_chart(workings: Workings) -> list[str]:
    """Return the legs that no cell and no chart of the sources is for."""
    charts = [one.source for one in workings.bridge.sources if one.source.kind == "chart"]
    if any(not one.leg_to_ids for one in charts):
        return []
    named = {to_id for one in charts for to_id in one.leg_to_ids}
    named |= {to_id for one in workings.bridge.cells for to_id in one.leg_to_ids}
    return [leg.to_id for leg in workings.track.legs if leg.to_id not in named]


def _wanted_lists(workings: Workings) -> tuple[ListName, ...]:
    """Return the lists that are gone through: that of the pilot where a leg is pilotage."""
    stages = {given_of(workings, leg).stage for leg in workings.track.legs}
    return ("appraisal", "planning", *(("pilotage",) if "pilotage" in stages else ()))


def _unticked(workings: Workings) -> Iterator[str]:
    """Yield how many items of each list nobody has said anything of."""
    ticked = {(one.list_name, one.item_id) for one in workings.bridge.ticked}
    for name in _wanted_lists(workings):
        items = CHECKLISTS[name]
        open_count = sum(1 for one in items if (name, one.id) not in ticked)
        if open_count:
            yield f"{open_count} of {len(items)} items of {_LIST_WORDS[name]} are not gone through"


def _not_done(workings: Workings) -> Iterator[Finding]:
    """Yield the findings of items that somebody says are not done."""
    texts = {(name, one.id): one.text for name, items in CHECKLISTS.items() for one in items}
    for one in workings.bridge.ticked:
        if one.state != "not_done":
            continue
        who = f" ({one.who})" if one.who else ""
        remark = f": {one.remark}" if one.remark else ""
        yield Finding(
            code="checklist_not_done",
            grade="must_explain",
            subject=plan_subject(),
            about=f"{one.list_name}/{one.item_id}",
            message=f"Said not to be done{who}: {texts[one.list_name, one.item_id]}{remark}.",
        )
