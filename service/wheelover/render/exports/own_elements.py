"""Our own elements in XML route files: what the standards have no room for."""

from wheelover.formats.more_wishes import written
from wheelover.formats.own_extension import PLAN, WAYPOINT, WHEEL_OVER, words_mark
from wheelover.formats.xml_text import cleaned, make
from wheelover.formats.xml_tree import Element
from wheelover.render.exports.rows import Row, by_class, plain
from wheelover.render.exports.stamp import Document, Remarks, Stamp
from wheelover.render.exports.steering import leg_elements, plan_elements, turn_elements

_URI = PLAN[0]


def exact(name: str, text: str | None, native: str | None) -> dict[str, str | None]:
    """Return attributes that keep a text which its own place in the file does not give back."""
    if not text or text == native:
        return {}
    if cleaned(text) == text:
        return {f"exact_{name}": text}
    return {f"exact_{name}_json": _json_text(text)}


def _json_text(text: str) -> str:
    """Return a text as a JSON string of ASCII signs."""
    return '"' + "".join(_json_sign(sign) for sign in text) + '"'


def _json_sign(sign: str) -> str:
    """Return one sign of a JSON string, escaped unless it is plain (RFC 8259, 7)."""
    if " " <= sign <= "~" and sign not in '"\\':
        return sign
    pair = sign.encode("utf-16-be")
    return "".join(f"\\u{pair[at]:02x}{pair[at + 1]:02x}" for at in range(0, len(pair), 2))


def unless_same(value: float | None, digits: int) -> str | None:
    """Return a number where so many decimals do not hold it."""
    return None if value is None or round(value, digits) == value else plain(value)


def _marks(words: dict[str, str]) -> str | None:
    """Return the marks of our words beside an element of ours, by their places."""
    return " ".join(words_mark(name, cleaned(text)) for name, text in words.items()) or None


def waypoint_inputs(row: Row) -> dict[str, str | None]:
    """Return what the plan was asked at a waypoint and no standard of routes can hold."""
    return {
        "line": row.wish("line"),
        "speed_kn": plain(row.wish("speed_kn")),
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
        **written(row.waypoint),
    }


def waypoint_element(
    row: Row, attributes: dict[str, str | None], words: dict[str, str], result: Document
) -> Element:
    """Return our element at a waypoint: inputs, names of our words beside it, leg and turn."""
    turn = [] if row.turn is None else [wheel_over_element(row.turn)]
    steered = (*leg_elements(row, result), *turn_elements(row))
    return make(WAYPOINT, {**attributes, "words": _marks(words)}, *turn, *steered)


def wheel_over_element(turn: Document) -> Element:
    """Return the planned wheel-over of a turn, and what every method says."""
    planned, line = turn["planned"], turn["wheel_over_line"]
    place = planned["position"] or {}
    # Why a method was not applicable is among the findings, once, and not with every turn.
    methods = [
        make(
            (_URI, "method"),
            {
                "name": one["method"],
                "status": one["status"],
                "distance_nm": plain(one["distance_nm"]),
            },
        )
        for one in turn["wheel_overs"]
    ]
    return make(
        WHEEL_OVER,
        {
            "waypoint": turn["waypoint_id"],
            "method": planned["method"],
            "chosen_by": planned["source"],
            "distance_nm": plain(planned["distance_nm"]),
            "lat_deg": plain(place.get("lat_deg")),
            "lon_deg": plain(place.get("lon_deg")),
            "course_in_deg": plain(turn["course_in_deg"]),
            "course_out_deg": plain(turn["course_out_deg"]),
            "course_change_deg": plain(turn["course_change_deg"]),
            "radius_nm": plain(turn["radius_nm"]),
            "rate_of_turn_deg_per_min": plain(turn["rate_of_turn_deg_per_min"]),
            "reach_m": plain(turn["reach_m"]),
            "reach_source": turn["reach_source"],
            "line_course_deg": plain(line and line["course_deg"]),
            "line_offset_nm": plain(line and line["offset_nm"]),
            "fits": "yes" if turn["fits"] else "no",
            "reason": turn["reason"],
        },
        *methods,
    )


def plan_element(
    result: Document,
    stamp: Stamp,
    said: Remarks,
    name: dict[str, str | None],
    words: dict[str, str],
) -> Element:
    """Return our element for the whole plan: which it is, its cautions, what was not checked."""
    parts = [
        make((_URI, local), {}, text)
        for local, texts in (
            ("caution", said.cautions),
            ("remark", said.exchange),
            ("not_checked", said.not_checked),
        )
        for text in texts
    ]
    findings = [
        make((_URI, "finding"), {"grade": row["grade"], "code": row["code"]}, row["message"])
        for row in result["findings"]
        if row["grade"] != "not_checked"
    ]
    return make(
        PLAN,
        {
            **name,
            "status": said.status,
            "plan_id": stamp.plan_id,
            "revision": None if stamp.revision is None else str(stamp.revision),
            "sha256": stamp.sha256,
            "created_utc": stamp.created_utc,
            "demonstration": "yes" if stamp.demonstration else None,
            "engine_version": result["engine_version"],
            "inputs_sha256": result["inputs_sha256"],
            "call_sign": (result.get("pilot_card") or {}).get("call_sign"),
            "not_checked_count": str(len(said.not_checked)),
            "words": _marks(words),
        },
        *parts,
        *findings,
        *plan_elements(result),
    )
