"""The workbook as a whole: its sheets in order."""

from collections.abc import Iterator

from wheelover.formats.positions import shown
from wheelover.render.exports.rows import Row, rows
from wheelover.render.exports.stamp import Document, Stamp, remarks
from wheelover.render.workbook.book import Book
from wheelover.render.workbook.flat import Cell, flattened

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
    book.table("index", list(_index(result)), none="no index, clearing or leading lines are chosen")
    book.table("schedule", _schedule(result), none="no schedule: no time of departure is given")
    book.table("findings", [flattened(one) for one in result["findings"]], none="none was found")
    book.table("basis", [flattened(one) for one in result["basis"]])
    book.table("cues", _cues(result), none="no cue was looked for")
    book.table("monitoring", _monitoring(result), none="nothing is planned for the bridge team")
    for name, member in EXTRA.items():
        found = result.get(member)
        if found:
            book.table(name, _listed(found))
    return book.close(), ()


EXTRA = {
    "marks": "marks",
    "points": "points",
    "contingencies": "contingencies",
    "sources": "sources",
    "checklists": "checklists",
    "rules": "rules",
}
"""Sheets of what a plan may hold beside, by member; without any they do not come."""


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


_TURN_LEAVES = ("wheel_overs", "near", "cues", "index_lines", "land")


def _turns(result: Document) -> Rows:
    """Return every turn with all that is one value of it."""
    return [flattened(one, _TURN_LEAVES) for one in result["turns"]]


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


LINES = ("index_lines", "clearing_lines", "transits")


def _index(result: Document) -> Iterator[dict[str, Cell]]:
    """Yield index lines, clearing lines and transits of legs and turns."""
    for kind, name in (("legs", "to_id"), ("turns", "waypoint_id")):
        for piece in result[kind]:
            for member in LINES:
                for what, one in _lines(member, piece.get(member)):
                    yield {
                        "of": f"{kind[:-1]} {piece[name]}",
                        "what": what,
                        **flattened(one),
                    }


def _lines(member: str, value: object) -> Iterator[tuple[str, Document]]:
    """Yield the lines of a member with what they are called: of clearing lines every kind."""
    word = member.replace("_", " ").removesuffix("s")
    if member != "clearing_lines" or not isinstance(value, dict):
        yield from ((word, one) for one in _objects(value))
        return
    for kind in ("bearings", "ranges", "transits"):
        name = f"clearing {kind.removesuffix('s')}"
        yield from ((name, one) for one in _objects(value.get(kind)))


def _objects(value: object) -> list[Document]:
    """Return the objects of a member: those of a list, or of the first list in an object."""
    if isinstance(value, list):
        return [one for one in value if isinstance(one, dict)]
    if isinstance(value, dict):
        inner = next((one for one in value.values() if isinstance(one, list)), None)
        return [value] if inner is None else _objects(inner)
    return []


def _schedule(result: Document) -> Rows:
    """Return the schedule: waypoints and wheel-overs with their times, and what else has rows."""
    schedule = result.get("schedule")
    if not isinstance(schedule, dict):
        return []
    found: Rows = []
    for member, value in schedule.items():
        word = member.replace("_", " ").removesuffix("s")
        if isinstance(value, list):
            found += [{"what": word, **flattened(one)} for one in _objects(value)]
        elif isinstance(value, dict):
            found += [{"what": word, **flattened(one)} for one in (_objects(value) or [value])]
    whole = {"what": "whole", **flattened(schedule)}
    return [whole, *found]


def _cues(result: Document) -> Rows:
    """Return every ranked cue of every turn, and which were chosen."""
    found: Rows = []
    for turn in result["turns"]:
        cues = turn.get("cues")
        for number, one in enumerate(cues["rows"] if isinstance(cues, dict) else ()):
            chosen = [place for place in ("first", "second") if cues[place] == number]
            row: dict[str, Cell] = {"waypoint_id": turn["waypoint_id"]}
            found.append({**row, "chosen": ", ".join(chosen), **flattened(one)})
    return found


def _monitoring(result: Document) -> Rows:
    """Return what is planned for the bridge team on every leg."""
    return [
        {"to_id": leg["to_id"], **flattened(leg["monitoring"])}
        for leg in result["legs"]
        if isinstance(leg.get("monitoring"), dict)
    ]


def _listed(found: object) -> Rows:
    """Return a member as rows, whether it is a list or objects by name."""
    if isinstance(found, dict) and isinstance(found.get("rows"), list):
        found = found["rows"]
    if not isinstance(found, dict):
        return [flattened(one) for one in _objects(found)]
    rows_found: Rows = []
    for name, value in found.items():
        whole = [value] if isinstance(value, dict) else []
        rows_found += [{"what": name, **flattened(one)} for one in _objects(value) or whole]
    return rows_found
