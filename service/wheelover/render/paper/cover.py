"""The cover: which plan and ship, from what, what was not checked, what was found, who decided."""

from collections import Counter
from typing import Any

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.frame import printed_line, state_line
from wheelover.render.paper.hardest import hardest
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.sheet import Column, Sheet
from wheelover.render.paper.sources import sources
from wheelover.render.paper.type import lacking, number_of

GRADES = {
    "must_resolve": "Must resolve",
    "must_explain": "Must explain",
    "not_checked": "Not checked",
    "note": "Note",
}


def cover(matter: Matter) -> Sheet:
    """Return the cover and what follows it."""
    sheet = Sheet("Cover")
    sheet.heading(f"Passage plan: {matter.result['name'] or 'no name'}", 14.0)
    if matter.stamp.demonstration:
        told = "DEMONSTRATION. Ship, route and dangers are invented. Not for navigation."
        sheet.paragraph(told, bold=True)
    _plain(sheet, "Identity", _identity(matter))
    replaced = replaced_line(matter)
    if replaced:
        sheet.paragraph(replaced, bold=True)
    _plain(sheet, "Ship and condition", _ship(matter))
    hardest(sheet, matter)
    _counts(sheet, matter)
    _not_checked(sheet, matter)
    _findings(sheet, matter)
    _waivers(sheet, matter)
    _defaults(sheet, matter)
    _decisions(sheet, matter)
    sources(sheet, matter)
    sheet.heading("Cautions")
    for text in (*matter.said.cautions, *matter.said.exchange):
        sheet.paragraph(text)
    return sheet


def replaced_line(matter: Matter) -> str | None:
    """Return that signs stand as numbers here, and which; None where the fonts have them all."""
    route = {name: one for name, one in matter.inputs["route"].items() if name != "carried"}
    asked = {name: one for name, one in matter.inputs.items() if name != "hazards"}
    # Names of dangers that are printed stand in the answer.
    answer = {name: one for name, one in matter.result.items() if name != "layers"}
    signs = lacking({**asked, "route": route}, answer, matter.stamp.standing)
    if not signs:
        return None
    named = ", ".join(number_of(one) for one in signs[:_MOST_SIGNS])
    more = f" and {len(signs) - _MOST_SIGNS} more" if len(signs) > _MOST_SIGNS else ""
    return f"SIGNS REPLACED: these letters print as their Unicode numbers in braces: {named}{more}."


_MOST_SIGNS = 20


def _plain(sheet: Sheet, title: str, rows: list[tuple[str, str]]) -> None:
    """Write rows of a name and a value, without a head."""
    sheet.heading(title)
    table_rows(sheet, rows)


def table_rows(sheet: Sheet, rows: list[tuple[str, str]]) -> None:
    """Write rows of a name and a value."""
    sheet.table((Column("", 128.0, bold=True), Column("", 0.0)), [[one] for one in rows])


def _identity(matter: Matter) -> list[tuple[str, str]]:
    """Return which plan it is."""
    stamp, result = matter.stamp, matter.result
    revision = "none, a draft" if stamp.revision is None else f"r{stamp.revision}"
    distance = inside(result, "schedule", "distance_nm") or inside(result, "track", "distance_nm")
    first, last = matter.waypoints[:1], matter.waypoints[-1:]
    ends = " to ".join(matter.name_of(one["id"]) for one in (*first, *last))
    return [
        ("Plan", f"{stamp.plan_id or 'not stored'}, revision {revision}"),
        ("State", state_line(matter)),
        ("From, to", f"{ends}; {len(matter.waypoints)} waypoints, {len(result['turns'])} turns"),
        ("Distance", fig.nearest(distance, 2, "NM", "not known: the track is not whole")),
        ("Departure", fig.minute(matter.inputs.get("departure_utc"))),
        ("sha256", stamp.sha256 or "none: a draft is not frozen"),
        ("Inputs sha256", result["inputs_sha256"]),
        ("Made", f"{stamp.created_utc or fig.UNKNOWN}, by wheelover {result['engine_version']}"),
        ("This paper", printed_line(matter)),
    ]


def _ship(matter: Matter) -> list[tuple[str, str]]:
    """Return the ship as the plan takes her."""
    ship = matter.ship
    if not ship:
        return [("Ship", "none is given: no hull, no speed of hers, no simulated turn")]
    card = ship.get("pilot_card") or {}
    rows = [
        ("Ship", str(ship.get("name") or "no name")),
        ("Length, beam", f"{_m(ship, 'loa_m')}, {_m(ship, 'beam_m')}"),
        ("Draught", f"fore {_m(ship, 'draught_fore_m')}, aft {_m(ship, 'draught_aft_m')}"),
        ("Speed planned", fig.given(ship.get("speed_kn"), "kn")),
        ("Rudder planned", fig.given(ship.get("planned_rudder_deg"), "deg")),
    ]
    for member, name in (("imo_number", "IMO number"), ("call_sign", "Call sign"),
                         ("loading", "Loading"), ("condition", "Condition")):  # fmt: skip
        value = ship.get(member) or card.get(member)
        if isinstance(value, str):
            rows.append((name, value))
    if ship.get("air_draught_m") is not None:
        rows.append(("Air draught", fig.up(ship["air_draught_m"], 2, "m")))
    response: Any = ship.get("response")
    rows.append(("Simulated turns", _origin(response)))
    conditions = matter.inputs.get("conditions") or {}
    rows.append(("Current", _current(conditions)))
    return rows


