"""What a plan says of steering a leg and a turn, chosen from its JSON for files of other systems.

Of many offered cues and lines those in use are taken: all of them stand in the plan.
"""

from typing import Any

from wheelover.formats.xml_tree import Element
from wheelover.render.exports.rows import Row
from wheelover.render.exports.stamp import Document
from wheelover.render.exports.told import told

_LONG = frozenset(
    {
        *("working", "not_usable", "left_out", "near", "terms", "squats", "streams", "lights"),
        *("missing", "reasons", "notes", "by_day", "by_night", "by_radar", "reaches", "not_served"),
        *("none_for", "clears", "not_cleared", "abort_rule", "left_out_count"),
    }
)
"""What explains a value and is long: it stands in the plan, not in files of 400 kB."""

_LISTS = ("rows", "bearings", "ranges", "transits")
_SUMS = (
    *("static_ukc_m", "dynamic_ukc_m", "net_ukc_m", "required_ukc_m", "required_by", "met"),
    *("tide_needed_m", "limiting_speed_kn", "passing"),
)


def in_use(lines: Any) -> list[Document]:
    """Return the lines of a member that are in use, not those that are only offered."""
    if isinstance(lines, dict):
        found = [one for name in _LISTS for one in lines.get(name) or []]
    else:
        found = lines or []
    return [one for one in found if one.get("use") != "offered"]


def orders_of(turn: Document) -> list[Document]:
    """Return the helm orders of a turn, as its simulation has them."""
    run = next((one for one in turn["wheel_overs"] if one["method"] == "simulated"), None)
    if run is None or run["manoeuvre"] is None:
        return []
    orders: list[Document] = run["manoeuvre"]["orders"]
    return orders


def cues_of(turn: Document) -> dict[str, Document]:
    """Return the first and the second cue of a turn, where it has them."""
    cues = turn.get("cues") or {}
    rows = cues.get("rows") or []
    return {
        order: rows[cues[order]]
        for order in ("first", "second")
        if isinstance(cues.get(order), int) and cues[order] < len(rows)
    }


def turn_elements(row: Row) -> list[Element]:
    """Return what tells when helm is given in a turn, what then, and what it is held against."""
    turn = row.turn
    if turn is None:
        return []
    cues = turn.get("cues") or {}
    found = [one for order in orders_of(turn) for one in told("order", order, _LONG)]
    for name, cue in cues_of(turn).items():
        found += told("cue", {"rank": name, **cue}, _LONG)
    found += told("wheel_over_set", cues.get("wheel_over_set"), _LONG)
    found += told("warning_point", cues.get("warning_points"), _LONG)
    found += told("bend_index", turn.get("index_lines"), _LONG)
    found += told("keel", _sum(row.turn_keel), _LONG)
    return found


def leg_elements(row: Row, result: Document) -> list[Element]:
    """Return what is steered and watched on the leg to a waypoint, and when she is there."""
    leg, identity = row.leg, row.waypoint["id"]
    schedule = result.get("schedule") or {}
    times = [one for one in schedule.get("rows") or [] if one["waypoint_id"] == identity]
    runs = [one for one in schedule.get("legs") or [] if one["to_id"] == identity]
    found = told("times", times, _LONG)
    if leg is None:
        return found
    found += told("run", runs, _LONG)
    found += told("courses", leg.get("courses"), _LONG)
    for member, name in (
        ("index_lines", "index_line"),
        ("clearing_lines", "clearing_line"),
        ("transits", "transit"),
    ):
        found += told(name, in_use(leg.get(member)), _LONG)
    found += told("monitoring", leg.get("monitoring"), _LONG)
    found += told("leg_keel", _sum(row.leg_keel), _LONG)
    return found


def _sum(keel: Document | None) -> Document | None:
    """Return what a sum of water under the keel comes to."""
    return None if keel is None else {name: keel.get(name) for name in _SUMS}


def plan_elements(result: Document) -> list[Element]:
    """Return the voyage and the action points of a plan."""
    return [*told("voyage", result.get("voyage")), *told("point", result.get("points"), _LONG)]
