"""The workbook as a whole: its sheets in order."""

from wheelover.formats.positions import shown
from wheelover.render.exports.rows import Row, rows
from wheelover.render.exports.stamp import Document, Stamp, remarks
from wheelover.render.workbook.book import Book
from wheelover.render.workbook.flat import Cell, flattened
from wheelover.render.workbook.index import index_rows
from wheelover.render.workbook.parts import (
    TURN_LEAVES,
    contingency_rows,
    cue_rows,
    listed,
    schedule_rows,
    watch_rows,
)
from wheelover.render.workbook.pilot import pilot_facts

NO_TIME = "1980-01-01T00:00:00Z"
"""A workbook must say when it was made; of a plan that is not stored that is not known."""

Rows = list[dict[str, Cell]]


def workbook(inputs: Document, result: Document, stamp: Stamp) -> tuple[bytes, tuple[str, ...]]:
    """Return a plan as a workbook, and the warnings.

    Numbers are those of the JSON, whole, shown in formats with the unit in the head; a value that
    is not known says so. The same arguments give the same bytes.
    """
    said = remarks(inputs, result, stamp)
    line = f"{said.status}. {said.identity}"
    book = Book(result["name"] or "Passage plan", line, stamp.created_utc or NO_TIME)
    book.lines("plan", said.lines())
    book.table("ledger", _ledger(inputs, result))
    book.table("turns", _turns(result))
    book.table("methods", _methods(result))
    book.table("clearances", _clearances(result), none="no danger was measured near the track")
    book.table("UKC", _keel(result), none="no depth is known: no water under the keel is computed")
    book.table(
        "index", list(index_rows(result)), none="no index, clearing or leading lines are chosen"
    )
    book.table("schedule", schedule_rows(result), none="no schedule: no time of departure is given")
    book.table("findings", [flattened(one) for one in result["findings"]], none="none was found")
    book.table("basis", [flattened(one) for one in result["basis"]])
    book.table("cues", cue_rows(result), none="no cue was looked for")
    book.table("monitoring", watch_rows(result), none="nothing is planned for the bridge team")
    if result.get("pilot_card"):
        book.facts("pilot card", pilot_facts(result["pilot_card"]))
    for name, member, what in EXTRA:
        if result.get(member):
            book.table(name, listed(result[member], what))
    if result.get("contingencies"):
        book.table("contingencies", contingency_rows(result["contingencies"]))
    return book.close(), ()


EXTRA = (
    ("marks", "marks", "mark"),
    ("points", "points", "point"),
    ("points found", "points_found", "found"),
    ("sources", "sources", "source"),
    ("checklists", "checklists", ""),
    ("rules", "rules", "rule"),
)
"""Sheets of what a plan may hold beside, where there is any: name, member, what a row is."""


def _ledger(inputs: Document, result: Document) -> Rows:
    """Return waypoints, legs and turns in sailing order."""
    found: Rows = []
    for row in rows(inputs, result):
        if row.leg is not None:
            found.append({"what": "leg", "id": row.leg["to_id"], **_leg(row, row.leg)})
        found.append({"what": "waypoint", **_waypoint(row)})
        if row.turn is not None:
            found.append({"what": "turn", "id": row.waypoint["id"], **_turn_short(row, row.turn)})
    return found


def _waypoint(row: Row) -> dict[str, Cell]:
    """Return a waypoint."""
    one = row.waypoint
    gaps = [name for name in ("gap_before", "gap_after") if one.get(name)]
    return {
        "id": one["id"],
        "name": one.get("name") or "",
        "position": shown(one["lat_deg"], one["lon_deg"]),
        "lat_deg": one["lat_deg"],
        "lon_deg": one["lon_deg"],
        "hole": ", ".join(gaps).replace("_", " "),
    }


def _leg(row: Row, leg: Document) -> dict[str, Cell]:
    """Return a leg in short; what is near it stands among the clearances."""
    least = leg["least_clearance"] or {}
    keel = row.leg_keel or {}
    return {
        "from_id": leg["from_id"],
        "line": leg["line"],
        "course_deg": leg["course_deg"],
        **_member(leg, "courses", "magnetic_deg"),
        **_member(leg, "courses", "gyro_deg"),
        **_member(leg, "courses", "compass_deg"),
        "distance_nm": leg["distance_nm"],
        "track_distance_nm": leg["track_distance_nm"],
        "speed_kn": leg["speed_kn"],
        "xtd_port_nm": leg["xtd_port_nm"],
        "xtd_starboard_nm": leg["xtd_starboard_nm"],
        "least_clearance_m": least.get("clearance_m"),
        "least_clearance_from": least.get("hazard_name") or least.get("hazard_id") or "",
        "least_clearance_met": least.get("met"),
        "net_ukc_m": keel.get("net_ukc_m"),
        "ukc_met": keel.get("met"),
        **_member(leg, "monitoring", "stage"),
    }


def _member(piece: Document, member: str, name: str) -> dict[str, Cell]:
    """Return a value of a member that earlier engines did not know."""
    inner = piece.get(member)
    return {name: inner.get(name)} if isinstance(inner, dict) else {}


def _turn_short(row: Row, turn: Document) -> dict[str, Cell]:
    """Return a turn in short."""
    planned = turn["planned"]
    least = (turn["hull"] or {}).get("least") or turn["least_clearance"] or {}
    keel = row.turn_keel or {}
    return {
        "course_change_deg": turn["course_change_deg"],
        "radius_nm": turn["radius_nm"],
        "rate_of_turn_deg_per_min": turn["rate_of_turn_deg_per_min"],
        "wheel_over_before_nm": planned["distance_nm"],
        "wheel_over_method": planned["method"],
        "least_clearance_m": least.get("clearance_m"),
        "least_clearance_from": least.get("hazard_name") or least.get("hazard_id") or "",
        "least_clearance_met": least.get("met"),
        "net_ukc_m": keel.get("net_ukc_m"),
        "ukc_met": keel.get("met"),
    }


def _turns(result: Document) -> Rows:
    """Return every turn with all that is one value of it."""
    return [flattened(one, TURN_LEAVES) for one in result["turns"]]


def _methods(result: Document) -> Rows:
    """Return every method of every turn."""
    return [
        {"waypoint_id": turn["waypoint_id"], **flattened(row)}
        for turn in result["turns"]
        for row in turn["wheel_overs"]
    ]


def _clearances(result: Document) -> Rows:
    """Return every danger at its nearest piece of track, with the names of the pieces."""
    named = {("leg", n): f"leg to {one['to_id']}" for n, one in enumerate(result["legs"])}
    named |= {("turn", n): f"turn {one['waypoint_id']}" for n, one in enumerate(result["turns"])}
    return [
        {"at": named.get((one["piece"]["kind"], one["piece"]["index"]), ""), **flattened(one)}
        for one in result["clearances"]
    ]


def _keel(result: Document) -> Rows:
    """Return every sum of water under the keel and over the mast, its terms side by side."""
    sums = result.get("depths") or {}
    found: Rows = []
    for kind in ("keel", "mast"):
        for one in sums.get(kind, []):
            row: dict[str, Cell] = {"sum": kind, "of": one["piece"]["kind"]}
            row["waypoint_id"] = one["waypoint_id"]
            for term in one["terms"]:
                row[f"{term['term'].replace(' ', '_')}_m"] = term["value_m"]
            found.append({**row, **flattened(one, ("piece", "terms"))})
    return found
