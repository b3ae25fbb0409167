"""From what the plan was made: charts and publications with edition and date, dangers, basis."""

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.sheet import Column, Sheet


def sources(sheet: Sheet, matter: Matter) -> None:
    """Write the sources of a plan."""
    sheet.heading("Charts and publications")
    listed = matter.part("sources")
    rows = listed.get("rows") or []
    if rows:
        columns = (
            Column("Kind", 70.0),
            Column("Title, number, edition", 0.0),
            Column("Corrected to", 92.0),
            Column("Of legs to", 90.0),
            Column("Consulted", 84.0, bold=True),
        )
        sheet.table(columns, [[_source(one)] for one in rows])
    else:
        sheet.paragraph("None is listed in this plan: what was consulted is NOT KNOWN.", bold=True)
    missing = [one.replace("_", " ") for one in listed.get("missing_kinds") or []]
    if missing:
        sheet.paragraph(f"Asked for and NOT LISTED: {', '.join(missing)}.", bold=True)
    _data(sheet, matter)


def _source(one: Document) -> tuple[str, ...]:
    """Return one source as a row."""
    named = [one.get("title"), one.get("number"), one.get("edition"), one.get("remark")]
    legs = one.get("leg_to_ids")
    return (
        str(one.get("kind") or "").replace("_", " "),
        ", ".join(str(part) for part in named if part),
        fig.minute(one.get("corrected_to_utc")),
        ", ".join(legs) if legs else "whole plan",
        {True: "consulted", False: "NOT CONSULTED", None: "not said"}[one.get("consulted")],
    )


def _data(sheet: Sheet, matter: Matter) -> None:
    """Write which data the dangers come from, and every input with its source."""
    hazards = matter.inputs.get("hazards")
    name = inside(hazards, "name")
    groups: list[list[tuple[str, str, str]]] = []
    if name:
        groups.append([("dangers", str(name), "given with the plan")])
    groups += [
        [(one["input"].replace("_", " "), _value(one), f"{one['source']}. {one['note'] or ''}")]
        for one in matter.rows("basis")
    ]
    sheet.heading("Basis: every input with its source")
    columns = (Column("Input", 150.0), Column("Value", 130.0), Column("Source", 0.0))
    sheet.table(columns, groups)


def _value(one: Document) -> str:
    """Return an input's value."""
    value = one["value"]
    if value is None:
        return "-"
    return value if isinstance(value, str) else fig.given(value, one["unit"] or "")
