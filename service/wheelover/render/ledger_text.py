"""The ledger of a plan as plain text: what a terminal shows of it."""

import math
import textwrap
from collections.abc import Iterator
from typing import Any

from wheelover.formats.positions import shown

Document = dict[str, Any]

WIDTH = 98
"""Columns of a line."""

_NEAREST = 12
_METHODS = {
    "geometric": "geometric",
    "rule_of_thumb": "rule of thumb",
    "advance_transfer": "advance and transfer",
    "simulated": "simulated",
    "own": "own distance",
}
_GRADES = (
    ("must_resolve", "MUST BE RESOLVED"),
    ("must_explain", "MUST BE EXPLAINED"),
    ("not_checked", "NOT CHECKED"),
    ("note", "NOTES"),
)


def ledger_text(document: Document, reading: Document) -> str:
    """Return the ledger of a plan in sailing order, its findings and its cautions.

    Parameters
    ----------
    document : dict
        The plan, as the API answers with it.
    reading : dict
        The reading of the route file it was made from.

    Returns
    -------
    str
        Lines of at most 98 columns. What was not checked is always among them.
    """
    parts = (
        _head(document),
        _read(reading),
        _passage(document, reading["route"]["waypoints"]),
        _nearest(document),
        _findings(document),
        _cautions(document),
    )
    return "\n\n".join("\n".join(lines) for part in parts if (lines := list(part))) + "\n"


def _wrapped(text: str, indent: int, hang: int = 0) -> list[str]:
    """Return a text in lines, indented; lines after the first by a little more."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + hang),
        break_long_words=True,
        break_on_hyphens=False,
    )


def _head(document: Document) -> Iterator[str]:
    """Yield what the plan is, and what made it."""
    mark = "DEMONSTRATION. " if document["demonstration"] else ""
    yield from _wrapped(f"{mark}DRAFT, not stored. {document['name']}", 0)
    track_nm = document["track"]["distance_nm"]
    length = "no track: turns overlap" if track_nm is None else f"{track_nm:.2f} NM along the track"
    checks = document["checks"]
    yield (f"{length}; {checks['done_count']} of {checks['expected_count']} checks due were made")
    yield f"wheelover {document['engine_version']}, inputs sha256 {document['inputs_sha256']}"


def _read(reading: Document) -> Iterator[str]:
    """Yield how the route file was read, and every row that was not understood."""
    text = (
        f"Route file ({reading['format']}): {reading['accepted_count']} rows understood, "
        f"{reading['rejected_count']} not. {reading['read_as']}"
    )
    yield from _wrapped(text, 0, 2)
    for row in reading["report"]:
        if row["problem"] is not None:
            raw = " ".join(row["raw"].split())[:60]
            yield from _wrapped(
                f"line {row['line']}: NOT UNDERSTOOD, {row['problem']}: {raw!r}", 2, 2
            )
    for note in reading["notes"]:
        yield from _wrapped(note, 2, 2)


def _passage(document: Document, waypoints: list[Document]) -> Iterator[str]:
    """Yield waypoints, turns and legs in sailing order; a hole is a line of its own."""
    turns = {turn["waypoint_index"]: turn for turn in document["turns"]}
    legs = {leg["to_id"]: leg for leg in document["legs"]}
    yield "Courses true; clearances from the centre line to the loaded dangers only."
    for index, waypoint in enumerate(waypoints):
        if waypoint.get("gap_before"):
            yield "      HOLE: rows here were not understood; nothing is planned across it"
        elif waypoint["id"] in legs:
            yield from _leg(legs[waypoint["id"]])
        name = f"  {waypoint['name']}" if waypoint.get("name") else ""
        place = shown(waypoint["lat_deg"], waypoint["lon_deg"])
        yield from _wrapped(f"{index + 1:>3}  {place}  {waypoint['id']}{name}", 0, 5)
        if index in turns:
            yield from _turn(turns[index])
        if waypoint.get("gap_after"):
            yield "      HOLE: rows after this one were not understood; the plan ends here"


def _leg(leg: Document) -> list[str]:
    """Return the line of a leg."""
    if leg["course_deg"] is None:
        return ["      leg   NO LENGTH, no course"]
    speed = "no speed" if leg["speed_kn"] is None else f"{leg['speed_kn']:g} kn"
    on_track = leg["track_distance_nm"]
    run = "no track: its turns overlap" if on_track is None else f"{on_track:.2f} on track"
    text = (
        f"leg   {_course(leg['course_deg'])}  {leg['distance_nm']:.2f} NM ({run})  "
        f"{leg['line']}  {speed}"
    )
    return [*_wrapped(text, 6, 6), *_wrapped(f"least   {_least(leg)}", 12, 2)]


def _course(course_deg: float) -> str:
    """Return a course to the tenth of a degree; just below 360 is 000."""
    return f"{round(course_deg, 1) % 360.0:05.1f}"


def _least(piece: Document) -> str:
    """Return the danger that matters most to a leg or turn, never that there is none."""
    least = piece["least_clearance"]
    if least is None:
        return "not known: no loaded danger within 2 NM or its limit"
    name = least["hazard_name"] or least["hazard_id"]
    limit = "" if least["limit_m"] is None else f", limit {least['limit_m']:.0f} m"
    state = "ON THE TRACK" if least["on_track"] else "no limit given"
    if least["met"] is not None:
        state = "outside" if least["met"] else "NOT MET"
    elif least["limit_m"] is not None and not least["on_track"]:
        state = "not judged"
    more = least["infringed_count"] - (least["met"] is False or least["on_track"])
    others = f", {more} more NOT MET" if more > 0 else ""
    return f"{_down_m(least['clearance_m'])} m, {name}{limit}: {state}{others}"


def _down_m(clearance_m: float) -> int:
    """Return a clearance in whole metres: rounded down, and never below zero."""
    return math.floor(max(clearance_m, 0.0))


def _turn(turn: Document) -> Iterator[str]:
    """Yield the lines of a turn: the change, the planned wheel-over, and every method."""
    change = turn["course_change_deg"]
    if change is None:
        yield "      turn  none: a leg beside it has no length"
        return
    radius = "no radius" if turn["radius_nm"] is None else f"R {turn['radius_nm']:.2f} NM"
    rate = turn["rate_of_turn_deg_per_min"]
    rate_text = "no rate" if rate is None else f"{abs(rate):.1f} deg/min"
    text = (
        f"turn  {abs(change):.1f} {turn['side']} to {_course(turn['course_out_deg'])}  {radius}  "
        f"{rate_text}{'' if turn['fits'] else '  DOES NOT FIT'}"
    )
    yield from _wrapped(text, 6, 6)
    yield from _wrapped(f"least   {_least(turn)}", 12, 2)
    yield from _wrapped(f"wheel-over  {_planned(turn)}", 12, 2)
    for row in turn["wheel_overs"]:
        yield from _wrapped(_method(row), 14, 2)


def _planned(turn: Document) -> str:
    """Return the planned wheel-over with its line."""
    planned = turn["planned"]
    name = _METHODS[planned["method"]]
    chosen = "default" if planned["source"] == "default" else "chosen"
    if planned["distance_nm"] is None:
        return f"NONE: {name} ({chosen}) gives none here"
    place = planned["position"]
    line = turn["wheel_over_line"]
    beside = ""
    if line is not None:
        beside = f"; line {abs(line['offset_m']):.0f} m {line['offset_side']} of the new leg"
    return (
        f"{planned['distance_nm']:.3f} NM before, {shown(place['lat_deg'], place['lon_deg'])}, "
        f"{name} ({chosen}){beside}"
    )


def _method(row: Document) -> str:
    """Return what one method gives, or why it gives nothing."""
    name = _METHODS[row["method"]]
    if row["status"] == "computed":
        return f"{name}: {row['distance_nm']:.3f} NM{_beside(row)}"
    return f"{name}: not applicable, {row['reason']}"


def _beside(row: Document) -> str:
    """Return where the simulated manoeuvre, begun at a method's wheel-over, leaves her."""
    if row["off_track_m"] is None:
        return ""
    if row["off_track_side"] is None or abs(row["off_track_m"]) < 0.5:
        return ", on the new track as simulated"
    return f", {abs(row['off_track_m']):.0f} m {row['off_track_side']} as simulated"


