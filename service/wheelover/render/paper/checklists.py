"""Checklists: what somebody has said of each item, beside what is computed of it."""

from typing import Any

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter
from wheelover.render.paper.sheet import Column, Sheet

_ORDER = ("appraisal", "planning", "pilotage")


def checklists(matter: Matter) -> Sheet | None:
    """Return the checklists, None of a plan that holds none."""
    lists = matter.part("checklists")
    if not lists:
        return None
    sheet = Sheet("Checklists")
    sheet.paragraph(
        "A tick is what somebody says; beside it stands what is computed. A box left empty was not "
        "ticked."
    )
    columns = (
        Column("", 40.0, bold=True),
        Column("Item", 160.0),
        Column("Computed", 0.0),
        Column("Who, when, remark", 104.0),
    )
    known = [name for name in _ORDER if name in lists]
    for name in (*known, *(other for other in lists if other not in _ORDER)):
        items = lists[name]
        sheet.heading(f"Checklist: {name.replace('_', ' ')}")
        sheet.table(columns, [[_item(one)] for one in items])
    return sheet


def _item(one: Document) -> tuple[str, ...]:
    """Return an item as a row."""
    state = str(one["state"] or "").replace("_", " ")
    who = [str(one["who"] or ""), fig.minute(one["at_utc"]) if one["at_utc"] else ""]
    differs = "DIFFERS from what is computed. " if one["differs"] else ""
    return (
        state or "[    ]",
        one["text"],
        f"{differs}{_computed(one['computed'])}",
        "; ".join(part for part in (*who, str(one["remark"] or "")) if part),
    )


def _computed(found: Any) -> str:
    """Return what the checks beside an item say."""
    if not isinstance(found, dict):
        return "nothing is computed of it"
    if found["result"] is None:
        return "no check of it was due"
    counts = [
        f"{name.replace('_', ' ')} {found[f'{name}_count']}"
        for name in ("met", "must_explain", "must_resolve", "not_checked")
        if found[f"{name}_count"]
    ]
    reason = "" if found["result"] == "met" or not found["reason"] else f": {found['reason']}"
    return f"{', '.join(counts)}{reason}"
