"""The limit set of a plan, what became of its rules, and waivers, as JSON values."""

from dataclasses import asdict
from typing import Any

from wheelover.core.types.dangers import WATER_KINDS
from wheelover.core.types.limits import RULE_UNITS, LimitSet, Waiver, WaterLimits
from wheelover.core.types.plan import Plan, RuleMiss, RuleRow
from wheelover.render.rounding import METRES, rounded

Document = dict[str, Any]


def limit_set(given: LimitSet | None) -> Document | None:
    """Return the limit set that the plan was held against, with all that it asks."""
    if given is None:
        return None
    return {
        "id": given.id,
        "edition": given.edition,
        "name": given.name,
        **{kind: _water(given.water(kind)) for kind in WATER_KINDS},
    }


def _water(limits: WaterLimits | None) -> Document | None:
    """Return what is asked in one kind of water, without what is not."""
    if limits is None:
        return None
    asked = {name: value for name, value in asdict(limits).items() if value not in (None, ())}
    if limits.min_clearance_by_class:
        asked["min_clearance_by_class"] = dict(limits.min_clearance_by_class)
    return asked


def waiver(given: Waiver | None) -> Document | None:
    """Return a waiver as it stands beside what it waives."""
    if given is None:
        return None
    return {
        "id": given.id,
        "rule": given.rule,
        "reason": given.reason,
        "by": {"name": given.by_name, "rank": given.by_rank},
        "at_utc": given.at_utc,
    }


def rule_rows(plan: Plan) -> list[Document]:
    """Return what became of each rule, and of which set and edition it is."""
    if plan.limit_set is None:
        return []
    return [_row(row, plan.limit_set) for row in plan.rules]


def _row(row: RuleRow, of_set: LimitSet) -> Document:
    """Return what became of one rule."""
    rule = row.rule
    return {
        "id": rule.id,
        "set_id": of_set.id,
        "set_name": of_set.name,
        "set_edition": of_set.edition,
        "water": rule.water,
        "member": rule.member,
        "danger_class": rule.danger_class,
        "limit": rule.value,
        "unit": RULE_UNITS[rule.member],
        "result": row.result,
        "reason": row.reason,
        "misses": [_miss(one) for one in row.misses],
    }


def _miss(miss: RuleMiss) -> Document:
    """Return where a rule is missed."""
    subject = miss.subject
    return {
        "subject": {"kind": subject.kind, "index": subject.index, "id": subject.id},
        "hazard_id": miss.about,
        "measured": rounded(miss.measured, METRES),
        "finding_id": miss.finding_id,
        "waiver": waiver(miss.waiver),
    }
