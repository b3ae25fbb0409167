"""One page for each turn that a person works by hand and writes the own answer into."""

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter
from wheelover.render.paper.sheet import Column, Group, Path, Sheet, Text
from wheelover.render.paper.type import BODY_PT
from wheelover.render.paper.words import METHODS, planned_words
from wheelover.render.paper.working import Working, table_of, workings

_COLUMNS = (
    Column("", 32.0, bold=True),
    Column("Formula = numbers put in = result", 0.0),
    Column("Plan", 60.0),
    Column("By hand", 54.0),
    Column("Difference", 66.0),
)


def working_sheets(matter: Matter) -> Sheet | None:
    """Return the working sheets, None where there is no turn."""
    turns = matter.result["turns"]
    if not turns:
        return None
    sheet = Sheet("Working sheet")
    for index, turn in enumerate(turns):
        if index:
            sheet.begin()
        _one(sheet, matter, turn)
    return sheet


def turn_title(matter: Matter, turn: Document) -> str:
    """Return a turn by its waypoint, change and courses."""
    name = matter.name_of(turn["waypoint_id"])
    change = turn["course_change_deg"]
    if change is None:
        return f"Turn {name}"
    return (
        f"Turn {name}: {fig.nearest(abs(change), 1)} deg to {turn['side']}, "
        f"{fig.course_fine(turn['course_in_deg'])} T > {fig.course_fine(turn['course_out_deg'])} T"
    )


def _one(sheet: Sheet, matter: Matter, turn: Document) -> None:
    """Write the sheet of one turn."""
    sheet.heading(turn_title(matter, turn), 12.0)
    sheet.paragraph(_given_line(turn))
    sheet.paragraph(f"Planned: {planned_words(turn)} before {turn['waypoint_id']}.", bold=True)
    if turn["course_change_deg"] is None:
        sheet.paragraph(f"No working: {turn['reason'] or 'the turn has no courses'}.")
        return
    sheet.skip()
    found = workings(turn, matter.ship)
    groups: list[Group] = [_group(one) for one in found]
    sheet.table(_COLUMNS, groups)
    for one in found:
        for told in one.told:
            sheet.paragraph(f"{one.method}: {told}")
    _table_used(sheet, matter, turn)
    _signed(sheet)


def _given_line(turn: Document) -> str:
    """Return what is put in."""
    source = "assumed" if turn["reach_source"] == "default" else turn["reach_source"]
    return (
        "D change of course in degrees, R radius in NM, V speed in knots, WO distance before the "
        f"waypoint. Reach {fig.nearest(turn['reach_m'], 1, 'm')} ({source or fig.UNKNOWN}). "
        "Each line can be worked from the numbers that it prints."
    )


_ROOM = "_______"


def _group(working: Working) -> list[tuple[str, ...]]:
    """Return the rows of one method, with room for the answers."""
    rows: list[tuple[str, ...]] = [
        ("", one.text, one.plan or "", *([_ROOM, _ROOM] if one.answer else ["", ""]))
        for one in working.lines
    ]
    head = rows[0] if rows else ("", "no line to work by hand: see below", "", "", "")
    return [(working.method, *head[1:]), *rows[1:]]


def _table_used(sheet: Sheet, matter: Matter, turn: Document) -> None:
    """Write the turning table that advance and transfer were read out of."""
    row = next(one for one in turn["wheel_overs"] if one["method"] == "advance_transfer")
    used = row["table"]
    if used is None:
        return
    parts = (
        f"rudder {fig.given(used['rudder_deg'], 'deg')}",
        fig.given(used["speed_kn"], "kn"),
        used["loading"],
        used["side"] or "either side",
        used["source"],
    )
    sheet.paragraph(f"Table: {', '.join(str(one) for one in parts if one)}.")
    table = table_of(used, matter.ship)
    if table is None:
        return
    rows = [
        f"{fig.given(one['heading_change_deg'])} deg {fig.given(one['advance_m'])} / "
        f"{fig.given(one['transfer_m'])}"
        for one in table["rows"]
    ]
    sheet.paragraph(f"Rows, advance / transfer in m: {'; '.join(rows)}.")


def _signed(sheet: Sheet) -> None:
    """Leave room for the answer, notes and initials."""
    sheet.need(60.0)
    sheet.skip(8.0)
    names = ("Wheel-over by hand, NM", "Method", "Worked by, initials", "Date, UTC")
    wide = sheet.room_pt / len(names)
    top = sheet.y_pt
    for index, name in enumerate(names):
        left = sheet.left_pt + wide * index
        box = ((left, top), (left + wide, top), (left + wide, top + 38.0), (left, top + 38.0))
        sheet.put(Path(box, 0.75, closed=True), Text(left + 4.0, top + 11.0, name, BODY_PT))
    sheet.skip(42.0)
    sheet.paragraph(f"Methods: {', '.join(METHODS.values())}. Notes:")
