"""A turn and a leg in the few words of a table."""

from typing import Any

from wheelover.render.exports.stamp import Document
from wheelover.render.paper import figures as fig
from wheelover.render.paper.matter import inside

METHODS = {
    "geometric": "GEO",
    "rule_of_thumb": "RUL",
    "advance_transfer": "ADV",
    "simulated": "SIM",
    "own": "own",
}
"""Each method by its word, as everywhere."""


def planned_words(turn: Document) -> str:
    """Return the planned wheel-over, as it can be set and as computed."""
    planned = turn["planned"]
    if planned["distance_nm"] is None:
        return f"NO WHEEL-OVER: {turn['reason'] or 'the method chosen gives none'}"
    word = METHODS.get(planned["method"], planned["method"])
    counted = ", default" if planned["source"] == "default" else ""
    return f"{fig.nearest(set_nm(turn), 2, 'NM')} {word}{counted}"


def set_nm(turn: Document) -> float | None:
    """Return the wheel-over as it is set: that of the cues, else the planned one."""
    chosen = inside(turn, "cues", "wheel_over_set", "distance_to_go_nm")
    found: float | None = turn["planned"]["distance_nm"] if chosen is None else chosen
    return found


def order_words(turn: Document, between: str = "; ") -> str:
    """Return the helm orders with the headings at which they are given."""
    run = next(one for one in turn["wheel_overs"] if one["method"] == "simulated")
    if run["manoeuvre"] is None:
        return f"not computed: {run['reason'] or 'no reason given'}"
    return between.join(_order(one) for one in run["manoeuvre"]["orders"])


def _order(one: Document) -> str:
    """Return one order."""
    at = f"at {fig.course_fine(one['heading_deg'])}"
    if one["rate_deg_per_min"] is not None:
        rate = one["rate_deg_per_min"]
        return f"rate {fig.nearest(abs(rate), 1)} deg/min {fig.side(rate)} {at}"
    if one["radius_nm"] is not None:
        return f"radius {fig.nearest(one['radius_nm'], 2)} NM {at}"
    if one["rudder_deg"]:
        return f"{fig.side(one['rudder_deg'])} {fig.given(abs(one['rudder_deg']))} {at}"
    return f"{one['order'].replace('_', '-')} {at}"


def off_track_words(row: Document) -> str:
    """Return where a wheel-over leaves her beside the new track, as simulated."""
    off_m = row["off_track_m"]
    if off_m is None:
        return "not simulated"
    size = fig.nearest(abs(off_m), 0, "m")
    if row["off_track_side"] is None or size == "0 m":
        return "on the new track"
    return f"{size} {row['off_track_side']}"


def cue_words(turn: Document) -> str:
    """Return the marks by which the wheel-over is known."""
    cues = turn.get("cues")
    if not isinstance(cues, dict):
        return "no mark is chosen"
    found = [_cue(cues.get(place)) for place in ("first", "second")]
    told = "; ".join(one for one in found if one)
    return told or "no mark is chosen"


def _cue(one: Any) -> str:
    """Return one cue."""
    if not isinstance(one, dict):
        return ""
    name = one.get("name") or one.get("mark_name") or one.get("mark_id") or one.get("id") or "mark"
    words = [str(name)]
    if isinstance(one.get("bearing_deg"), int | float):
        words.append(f"{fig.course_fine(one['bearing_deg'])} T")
    if isinstance(one.get("range_nm"), int | float):
        words.append(f"x {fig.nearest(one['range_nm'], 2, 'NM')}")
    return " ".join(words)


def index_words(piece: Document) -> str:
    """Return the index lines of a leg or turn."""
    lines = piece.get("index_lines")
    if isinstance(lines, dict):
        lines = lines.get("rows")
    if not lines:
        return ""
    return "; ".join(_index(one) for one in lines[:2])


def _index(one: Document) -> str:
    """Return one index line."""
    name = one.get("mark_name") or one.get("name") or one.get("mark_id") or "mark"
    range_nm = one.get("cross_index_range_nm", one.get("range_nm"))
    range_words = fig.nearest(range_nm, 2, "NM") if isinstance(range_nm, int | float) else ""
    return " ".join(part for part in (str(name), range_words, str(one.get("side") or "")) if part)
