"""Lines to steer by: parallel index, clearing bearings and ranges, transits, bends."""

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.sheet import Column, Sheet

MEMBERS = ("index_lines", "clearing_lines", "transits")


def lines(matter: Matter) -> Sheet | None:
    """Return the lines of every leg and turn, None of a plan that holds none."""
    legs = [one for one in matter.result["legs"] if any(one.get(name) for name in MEMBERS)]
    turns = [one for one in matter.result["turns"] if one.get("index_lines")]
    if not legs and not turns:
        return None
    sheet = Sheet("Index and clearing lines", wide=True)
    sheet.heading("Parallel index")
    sheet.paragraph(
        "Check alignment, heading line and range accuracy of the radar before use. NLT not less "
        "than, NMT not more than. Not to be used on another call without checking tide and ship.",
        bold=True,
    )
    groups = [
        [(_of(matter, leg["to_id"], "leg to"), *_index(one))]
        for leg in legs
        for one in inside(leg, "index_lines", "rows") or []
    ]
    if groups:
        sheet.table(_INDEX, groups)
    for leg in legs:
        for text in _said(leg):
            sheet.paragraph(f"Leg to {leg['to_id']}: {text}")
    _bends(sheet, matter, turns)
    _clearing(sheet, matter, legs)
    _transits(sheet, matter, legs)
    return sheet


_INDEX = (
    Column("Of", 90.0, bold=True),
    Column("Object", 0.0, bold=True),
    Column("Set NM; side", 70.0, bold=True),
    Column("Exact NM", 50.0, right=True),
    Column("NLT, NMT NM", 190.0),
    Column("Serves, NM of the leg", 84.0, right=True),
    Column("Hand over", 100.0),
    Column("Line T", 48.0, right=True),
    Column("Error m", 52.0, right=True),
)


def _of(matter: Matter, waypoint_id: str, kind: str) -> str:
    """Return which leg or turn a line is of."""
    return f"{kind} {matter.name_of(waypoint_id)}"


def _index(one: Document) -> tuple[str, ...]:
    """Return one index line as a row."""
    floating = ", FLOATING" if one["floating"] else ""
    over = one["hand_over"]
    return (
        f"{one['mark_name'] or one['mark_id']}{floating} ({one['use']})",
        f"{fig.nearest(one['set_nm'], 2)} {one['side']}",
        fig.nearest(one["range_nm"], 3),
        "; ".join(_limit(limit) for limit in one["limits"]) or "none is known",
        f"{fig.nearest(one['serves_from_nm'], 2)} - {fig.nearest(one['serves_to_nm'], 2)}",
        ""
        if over is None
        else f"to {over['to_mark_id']} at {fig.nearest(over['from_nm'], 2, 'NM')}",
        fig.course_fine(one["line_bearing_deg"]),
        fig.up(one["uncertain_m"], 0),
    )


def _over(one: Document) -> str:
    """Return to which object, and where on the leg, an index line is handed over."""
    return f"to {one['to_mark_id']} at {fig.nearest(one['from_nm'], 2, 'NM')}"


def _limit(one: Document) -> str:
    """Return a limit of an index range, with what bounds it."""
    if one["range_nm"] is None:
        return f"{one['word']}: {one['reason'] or 'not known'}"
    by = one["hazard_name"] or one["hazard_id"] or one["source"] or ""
    checked = ", not checked" if one["not_checked"] else ""
    return f"{one['word']} {fig.nearest(one['range_nm'], 2)} ({by}{checked})".replace("_", " ")


def _said(leg: Document) -> list[str]:
    """Return what is told of a leg's lines beside them."""
    index, told = leg.get("index_lines") or {}, []
    if index.get("reason"):
        told.append(f"no index line: {index['reason']}")
    for one in index.get("not_served") or []:
        first, last = fig.nearest(one["from_nm"], 2), fig.nearest(one["to_nm"], 2, "NM")
        told.append(f"NOT SERVED by an index line from {first} to {last} of the leg")
    clearing = leg.get("clearing_lines") or {}
    if clearing.get("reason"):
        told.append(f"no clearing line: {clearing['reason']}")
    none_for = [
        str(one["hazard_name"] or one["hazard_id"]) for one in clearing.get("none_for") or []
    ]
    if none_for:
        told.append(f"NO CLEARING LINE for {', '.join(none_for)}")
    return told


