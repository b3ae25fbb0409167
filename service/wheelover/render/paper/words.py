"""A turn and a leg in the few words of a table."""

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
        return f"{fig.side(one['rudder_deg'])} {fig.short(abs(one['rudder_deg']), 1)} {at}"
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
    """Return the marks by which the wheel-over is known: the first cue and the second."""
    cues = turn.get("cues")
    if not isinstance(cues, dict):
        return "no mark is chosen"
    chosen = [cues["rows"][n] for n in (cues["first"], cues["second"]) if n is not None]
    told = "; ".join(_cue(one) for one in chosen)
    return told or cues["reason"] or "no mark is chosen"


def _cue(one: Document) -> str:
    """Return one cue as it is set, else as it is read at the wheel-over."""
    name = f"{one['mark_name'] or one['mark_id']}{', FLOATING' if one['floating'] else ''}"
    set_to = one["set_to"]
    bearing = one["bearing_deg"] if set_to is None else set_to["bearing_deg"]
    if one["kind"] == "index":
        distance = one["index_nm"] if set_to is None else set_to["distance_nm"]
        side_word = one["index_side"] if set_to is None else set_to["side"]
        return f"{name} index {fig.nearest(distance, 2, 'NM')} {side_word}"
    if one["kind"] == "range":
        distance = one["range_nm"] if set_to is None else set_to["distance_nm"]
        return f"{name} range {fig.nearest(distance, 2, 'NM')}"
    return f"{name} {fig.course_fine(bearing)} T"


def index_words(piece: Document) -> str:
    """Return the index lines of a leg or turn, chosen ones first: range and side."""
    found = inside(piece, "index_lines", "rows") or []
    found = sorted(found, key=lambda one: one.get("use") != "chosen")
    return "; ".join(_index(one) for one in found[:2])


def _index(one: Document) -> str:
    """Return one index line, or the two of one object in a bend."""
    name = one["mark_name"] or one["mark_id"]
    if "in_range_nm" in one:
        return (
            f"{name} {fig.nearest(one['in_range_nm'], 2)} {one['in_side']}, then "
            f"{fig.nearest(one['out_range_nm'], 2, 'NM')} {one['out_side']}"
        )
    return f"{name} {fig.nearest(one['set_nm'], 2, 'NM')} {one['side']}"
