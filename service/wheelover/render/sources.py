"""What the plan is drawn from, and the checklists, as JSON values."""

from collections import Counter
from typing import Any

from wheelover.core.monitoring.checklists import CHECKLISTS
from wheelover.core.monitoring.sources import ASKED_KINDS
from wheelover.core.types.checklists import ChecklistItem, Ticked
from wheelover.core.types.plan import CheckRow, Plan, Result
from wheelover.core.types.sources import CellSource, SourceFound
from wheelover.render.rounding import OTHER, rounded

Document = dict[str, Any]

_WORST_FIRST: tuple[Result, ...] = ("must_resolve", "not_checked", "must_explain", "met")


def sources_document(plan: Plan) -> Document:
    """Return every source of the plan, and what the appraisal asks for and is missing."""
    bridge = plan.bridge
    kinds = {one.source.kind for one in bridge.sources}
    if bridge.cells:
        kinds.add("chart")
    return {
        "rows": [*(_given(one) for one in bridge.sources), *(_cell(one) for one in bridge.cells)],
        "missing_kinds": [kind for kind in ASKED_KINDS if kind not in kinds],
        "max_age_days": rounded(plan.sources_max_age_days, OTHER),
    }


def _given(one: SourceFound) -> Document:
    """Return a source that somebody gave."""
    source = one.source
    return {
        "id": source.id,
        "origin": "you",
        "kind": source.kind,
        "title": source.title,
        "number": source.number,
        "edition": source.edition,
        "corrected_to_utc": source.corrected_to_utc,
        "age_days": rounded(one.age_days, OTHER),
        "leg_to_ids": list(source.leg_to_ids),
        "consulted": source.consulted,
        "remark": source.remark,
    }


def _cell(one: CellSource) -> Document:
    """Return a chart cell that the plan is checked against."""
    return {
        "id": f"cell/{one.name}",
        "origin": "cell",
        "kind": "chart",
        "title": one.name,
        "number": one.name,
        "edition": f"{one.edition}, update {one.update}"
        + ("" if one.issued is None else f", issued {one.issued}"),
        "corrected_to_utc": None,
        "age_days": None,
        "leg_to_ids": list(one.leg_to_ids),
        "consulted": None,
        "remark": one.lacking,
    }


def checklists_document(plan: Plan) -> Document:
    """Return the checklists: each item with what somebody says beside what is computed."""
    ticked = {(one.list_name, one.item_id): one for one in plan.bridge.ticked}
    rows: dict[str, list[CheckRow]] = {}
    for row in plan.checks:
        rows.setdefault(row.check, []).append(row)
    return {
        name: [_item(one, ticked.get((name, one.id)), rows) for one in items]
        for name, items in CHECKLISTS.items()
    }


def _item(item: ChecklistItem, ticked: Ticked | None, rows: dict[str, list[CheckRow]]) -> Document:
    """Return one item."""
    found = [row for code in item.checks for row in rows.get(code, ())]
    computed = _computed(found) if item.checks else None
    not_met = computed is not None and computed["result"] not in (None, "met")
    return {
        "id": item.id,
        "text": item.text,
        "checks": list(item.checks),
        "computed": computed,
        "state": None if ticked is None else ticked.state,
        "who": None if ticked is None else ticked.who,
        "at_utc": None if ticked is None else ticked.at_utc,
        "remark": None if ticked is None else ticked.remark,
        "differs": ticked is not None and ticked.state == "done" and not_met,
    }


def _computed(rows: list[CheckRow]) -> Document:
    """Return what the checks beside an item say."""
    counts = Counter(row.result for row in rows)
    worst = next((result for result in _WORST_FIRST if counts[result]), None)
    first = next((row for row in rows if row.result == worst and row.reason), None)
    return {
        "result": worst,
        **{f"{result}_count": counts[result] for result in reversed(_WORST_FIRST)},
        "reason": None if first is None else first.reason,
    }
