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
    Column("Of", 80.0, bold=True),
    Column("Object", 0.0, bold=True),
    Column("Set NM; side", 70.0, bold=True),
    Column("Exact NM", 50.0, right=True),
    Column("NLT, NMT NM", 150.0),
    Column("Serves, NM of the leg", 68.0, right=True),
    Column("Used, NM of the leg", 68.0, right=True),
    Column("Hand over", 90.0),
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
        _stretch(one, "serves"),
        _stretch(one, "use") if one["use_from_nm"] is not None else f"not used, {one['use']}",
        "" if over is None else f"to {over['to_mark_id']}, both serve {_stretch(over)}",
        fig.course_fine(one["line_bearing_deg"]),
        fig.up(one["uncertain_m"], 0),
    )


def _stretch(one: Document, what: str = "") -> str:
    """Return from where to where of the leg a line serves or is used."""
    start, end = (f"{what}_{name}_nm".lstrip("_") for name in ("from", "to"))
    return f"{fig.nearest(one[start], 2)} - {fig.nearest(one[end], 2)}"


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
    told += [
        f"index on {one['mark_name'] or one['mark_id']}: {' '.join(one['notes'])}"
        for one in index.get("rows") or []
        if one["notes"]
    ]
    for one in index.get("not_served") or []:
        first, last = fig.nearest(one["from_nm"], 2), fig.nearest(one["to_nm"], 2, "NM")
        told.append(f"NOT SERVED by an index line from {first} to {last} of the leg")
    told += _unusable(index, "index")
    clearing = leg.get("clearing_lines") or {}
    if clearing.get("reason"):
        told.append(f"no clearing line: {clearing['reason']}")
    none_for = [
        str(one["hazard_name"] or one["hazard_id"]) for one in clearing.get("none_for") or []
    ]
    if none_for:
        told.append(f"NO CLEARING LINE for {', '.join(none_for)}")
    return told + _unusable(clearing, "clearing")


def _unusable(lines_of: Document, kind: str) -> list[str]:
    """Return which marks were chosen for a kind of line and give none."""
    return [
        f"{one['mark_id']} was chosen and gives no {kind} line: {one['reason']}"
        for one in lines_of.get("not_usable") or []
    ]


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
            "\n".join([f"{one['mark_name'] or one['mark_id']}"
                       f"{', FLOATING' if one['floating'] else ''}", *one["notes"]]),
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
        Column("Of", 100.0, bold=True),
        Column("Mark", 0.0, bold=True),
        Column("", 120.0, bold=True),
        Column("Clears", 90.0),
        Column("On side", 56.0),
        Column("From - to NM", 70.0, right=True),
        Column("Notes", 230.0),
    )
    groups = [
        [(_of(matter, leg["to_id"], "leg to"), *_clear(one, kind))]
        for leg in legs
        for kind in ("bearings", "ranges")
        for one in inside(leg, "clearing_lines", kind) or []
    ]
    groups += [
        [(_of(matter, leg["to_id"], "leg to"), *_clear_transit(one))]
        for leg in legs
        for one in inside(leg, "clearing_lines", "transits") or []
    ]
    if groups:
        sheet.heading("Clearing bearings, ranges and transits")
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
        _stretch(one),
        "; ".join(_clear_notes(one)),
    )


def _clear_transit(one: Document) -> tuple[str, ...]:
    """Return a clearing transit as a row."""
    front, rear = one["front_mark_name"], one["rear_mark_name"]
    open_m = fig.up(one["open_tenth_deg_m"], 0, "m")
    return (
        f"{rear} and {front}",
        f"keep {rear} open to {one['open_side']} of {front} ({one['use']})",
        str(one["hazard_name"] or one["hazard_id"]),
        str(one["danger_side"]),
        _stretch(one),
        "; ".join(
            [
                f"in line {fig.course_fine(one['bearing_deg'])} T",
                f"open by 0.1 deg {open_m} beside the line",
                *_clear_notes(one),
            ]
        ),
    )


def _clear_notes(one: Document) -> list[str]:
    """Return what must be said of a clearing line: what it does not clear, whether it is seen."""
    told = []
    also = [str(other["hazard_name"] or other["hazard_id"]) for other in one["clears"]]
    if also:
        told.append(f"clears {', '.join(also)} too")
    others = [
        str(other["hazard_name"] or other["hazard_id"]) for other in one.get("not_cleared") or []
    ]
    if others:
        told.append(f"DOES NOT CLEAR {', '.join(others)}")
    if one.get("sight"):
        told.append(_SIGHT.get(one["sight"], one["sight"].replace("_", " ")))
    told.append(f"kept off the danger {fig.up(one['radius_m'], 0, 'm')}")
    return [*told, *one["notes"]]


_SIGHT = {
    "in_sight": "within its range",
    "not_known": "from how far it is seen is NOT KNOWN",
}


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