def _origin(response: Any) -> str:
    """Return where the ship's response to her rudder comes from."""
    if not isinstance(response, dict):
        return "she has no response to her rudder: turns are not simulated"
    return f"response to her rudder: {response.get('origin') or 'given'}"


def _m(ship: Document, member: str) -> str:
    """Return a length of the ship as given."""
    return fig.given(ship.get(member), "m")


def _current(conditions: Document) -> str:
    """Return the current of the plan."""
    if conditions.get("drift_kn") is None:
        return "none is given: still water is assumed unless a leg says otherwise"
    return (
        f"sets {fig.course(conditions.get('set_deg'))} T, {fig.given(conditions['drift_kn'], 'kn')}"
    )


def _counts(sheet: Sheet, matter: Matter) -> None:
    """Write how many findings there are of each grade."""
    counts = Counter(one["grade"] for one in matter.rows("findings"))
    checks = matter.part("checks")
    sheet.heading("Findings")
    sheet.paragraph(
        "; ".join(f"{name} {counts[grade]}" for grade, name in GRADES.items())
        + (
            f". {checks['done_count']} of {checks['expected_count']} checks due were made."
            if checks
            else "."
        ),
        bold=True,
    )


def _subject(subject: Document) -> str:
    """Return what a finding is about."""
    if subject["kind"] == "plan":
        return "plan"
    words = {"turn": "turn", "leg": "leg to", "waypoint": "waypoint"}
    named = words.get(subject["kind"], subject["kind"].replace("_", " "))
    return f"{named} {subject['id'] or subject['index']}"


def _not_checked(sheet: Sheet, matter: Matter) -> None:
    """Write what was not checked, before anything that was found."""
    rows = [one for one in matter.rows("findings") if one["grade"] == "not_checked"]
    sheet.heading(f"NOT CHECKED: {len(rows)}" if rows else "NOT CHECKED: none is reported")
    groups = [[(_subject(one["subject"]), one["message"])] for one in rows]
    if groups:
        sheet.table((Column("Of", 84.0), Column("What was not checked, and why", 0.0)), groups)


def _findings(sheet: Sheet, matter: Matter) -> None:
    """Write every other finding, by grade."""
    rows = matter.rows("findings")
    groups = [
        [(GRADES[grade], _subject(one["subject"]), one["message"])]
        for grade in GRADES
        if grade != "not_checked"
        for one in rows
        if one["grade"] == grade
    ]
    sheet.heading("Findings, by grade")
    if not groups:
        sheet.paragraph("None was found by the checks that were made.")
        return
    columns = (Column("Grade", 78.0, bold=True), Column("Of", 84.0), Column("What was found", 0.0))
    sheet.table(columns, groups)


def _waivers(sheet: Sheet, matter: Matter) -> None:
    """Write the waivers with who gave them and why, and the rules they are for."""
    groups = [
        [
            (
                str(one.get("rule") or ""),
                f"{inside(one, 'by', 'name') or 'nobody named'}, {inside(one, 'by', 'rank') or ''}",
                f"{one.get('reason') or 'no reason'} ({fig.minute(one.get('at_utc'))})",
            )
        ]
        for one in matter.inputs.get("waivers") or []
    ]
    groups += [
        [("canal", f"leg to {one['to_id']}", str(one["canal"].get("reason") or ""))]
        for one in matter.result["legs"]
        if one.get("canal")
    ]
    sheet.heading("Waivers")
    if not groups:
        sheet.paragraph("None.")
        return
    columns = (Column("Rule", 150.0), Column("By, of", 130.0), Column("Reason", 0.0))
    sheet.table(columns, groups)


def _defaults(sheet: Sheet, matter: Matter) -> None:
    """Write the values nobody gave."""
    rows = [one for one in matter.rows("basis") if one["source"] == "default"]
    sheet.heading(f"DEFAULTS in use: {len(rows)}")
    if not rows:
        sheet.paragraph("None: every value was given.")
        return
    groups = [[(one["input"].replace("_", " "), value_of(one), one["note"] or "")] for one in rows]
    sheet.table((Column("Input", 150.0), Column("Value", 130.0), Column("Note", 0.0)), groups)


def value_of(row: Document) -> str:
    """Return an input of the basis with its unit."""
    value = row["value"]
    if value is None:
        return "-"
    if isinstance(value, str):
        return value
    return fig.given(value, row["unit"] or "")


def _decisions(sheet: Sheet, matter: Matter) -> None:
    """Write who decided what."""
    sheet.heading("Decisions and signatures on record")
    if matter.stamp.revision is None:
        sheet.paragraph("A draft: nothing was offered, approved or signed.")
        return
    for line in matter.stamp.standing or ("The record of this revision was not given.",):
        sheet.paragraph(line)
