"""Words and figures of a difference: what members are called, and values as they are read out.

Figures are rounded as the bridge reads them, and more finely where both would read the same.
"""

import re
from functools import cache
from typing import Any

from wheelover.core.geo import geodesic
from wheelover.core.units import nm_from_m
from wheelover.formats.positions import shown

Document = dict[str, Any]

WORDS = {
    "turn_radius_nm": ("radius", "NM"),
    "speed_kn": ("speed", "kn"),
    "speed_over_ground_kn": ("speed over the ground", "kn"),
    "eta_utc": ("ETA", ""),
    "stay_min": ("stay", "min"),
    "fixed": ("fixed", ""),
    "arrive_from_utc": ("window of arrival from", ""),
    "arrive_to_utc": ("window of arrival to", ""),
    "xtd_port_nm": ("XTD to port", "NM"),
    "xtd_starboard_nm": ("XTD to starboard", "NM"),
    "min_clearance_m": ("least clearance", "m"),
    "line": ("line", ""),
    "set_deg": ("set of the current", "T"),
    "drift_kn": ("drift of the current", "kn"),
    "charted_depth_m": ("charted depth", "m"),
    "catzoc": ("zone of confidence", ""),
    "channel_width_m": ("width of the channel", "m"),
    "steering": ("steering", ""),
    "rudder_deg": ("planned rudder", "deg"),
    "cue_ids": ("cues of the wheel-over", ""),
    "index_mark_ids": ("index objects", ""),
    "clearing_mark_ids": ("clearing marks", ""),
    "water": ("kind of water", ""),
    "min_clearance_by_class": ("least clearance by class", ""),
    "name": ("name", ""),
    "wheel_over": ("planned wheel-over", ""),
    "distance_nm": ("distance", "NM"),
    "loa_m": ("length overall", "m"),
    "beam_m": ("beam", "m"),
}
"""What inputs are called, and their units: in the names of steps and in differences alike."""

_MORE_WORDS = {
    "lpp_m": ("length between perpendiculars", "m"),
    "draught_fore_m": ("draught forward", "m"),
    "draught_aft_m": ("draught aft", "m"),
    "planned_rudder_deg": ("planned rudder", "deg"),
    "min_turn_radius_nm": ("least turn radius", "NM"),
    "max_rate_of_turn_deg_per_min": ("largest rate of turn", "deg/min"),
    "draught_midships_m": ("draught amidships", "m"),
    "min_ukc_m": ("least under-keel clearance", "m"),
    "electrical_distance_m": ("electrical distance under cables", "m"),
    "wave_height_m": ("significant wave height", "m"),
    "height_datum_m": ("level of clearances under objects, above chart datum", "m"),
    "clearance_height_m": ("clearance under it", "m"),
    "net_ukc_m": ("under-keel clearance", "m"),
    "required_ukc_m": ("under-keel clearance required", "m"),
    "displacement_t": ("displacement", "t"),
    "tpc_t_per_cm": ("TPC", "t/cm"),
    "gm_m": ("GM", "m"),
    "kg_m": ("KG", "m"),
    "bg_m": ("BG", "m"),
    "eye_height_m": ("height of eye", "m"),
    "radar_height_m": ("height of the radar", "m"),
    "radar_range_scale_nm": ("range scale of the radar", "NM"),
    "visibility_nm": ("visibility", "NM"),
    "warning_points": ("warning points", ""),
    "nominal_range_nm": ("nominal range", "NM"),
    "water_density_kg_per_m3": ("density of the water", "kg/m3"),
    "draught_density_kg_per_m3": ("density of the water of the draughts", "kg/m3"),
    "min_ukc_draught_ratio": ("least under-keel clearance of the draught", ""),
    "min_xtd_nm": ("least cross-track limit", "NM"),
    "min_overhead_m": ("least overhead clearance", "m"),
    "safety_contour_m": ("safety contour", "m"),
    "safety_depth_m": ("safety depth", "m"),
    "helm_late_s": ("lateness of the helm", "s"),
    "min_to_close_s": ("least time to the closing of a window", "s"),
    "max_off_track_m": ("most off the new track", "m"),
    "wind_from_deg": ("direction of the wind", "T"),
    "wind_kn": ("wind", "kn"),
    "wind_force_bft": ("force of the wind", "Bft"),
    "tide_m": ("height of tide", "m"),
    "depth_m": ("depth", "m"),
    "departure_utc": ("departure", ""),
    "max_speed_kn": ("most speed", "kn"),
    "consumption": ("consumption", ""),
    "zones": ("zone descriptions", ""),
    "check_land": ("land check", ""),
    "all_charts": ("all charts that the route touches", ""),
    "chart_ids": ("charts named", ""),
    "chart_editions": ("editions of charts", ""),
    "producer_edition": ("edition of its producer", ""),
    "producer_update": ("update of its producer", ""),
    "course_deg": ("course", "T"),
    "arrival_course_deg": ("course at its end", "T"),
    "course_in_deg": ("inbound course", "T"),
    "course_out_deg": ("outbound course", "T"),
    "true_deg": ("true course", "T"),
    "magnetic_deg": ("magnetic course", "deg"),
    "gyro_deg": ("course by gyro", "deg"),
    "compass_deg": ("course by compass", "deg"),
    "variation_end_deg": ("variation at the end of the leg", "deg"),
    "uncertainty_deg": ("uncertainty of the variation", "deg"),
    "horizontal_nt": ("horizontal magnetic field", "nT"),
    "gyro_error_deg": ("gyro error", "deg"),
    "altitude_deg": ("height of the sun", "deg"),
    "daylight_needs": ("needs of daylight", ""),
    "before_nm": ("distance before the waypoint", "NM"),
    "track_nm": ("distance along the track", "NM"),
    "off_track_nm": ("distance off the track", "NM"),
    "off_track_side": ("side off the track", ""),
    "leg_to_id": ("leg to", ""),
    "leg_to_ids": ("legs", ""),
    "from_id": ("begins at", ""),
    "at_utc": ("time", ""),
    "at_s": ("time after departure", "s"),
    "notice_at_utc": ("time of the notice", ""),
    "notice_at_s": ("time of the notice after departure", "s"),
    "corrected_to_utc": ("corrected to", ""),
    "missing_kinds": ("kinds that are missing", ""),
    "findings_count": ("findings", ""),
    "least_clearance_m": ("least clearance", "m"),
    "lat_deg": ("latitude", "deg"),
    "lon_deg": ("longitude", "deg"),
}
_UNITS = (
    ("_deg_per_min", "deg/min"),
    ("_deg_per_s", "deg/s"),
    ("_m_per_s", "m/s"),
    ("_per_s", "1/s"),
    ("_lengths", "lengths"),
    ("_nm", "NM"),
    ("_kn", "kn"),
    ("_m2", "m2"),
    ("_s2", "s2"),
    ("_bft", "Bft"),
    ("_deg", "deg"),
    ("_rpm", "rpm"),
    ("_min", "min"),
    ("_days", "days"),
    ("_t_per_day", "t/day"),
    ("_h", "h"),
    ("_t", "t"),
    ("_kw", "kW"),
    ("_utc", ""),
    ("_min", "min"),
    ("_m", "m"),
    ("_s", "s"),
)
_DECIMALS = {
    "NM": 2,
    "cab": 2,
    "kn": 2,
    "m": 0,
    "deg": 1,
    "T": 0,
    "deg/min": 1,
    "s": 0,
    "lengths": 2,
    "m/s": 2,
}
_MOST_DECIMALS = 12
_LONGEST = 160
GRADES = {
    "must_resolve": "must resolve",
    "must_explain": "must explain",
    "note": "note",
    "not_checked": "not checked",
}


