"""The nearest danger, the swept hull and the window in a few words each."""

import math
from typing import Any

Document = dict[str, Any]

_CABLES_PER_NM = 10.0
_BOUNDS = {
    "off_track": "off the new track",
    "danger": "danger",
    "corridor": "corridor",
    "leg_start": "start of the leg",
    "range": "range searched",
}


def _down_m(clearance_m: float, decimals: int = 0) -> str:
    """Return a clearance rounded down, to whole metres unless asked, and never below zero."""
    scale = 10**decimals
    return f"{math.floor(round(max(clearance_m, 0.0) * scale, 6)) / scale:.{decimals}f}"


def nearest(row: Any, decimals: int = 0) -> str | None:
    """Return the danger that matters most to a piece of the track, None without one.

    Examples
    --------
    >>> nearest({"hazard_id": "x", "hazard_name": "Gat Rock", "clearance_m": 420.9,
    ...          "limit_m": 500.0, "met": False})
    'Gat Rock, 420 m, limit 500 m, NOT MET'
    """
    if not isinstance(row, dict):
        return None
    name = row.get("hazard_name") or row.get("hazard_id")
    limit = "" if row.get("limit_m") is None else f", limit {row['limit_m']:.0f} m"
    state = ", NOT MET" if row.get("met") is False else ""
    if row.get("on_track"):
        state = ", ON THE TRACK"
    return f"{name}, {_down_m(row['clearance_m'], decimals)} m{limit}{state}"


def both_nearest(was: Any, now: Any) -> tuple[str | None, str | None]:
    """Return the dangers that matter most in both, finely enough to be told apart."""
    texts = nearest(was), nearest(now)
    for decimals in (1, 2, 4):
        if texts[0] != texts[1]:
            break
        texts = nearest(was, decimals), nearest(now, decimals)
    return texts


def hull_side(hull: Any) -> str | None:
    """Return the strip that the hull sweeps along a leg."""
    if not isinstance(hull, dict):
        return None
    if hull.get("half_width_m") is None:
        return hull.get("reason")
    clearance_m = hull.get("clearance_m")
    left = "" if clearance_m is None else f", {_down_m(clearance_m)} m clear"
    return f"{hull['half_width_m']:.0f} m to either side{left}"


def land_side(land: Any) -> str | None:
    """Return what the coastline says of a leg or turn."""
    if not isinstance(land, dict):
        return None
    on_land = land.get("on_land") or []
    if on_land:
        return f"on land for {sum(one['to_m'] - one['from_m'] for one in on_land):.0f} m"
    if land.get("nearest_m") is None:
        return land.get("reason") or f"none within {land['search_m']:.0f} m"
    return f"{_down_m(land['nearest_m'])} m off"


def canal_side(canal: Any) -> str | None:
    """Return who answers for a leg through a canal."""
    if not isinstance(canal, dict):
        return None
    bounds = "" if canal.get("from_nm") is None else f" {canal['from_nm']}-{canal['to_nm']} NM"
    return f"waived{bounds} by {canal['by']['name']}: {canal['reason'][:80]}"


def to_close_s(window: Any) -> float | None:
    """Return the seconds from the planned wheel-over to the closing of its window."""
    latest = window.get("latest") if isinstance(window, dict) else None
    return latest.get("later_s") if isinstance(latest, dict) else None


def window_said(window: Any) -> str | None:
    """Return between which wheel-overs every limit is held, in cables before the waypoint."""
    if not isinstance(window, dict):
        return None
    earliest, latest = window.get("earliest"), window.get("latest")
    if not isinstance(earliest, dict) or not isinstance(latest, dict):
        return "not open anywhere"
    opens, closes = (one["distance_nm"] * _CABLES_PER_NM for one in (earliest, latest))
    bounds = [_bound(one["bound"]) for one in (earliest, latest)]
    outside = "" if window.get("planned_inside") else ", planned wheel-over OUTSIDE"
    return f"{opens:.2f} to {closes:.2f} cab ({bounds[0]}; {bounds[1]}){outside}"


def _bound(bound: Document) -> str:
    """Return what ends a window."""
    if bound.get("kind") == "danger":
        return str(bound.get("hazard_name") or bound.get("hazard_id"))
    return _BOUNDS.get(bound.get("kind") or "", str(bound.get("kind")))