def _bends(sheet: Sheet, matter: Matter, turns: list[Document]) -> None:
    """Write the index lines of bends."""
    columns = (
        Column("Of", 120.0, bold=True),
        Column("Object", 0.0, bold=True),
        Column("Before, NM", 90.0, bold=True),
        Column("After, NM", 90.0, bold=True),
        Column("In the turn, NM", 110.0, right=True),
        Column("At wheel-over, NM", 120.0),
        Column("Ring NM", 56.0, right=True),
    )
    groups = [
        [(
            _of(matter, turn["waypoint_id"], "turn"),
            f"{one['mark_name'] or one['mark_id']}{', FLOATING' if one['floating'] else ''}",
            f"{fig.nearest(one['in_range_nm'], 2)} {one['in_side']}",
            f"{fig.nearest(one['out_range_nm'], 2)} {one['out_side']}",
            f"{fig.nearest(one['least_nm'], 2)} - {fig.nearest(one['most_nm'], 2)}",
            f"{fig.nearest(one['helm_set_nm'], 2)} {one['helm_side'] or ''}".strip(),
            fig.nearest(one["ring_nm"], 2),
        )]
        for turn in turns
        for one in turn["index_lines"]["rows"]
    ]  # fmt: skip
    if groups:
        sheet.heading("Index lines in bends")
        sheet.table(columns, groups)


def _clearing(sheet: Sheet, matter: Matter, legs: list[Document]) -> None:
    """Write clearing bearings and ranges."""
    columns = (
        Column("Of", 120.0, bold=True),
        Column("Mark", 0.0, bold=True),
        Column("", 130.0, bold=True),
        Column("Clears", 110.0),
        Column("On side", 60.0),
        Column("From - to NM", 90.0, right=True),
        Column("Notes", 120.0),
    )
    groups = [
        [(_of(matter, leg["to_id"], "leg to"), *_clear(one, kind))]
        for leg in legs
        for kind in ("bearings", "ranges")
        for one in inside(leg, "clearing_lines", kind) or []
    ]
    if groups:
        sheet.heading("Clearing bearings and ranges")
        sheet.table(columns, groups)


def _clear(one: Document, kind: str) -> tuple[str, ...]:
    """Return a clearing line as a row."""
    value = (
        f"{one['word']} {fig.course_fine(one['set_deg'])} T"
        if kind == "bearings"
        else f"{one['word']} {fig.nearest(one['set_nm'], 2, 'NM')}"
    )
    return (
        f"{one['mark_name'] or one['mark_id']}{', FLOATING' if one['floating'] else ''}",
        f"{value} ({one['use']})",
        str(one["hazard_name"] or one["hazard_id"]),
        str(one["danger_side"] or ""),
        f"{fig.nearest(one['from_nm'], 2)} - {fig.nearest(one['to_nm'], 2)}",
        "; ".join(one["notes"]),
    )


def _transits(sheet: Sheet, matter: Matter, legs: list[Document]) -> None:
    """Write transits and leading lines."""
    columns = (
        Column("Of", 120.0, bold=True),
        Column("Marks in line", 0.0, bold=True),
        Column("Bearing T", 70.0, bold=True),
        Column("", 70.0),
        Column("Use, source", 130.0),
        Column("Off track m", 70.0, right=True),
        Column("Opens 0.1 deg at m", 90.0, right=True),
    )
    groups = [
        [(
            _of(matter, leg["to_id"], "leg to"),
            str(one["name"] or f"{one['front_mark_id']}, {one['rear_mark_id']}"),
            fig.course_fine(one["bearing_deg"]),
            "ahead" if one["marks_ahead"] else "astern",
            f"{one['use']}, {one['source']}".replace("_", " "),
            fig.nearest(one["off_m"], 0, unknown="-"),
            fig.nearest(one["open_tenth_deg_m"], 0, unknown="-"),
        )]
        for leg in legs
        for one in leg.get("transits") or []
    ]  # fmt: skip
    if groups:
        sheet.heading("Transits and leading lines")
        sheet.table(columns, groups)
