"""A plan as separated text: the route in columns that are read back, then what was computed."""

import csv
import io
from collections.abc import Sequence
from typing import Any

from wheelover.formats.csv_table import COMPUTED, EXPORT_REMARKS, EXPORT_STATUS, guarded
from wheelover.formats.more_wishes import NAMES, written
from wheelover.formats.positions import shown
from wheelover.render.exports.rows import Row, by_class, plain, rows
from wheelover.render.exports.stamp import Document, Stamp, remarks
from wheelover.render.exports.steering_cells import steering_cells

ROUTE = (
    *("id", "name", "latitude", "longitude", "turn_radius_nm", "line", "speed_kn"),
    *("xtd_port_nm", "xtd_starboard_nm", "min_clearance_m", "leg_set_deg", "leg_drift_kn"),
    *("charted_depth_m", "catzoc", "channel_width_m"),
    *("leg_water", "leg_min_clearance_by_class"),
    *("turn_steering", "turn_rudder_deg", "turn_set_deg", "turn_drift_kn"),
    *("wheel_over_method", "wheel_over_distance_nm", *NAMES),
    *("gap_before", "gap_after", "route_name"),
)
COLUMNS = (*ROUTE, *COMPUTED, EXPORT_STATUS, EXPORT_REMARKS)

MOST_CELL = 32_000
"""Spreadsheets cut a cell's text at 32,767 signs, and say nothing."""

_BETWEEN = " | "
_BYTE_ORDER_MARK = "\ufeff"


def table(inputs: Document, result: Document, stamp: Stamp) -> tuple[bytes, tuple[str, ...]]:
    """Return a plan as a table in sailing order, and the warnings.

    Texts that a spreadsheet would take for a formula carry a guard; numbers stay numbers. The
    state of the plan stands in every row; cautions and what was not checked begin in the first and
    take as many rows as their length needs.
    """
    said = remarks(inputs, result, stamp)
    by_subject, remark_cells = _findings(result), dict(enumerate(_cells(said.lines())))
    out = io.StringIO(newline="")
    # Spreadsheets take a file without the mark for one in the machine's old encoding.
    out.write(_BYTE_ORDER_MARK)
    # Every text is quoted: a spreadsheet with another separator would part it otherwise.
    writer = csv.DictWriter(
        out, COLUMNS, lineterminator="\r\n", restval="", quoting=csv.QUOTE_NONNUMERIC
    )
    writer.writeheader()
    for row in rows(inputs, result):
        cells = {
            **_route(row),
            **_leg(row),
            **_turn(row),
            **steering_cells(row, result),
            "plan_findings": _one_cell(by_subject.get(row.waypoint["id"], [])),
            EXPORT_STATUS: _text(said.status),
            EXPORT_REMARKS: _text(remark_cells.get(row.index)),
        }
        if row.index == 0:
            cells["route_name"] = _text(inputs["route"]["name"])
        writer.writerow({key: "" if value is None else value for key, value in cells.items()})
    text = out.getvalue()
    warnings = []
    if "\x00" in text:
        warnings.append("signs of value zero in names cannot stand in CSV and were replaced")
    lost = len(remark_cells) - len(inputs["route"]["waypoints"])
    if lost > 0:
        warnings.append(f"{lost} cells of remarks are left out: the table has too few rows")
    return text.replace("\x00", "\ufffd").encode("utf-8"), tuple(warnings)


def _text(text: str | None) -> str:
    """Return a text as it may stand in a cell."""
    return guarded(text or "")


def _cells(texts: Sequence[str]) -> list[str]:
    """Return texts packed into as few cells as a spreadsheet takes whole, none cut."""
    cells: list[str] = []
    for text in texts:
        if cells and len(cells[-1]) + len(_BETWEEN) + len(text) <= MOST_CELL:
            cells[-1] += _BETWEEN + text
        else:
            cells.append(text[:MOST_CELL])
    return cells


def _one_cell(texts: Sequence[str]) -> str:
    """Return texts as one cell, and how many of them it had no room for."""
    cells = _cells(texts)
    if len(cells) < 2:
        return _text("".join(cells))
    left = len(texts) - cells[0].count(_BETWEEN) - 1
    return _text(f"{cells[0]}{_BETWEEN}and {left} more: see the plan, or another format")