def _none_loaded(document: Document) -> bool:
    """Return whether the plan was computed without a single danger."""
    layers = document["layers"]
    drawn = any(one["properties"]["layer"] == "hazard" for one in layers["features"])
    return not drawn and layers["hazards_not_drawn_count"] == 0


def _nearest(document: Document) -> Iterator[str]:
    """Yield the nearest dangers and every one that is inside its limit."""
    rows = document["clearances"]
    if _none_loaded(document):
        yield "Nearest dangers: NOT CHECKED, no dangers are loaded."
        return
    if not rows:
        yield "Nearest dangers: none of the loaded ones is within 2 NM or its limit."
        return
    yield f"Nearest dangers ({len(rows)} within search distance; every one not met is listed)"
    for number, row in enumerate(rows):
        if number < _NEAREST or row["met"] is False or row["on_track"]:
            yield from _wrapped(_danger(row), 2, 4)


def _danger(row: Document) -> str:
    """Return one danger with what it was held against."""
    name = row["hazard_name"] or row["hazard_id"]
    limit = "no limit given" if row["limit_m"] is None else f"limit {row['limit_m']:.0f} m"
    state = "" if row["met"] is None else (": outside" if row["met"] else ": NOT MET")
    state = ": ON THE TRACK" if row["met"] is None and row["on_track"] else state
    where = f"{row['piece']['kind']} {row['piece']['index'] + 1}"
    return (
        f"{name}: {_down_m(row['distance_m'])} m, {row['side']}, {where}, clearance "
        f"{_down_m(row['clearance_m'])} m, {limit}{state}"
    )


def _findings(document: Document) -> Iterator[str]:
    """Yield the findings by grade, those to be resolved first."""
    for grade, title in _GRADES:
        rows = [one for one in document["findings"] if one["grade"] == grade]
        if not rows:
            continue
        yield f"{title} ({len(rows)})"
        for one in rows:
            yield from _wrapped(f"- {one['message']}", 2, 2)


def _cautions(document: Document) -> Iterator[str]:
    """Yield the cautions."""
    yield "CAUTIONS"
    for one in document["cautions"]:
        yield from _wrapped(f"- {one['text']}", 2, 2)
