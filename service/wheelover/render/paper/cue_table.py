"""Marks, and the cues by which the team knows each wheel-over."""

from wheelover.formats.positions import shown
from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import Matter, inside
from wheelover.render.paper.sheet import Column, Sheet

MOST_CUES = 5
"""So many of a turn's ranked cues are printed; how many more there are is said."""


def cue_table(matter: Matter) -> Sheet | None:
    """Return marks and cues, None of a plan that holds none."""
    turns = [one for one in matter.result["turns"] if isinstance(one.get("cues"), dict)]
    marks = matter.part("marks")
    if not turns and not marks:
        return None
    sheet = Sheet("Marks and cues", wide=True)
    _marks(sheet, marks)
    for turn in turns:
        _turn(sheet, matter, turn)
    return sheet


def _marks(sheet: Sheet, marks: Document) -> None:
    """Write the marks that are listed."""
    sheet.heading(f"Marks: {marks.get('loaded_count') or 0} loaded")
    rows = marks.get("rows") or []
    if marks.get("left_out_count"):
        sheet.paragraph(f"{marks['left_out_count']} that no cue uses are not listed.")
    columns = (
        Column("Mark", 0.0, bold=True),
        Column("Position", 140.0),
        Column("Kind, source", 150.0),
        Column("", 90.0, bold=True),
        Column("Height m", 50.0, right=True),
        Column("Light", 160.0),
    )
    groups = [
        [(
            str(one["name"] or one["id"]),
            shown(one["position"]["lat_deg"], one["position"]["lon_deg"]),
            f"{one['what'] or one['kind']}, {one['source']}".replace("_", " "),
            "FLOATING" if one["floating"] else "fixed",
            fig.given(one["height_m"]),
            _light(one),
        )]
        for one in rows
    ]  # fmt: skip
    if groups:
        sheet.table(columns, groups)


def _light(one: Document) -> str:
    """Return a mark's light."""
    if not one["lit"]:
        return "unlit" if one["lit"] is False else "not known"
    range_nm = fig.given(one["nominal_range_nm"], "NM")
    return f"{one['light_character'] or 'character not known'}, nominal {range_nm}"


_CUES = (
    Column("", 44.0, bold=True),
    Column("Cue", 0.0, bold=True),
    Column("Bearing T", 50.0, right=True),
    Column("Range NM", 48.0, right=True),
    Column("Crosses deg", 48.0, right=True),
    Column("deg/min; kn", 56.0, right=True),
    Column("Error m: 1/2 deg; 0.01 NM; radar", 92.0, right=True),
    Column("Day; night; radar", 190.0),
    Column("Set to", 120.0),
)


def _turn(sheet: Sheet, matter: Matter, turn: Document) -> None:
    """Write the cues of one turn."""
    cues = turn["cues"]
    sheet.heading(f"Wheel-over of turn {matter.name_of(turn['waypoint_id'])}")
    for line in (_set(turn, cues), _warnings(cues), cues["reason"], _unknown(cues), _dark(cues)):
        if line:
            sheet.paragraph(line, bold=line.startswith("Set"))
    rows = cues["rows"]
    order = [n for n in (cues["first"], cues["second"]) if n is not None]
    order += [n for n in range(len(rows)) if n not in order]
    groups = []
    for number in order[:MOST_CUES]:
        word = "first" if number == cues["first"] else ""
        word = "second" if number == cues["second"] else word
        groups.append([_cue(rows[number], word)])
    if groups:
        sheet.table(_CUES, groups)
    if len(rows) > MOST_CUES:
        sheet.paragraph(f"{len(rows)} cues were ranked; those after these stand in the JSON.")


def _cue(one: Document, word: str) -> tuple[str, ...]:
    """Return one cue as a row."""
    errors = [
        fig.nearest(one[name], 0, unknown="-")
        for name in ("error_half_degree_m", "error_hundredth_nm_m", "error_radar_m")
    ]
    sight = "; ".join(one[name]["seen"] for name in ("by_day", "by_night", "by_radar"))
    floating = ", FLOATING" if one["floating"] else ""
    rates = [
        fig.nearest(one["bearing_rate_deg_per_min"], 1, unknown="-"),
        fig.nearest(one["range_rate_kn"], 1, unknown="-"),
    ]
    return (
        word,
        f"{one['kind'].replace('_', ' ')} {one['mark_name'] or one['mark_id']}{floating}",
        fig.course_fine(one["bearing_deg"]),
        fig.nearest(one["range_nm"], 2),
        fig.nearest(one["crossing_deg"], 0),
        "; ".join(rates),
        "; ".join(errors),
        f"{sight}. {'; '.join(one['reasons'][:3])}" if word else sight,
        set_words(one["set_to"]),
    )


def set_words(found: Document | None) -> str:
    """Return what a cue is set to, and what the turn does then."""
    if found is None:
        return "not set"
    value = (
        f"{fig.course_fine(found['bearing_deg'])} T"
        if found["bearing_deg"] is not None
        else f"{fig.nearest(found['distance_nm'], 2, 'NM')} {found['side'] or ''}".strip()
    )
    inside_window = {True: "inside", False: "OUTSIDE", None: "not held against"}
    return (
        f"{value}, {fig.nearest(abs(found['later_s']), 1, 's')} "
        f"{'late' if found['later_s'] > 0.0 else 'early'}, "
        f"{inside_window[found['inside_window']]} the window"
    )


def _set(turn: Document, cues: Document) -> str:
    """Return the wheel-over as it is set."""
    found = cues["wheel_over_set"]
    if found is None:
        return ""
    words = [f"Set: {fig.nearest(found['distance_to_go_nm'], 2, 'NM')} to go to"
             f" {turn['waypoint_id']}"]  # fmt: skip
    if found["range_nm"] is not None:
        words.append(f"range of the first cue {fig.nearest(found['range_nm'], 2, 'NM')}")
    if found["bearing_deg"] is not None:
        words.append(f"bearing of the first cue {fig.course_fine(found['bearing_deg'])} T")
    off = found["off_track_m"]
    if off is not None:
        words.append(f"simulated so, she ends {fig.nearest(abs(off), 0, 'm')} off the new track")
    return ", ".join(words) + "."


def _warnings(cues: Document) -> str:
    """Return the warning points before the wheel-over."""
    told = []
    for one in cues["warning_points"]:
        before = (
            fig.nearest(one["before_s"], 0, "s")
            if one["before_s"] is not None
            else fig.given(one["before_nm"], "NM")
        )
        counted = ", default" if one["source"] == "default" else ""
        told.append(f"{before} before{counted}: {fig.nearest(one['distance_nm'], 2, 'NM')} to go")
    return f"Warnings: {'; '.join(told)}." if told else ""


def _unknown(cues: Document) -> str:
    """Return marks that were chosen and are not loaded."""
    ids = cues["unknown_ids"]
    return f"Chosen and not loaded: {', '.join(ids)}." if ids else ""


def _dark(cues: Document) -> str:
    """Return whether it is dark then."""
    if cues["dark"] is None:
        return f"Daylight: {inside(cues, 'dark_reason') or 'not known'}."
    return "It is dark then." if cues["dark"] else "It is light then."