def _route(row: Row) -> dict[str, Any]:
    """Return the cells that are read back."""
    return {
        "id": _text(row.waypoint["id"]),
        "name": _text(row.given("name")),
        "latitude": plain(row.waypoint["lat_deg"]),
        "longitude": plain(row.waypoint["lon_deg"]),
        "turn_radius_nm": plain(row.given("turn_radius_nm")),
        "line": row.wish("line"),
        "speed_kn": plain(row.wish("speed_kn")),
        "xtd_port_nm": plain(row.wish("xtd_port_nm")),
        "xtd_starboard_nm": plain(row.wish("xtd_starboard_nm")),
        "min_clearance_m": plain(row.wish("min_clearance_m")),
        "leg_set_deg": plain(row.wish("set_deg")),
        "leg_drift_kn": plain(row.wish("drift_kn")),
        "charted_depth_m": plain(row.wish("charted_depth_m")),
        "catzoc": row.wish("catzoc"),
        "channel_width_m": plain(row.wish("channel_width_m")),
        "leg_water": row.wish("water"),
        "leg_min_clearance_by_class": by_class(row.wish("min_clearance_by_class")),
        "turn_steering": row.in_turn("steering"),
        "turn_rudder_deg": plain(row.in_turn("rudder_deg")),
        "turn_set_deg": plain(row.in_turn("set_deg")),
        "turn_drift_kn": plain(row.in_turn("drift_kn")),
        "wheel_over_method": row.chosen("method"),
        "wheel_over_distance_nm": plain(row.chosen("distance_nm")),
        **{name: _text(text) for name, text in written(row.waypoint).items()},
        "gap_before": "yes" if row.given("gap_before") else None,
        "gap_after": "yes" if row.given("gap_after") else None,
    }


def _leg(row: Row) -> dict[str, Any]:
    """Return the computed cells of the leg that leads to a waypoint."""
    leg = row.leg
    if leg is None:
        return {}
    return {
        "plan_course_deg": plain(leg["course_deg"]),
        "plan_arrival_course_deg": plain(leg["arrival_course_deg"]),
        "plan_leg_distance_nm": plain(leg["distance_nm"]),
        "plan_speed_kn": plain(leg["speed_kn"]),
        **_clearance("plan_leg", leg["least_clearance"]),
        **_keel("plan_leg", row.leg_keel),
    }


def _turn(row: Row) -> dict[str, Any]:
    """Return the computed cells of the turn at a waypoint."""
    turn = row.turn
    if turn is None:
        return {}
    place, line = turn["planned"]["position"], turn["wheel_over_line"]
    return {
        "plan_course_change_deg": plain(turn["course_change_deg"]),
        "plan_radius_nm": plain(turn["radius_nm"]),
        "plan_rate_of_turn_deg_per_min": plain(turn["rate_of_turn_deg_per_min"]),
        "plan_wheel_over_method": turn["planned"]["method"],
        "plan_wheel_over_distance_nm": plain(turn["planned"]["distance_nm"]),
        "plan_wheel_over_lat_deg": plain(place and place["lat_deg"]),
        "plan_wheel_over_lon_deg": plain(place and place["lon_deg"]),
        "plan_wheel_over_position": place and shown(place["lat_deg"], place["lon_deg"]),
        "plan_reach_m": plain(turn["reach_m"]),
        "plan_reach_source": turn["reach_source"],
        "plan_wheel_over_line_offset_nm": plain(line and line["offset_nm"]),
        "plan_turn_fits": "yes" if turn["fits"] else "NO",
        **_clearance("plan_turn", turn["least_clearance"]),
        **_keel("plan_turn", row.turn_keel),
    }


def _clearance(start: str, least: Document | None) -> dict[str, Any]:
    """Return the cells of the least clearance of a leg or turn, empty with no danger near."""
    if least is None:
        return {}
    met = {True: "yes", False: "NO", None: "not judged"}[least["met"]]
    return {
        f"{start}_clearance_m": plain(least["clearance_m"]),
        f"{start}_clearance_of": _text(least["hazard_name"] or least["hazard_id"]),
        f"{start}_clearance_limit_m": plain(least["limit_m"]),
        f"{start}_clearance_met": "no limit" if least["limit_m"] is None else met,
    }


def _keel(start: str, keel: Document | None) -> dict[str, Any]:
    """Return the cells of the water under the keel of a leg or turn, empty where none is known."""
    if keel is None:
        return {}
    met = {True: "yes", False: "NO", None: "not judged"}[keel["met"]]
    cells = {
        f"{start}_ukc_m": plain(keel["net_ukc_m"]),
        f"{start}_ukc_required_m": plain(keel["required_ukc_m"]),
        f"{start}_ukc_met": met,
    }
    if start == "plan_leg":
        cells["plan_leg_tide_needed_m"] = plain(keel["tide_needed_m"])
        cells["plan_leg_limiting_speed_kn"] = plain(keel["limiting_speed_kn"])
    return cells


def _findings(result: Document) -> dict[str, list[str]]:
    """Return the findings by the waypoint they are about; a leg's stand where it leads to."""
    ends = {index: leg["to_id"] for index, leg in enumerate(result["legs"])}
    turned = {index: turn["waypoint_id"] for index, turn in enumerate(result["turns"])}
    found: dict[str, list[str]] = {}
    for row in result["findings"]:
        subject = row["subject"]
        index = subject.get("index")
        places = {"leg": ends, "turn": turned}.get(subject["kind"], {})
        identity = places.get(index)
        if identity is not None:
            found.setdefault(identity, []).append(f"{row['grade']}: {row['message']}")
    return found