def number(index: int) -> str:
    """Return the number of a waypoint as it is shown.

    Examples
    --------
    >>> number(6)
    '07'
    """
    return f"{index + 1:02d}"


@cache
def word_and_unit(member: str) -> tuple[str, str]:
    """Return what a member is called and its unit; where no word is kept, its own name.

    Examples
    --------
    >>> word_and_unit("xtd_port_nm"), word_and_unit("helm_delay_s"), word_and_unit("zones")
    (('XTD to port', 'NM'), ('helm delay', 's'), ('zone descriptions', ''))
    """
    known = WORDS.get(member) or _MORE_WORDS.get(member)
    if known is not None:
        return known
    for ending, unit in _UNITS:
        if member.endswith(ending) and len(member) > len(ending):
            return member.removesuffix(ending).replace("_", " "), unit
    return member.replace("_", " "), ""


def is_number(value: Any) -> bool:
    """Return whether a JSON value is a number; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def is_place(value: Any) -> bool:
    """Return whether a JSON value is a position as the API writes it."""
    return isinstance(value, dict) and value.keys() == {"lat_deg", "lon_deg"}


def value_said(value: Any, unit: str = "", decimals: int | None = None) -> str:
    """Return one value as it is read out, with its unit.

    Examples
    --------
    >>> value_said(0.5, "NM"), value_said(None), value_said(359.9, "T"), value_said(True)
    ('0.50 NM', 'none', '000 T', 'yes')
    """
    if value is None or isinstance(value, bool):
        return {None: "none", True: "yes", False: "no"}[value]
    if is_number(value):
        return f"{_number_said(float(value), unit, decimals)} {unit}".rstrip()
    if is_place(value) and all(is_number(one) for one in value.values()):
        return shown(value["lat_deg"], value["lon_deg"])
    text = _name_said(value) if isinstance(value, dict | list) else str(value)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 3]}..."


def _name_said(value: Any) -> str:
    """Return something with members as its name, or else as how much of it there is."""
    if isinstance(value, list):
        if value and all(is_number(one) or isinstance(one, str) for one in value):
            return ", ".join(f"{one:.10g}" if is_number(one) else one for one in value)
        return f"{len(value)} {'row' if len(value) == 1 else 'rows'}"
    if value.get("method"):
        return str(value["method"]).replace("_", " ")
    if value.keys() == {"distance_nm"}:
        return value_said(value["distance_nm"], "NM")
    name = value.get("name") or value.get("id")
    if name is not None:
        return str(name)
    return ", ".join(f"{member} {value_said(one)}" for member, one in value.items()) or "empty"


def _number_said(value: float, unit: str, decimals: int | None) -> str:
    """Return a number with the decimals of its unit, or as many as are asked for."""
    if decimals is None:
        decimals = _DECIMALS.get(unit)
    if decimals is None:
        return f"{value:.10g}"
    text = f"{value:.{decimals}f}"
    if unit == "T":
        whole = 3 if decimals == 0 else 4 + decimals
        return f"{round(value, decimals) % 360.0:0{whole}.{decimals}f}"
    if unit in ("kn", "deg", "m", "s") and "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if re.fullmatch(r"-0(\.0+)?", text) and unit != "NM" else text


def both_said(was: Any, now: Any, unit: str = "") -> tuple[str, str]:
    """Return two values as they are read out, finely enough to be told apart.

    Examples
    --------
    >>> both_said(0.4, 0.5, "NM"), both_said(78.1, 78.3, "T")
    (('0.40 NM', '0.50 NM'), ('078.1 T', '078.3 T'))
    >>> both_said({"lat_deg": 1.0, "lon_deg": 2.0}, {"lat_deg": 1.0000001, "lon_deg": 2.0})
    ('1, 2', '1.0000001, 2')
    """
    texts = value_said(was, unit), value_said(now, unit)
    if texts[0] != texts[1] or was == now:
        return texts
    if is_number(was) and is_number(now):
        for decimals in range(_DECIMALS.get(unit, 0) + 1, _MOST_DECIMALS):
            texts = value_said(was, unit, decimals), value_said(now, unit, decimals)
            if texts[0] != texts[1]:
                return texts
        return f"{was!r} {unit}".rstrip(), f"{now!r} {unit}".rstrip()
    if is_place(was) and is_place(now):
        said = [", ".join(f"{one[axis]:.10g}" for axis in ("lat_deg", "lon_deg"))
                for one in (was, now)]  # fmt: skip
        return said[0], said[1]
    return _apart(was, now)


def _apart(was: Any, now: Any) -> tuple[str, str]:
    """Return two texts from where they differ."""
    one, other = str(was), str(now)
    at = next(
        (i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b),
        min(len(one), len(other)),
    )
    start = max(at - 20, 0)
    lead = "..." if start else ""
    one, other = (f"{lead}{text[start : start + _LONGEST]}" for text in (one, other))
    return (one, other) if one != other else (f"{one} ({type(was).__name__})", other)


def moved_said(before: Document, after: Document) -> tuple[float, float, str]:
    """Return how far and where to something moved: metres, degrees, and both in words.

    Parameters
    ----------
    before, after : dict
        Positions, with ``lat_deg`` and ``lon_deg``.
    """
    bearing, _, distance = geodesic.inverse(
        before["lat_deg"], before["lon_deg"], after["lat_deg"], after["lon_deg"]
    )
    distance_m, bearing_deg = float(distance[0]), float(bearing[0])
    distance_nm = nm_from_m(distance_m)
    far = f"{distance_nm:.2f} NM" if distance_nm >= 0.01 else f"{distance_m:.2f} m"
    return distance_m, bearing_deg, f"{far} {round(bearing_deg) % 360:03d} T"


def was_now(was: Any, now: Any, unit: str = "") -> str:
    """Return both values as a difference says them.

    Examples
    --------
    >>> was_now(12.0, 14.0, "kn"), was_now(None, 9.0, "kn")
    ('was 12 kn, now 14 kn', 'was none, now 9 kn')
    """
    old, new = both_said(was, now, unit)
    return f"was {old}, now {new}"


def given_said(value: Any, unit: str = "") -> str:
    """Return a value as somebody gave it: with all the decimals it has.

    Examples
    --------
    >>> given_said(11.25, "m"), given_said(0.5, "NM"), given_said(5.0, "T")
    ('11.25 m', '0.50 NM', '005 T')
    """
    if not is_number(value) or (unit == "T" and value == int(value)):
        return value_said(value, unit)
    text = f"{value:.10g}"
    if unit == "NM" and len(text.partition(".")[2]) < _DECIMALS["NM"] and "e" not in text:
        text = f"{value:.2f}"
    return f"{text} {unit}".rstrip()


def was_now_given(was: Any, now: Any, unit: str = "") -> str:
    """Return both values, which somebody gave, as a difference says them.

    Examples
    --------
    >>> was_now_given(None, 1.5, "m")
    'was none, now 1.5 m'
    """
    old, new = given_said(was, unit), given_said(now, unit)
    return was_now(was, now, unit) if old == new else f"was {old}, now {new}"


def counted(count: int, one: str, many: str | None = None) -> str:
    """Return a number of things in words.

    Examples
    --------
    >>> counted(1, "turn"), counted(3, "turn")
    ('1 turn', '3 turns')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"
