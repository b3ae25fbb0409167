"""A plan by its waypoints: for each the leg that leads there and the turn made there."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from wheelover.core.errors import Conflict, Fault
from wheelover.formats.positions import shown
from wheelover.formats.xml_rows import MOST_WAYPOINTS
from wheelover.render.exports.stamp import Document, few

MOST_READ = MOST_WAYPOINTS

_DECIMALS = 17


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One waypoint, the planned leg that leads to it and the turn made at it, if any.

    ``leg_keel`` and ``turn_keel`` are their sums of water under the keel, None where none is known.
    """

    index: int
    waypoint: Document
    leg: Document | None
    turn: Document | None
    leg_keel: Document | None = None
    turn_keel: Document | None = None

    def given(self, member: str) -> Any:
        """Return what the request gives at the waypoint, None when it gives nothing."""
        return self.waypoint.get(member)

    def wish(self, member: str) -> Any:
        """Return what the request asks of the leg, None when it asks nothing."""
        return (self.waypoint.get("leg") or {}).get(member)

    def in_turn(self, member: str) -> Any:
        """Return what the request asks of the turn, None when it asks nothing."""
        return (self.waypoint.get("turn") or {}).get(member)

    def chosen(self, member: str) -> Any:
        """Return what the request says of the planned wheel-over, None when it says nothing."""
        return (self.waypoint.get("wheel_over") or {}).get(member)


def rows(inputs: Document, result: Document) -> Iterator[Row]:
    """Yield a plan's waypoints in sailing order."""
    legs = {leg["to_id"]: leg for leg in result["legs"]}
    turns = {turn["waypoint_id"]: turn for turn in result["turns"]}
    # Revisions frozen earlier hold no sums.
    sums = (result.get("depths") or {}).get("keel", [])
    keels = {(one["piece"]["kind"], one["waypoint_id"]): one for one in sums}
    for index, waypoint in enumerate(inputs["route"]["waypoints"]):
        identity = waypoint["id"]
        yield Row(
            index=index,
            waypoint=waypoint,
            leg=legs.get(identity),
            turn=turns.get(identity),
            leg_keel=keels.get(("leg", identity)),
            turn_keel=keels.get(("turn", identity)),
        )


def by_class(margins: dict[str, float] | None) -> str | None:
    """Return least clearances by class of danger as route files hold them.

    Examples
    --------
    >>> by_class({"wreck": 926.0, "aid": 200.0})
    'wreck=926 aid=200'
    """
    if not margins:
        return None
    return " ".join(f"{name}={plain(value_m)}" for name, value_m in margins.items())


def plain(value: float | None, digits: int = _DECIMALS) -> str | None:
    """Return a number as digits with a decimal point, never with an exponent.

    Examples
    --------
    >>> plain(-12.5), plain(1e-05), plain(-0.0), plain(0.123456789, 4)
    ('-12.5', '0.00001', '0', '0.1235')
    """
    if value is None:
        return None
    # Rounded as the reader rounds, so that both mean the same number.
    text = format(Decimal(repr(round(float(value), digits))), "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def refuse_holes(inputs: Document, format_name: str) -> None:
    """Raise when a route has a hole that a format cannot hold.

    Raises
    ------
    Conflict
        Naming every hole: a system that reads the file would draw a leg across it.
    """
    waypoints = inputs["route"]["waypoints"]
    holes, faults = [], []
    for index, waypoint in enumerate(waypoints):
        for member in ("gap_before", "gap_after"):
            if waypoint.get(member):
                side = "before" if member == "gap_before" else "after"
                holes.append(f"{side} {waypoint['id']}")
                message = f"a hole {side} waypoint {waypoint['id']!r}"
                faults.append(Fault(pointer=f"/route/waypoints/{index}/{member}", message=message))
    if holes:
        raise Conflict(
            f"The route has holes ({few(holes)}) and {format_name} cannot hold one: whoever reads "
            "the file would draw a leg across it, over what was not understood. Mend the route, "
            "or export as GeoJSON or CSV, which keep holes.",
            tuple(faults),
        )


def eta_of(row: Row, result: Document) -> str | None:
    """Return when she is at a waypoint by the plan's schedule, None where that is not known."""
    schedule = result.get("schedule") or {}
    identity = row.waypoint["id"]
    found = (one["eta_utc"] for one in schedule.get("rows") or [] if one["waypoint_id"] == identity)
    return next(found, None)


def together(*texts: str) -> str:
    """Return texts as one, those that say nothing left out."""
    return " ".join(text for text in texts if text)


def leg_words(row: Row) -> str:
    """Return the leg to a waypoint in a navigator's words."""
    leg = row.leg
    if leg is None:
        return ""
    if leg["course_deg"] is None:
        return f"Leg to {leg['to_id']} has no length."
    kind = "Rhumb line" if leg["line"] == "rhumb" else "Geodesic, course at its start"
    words = [f"{kind} {leg['course_deg']:05.1f} T, {leg['distance_nm']:.2f} NM."]
    if leg["speed_kn"] is not None:
        words.append(f"Planned speed {leg['speed_kn']:g} kn through the water.")
    if leg.get("current_source") is not None:  # revisions frozen earlier say nothing of it
        current = _current_words(leg["set_deg"], leg["drift_kn"], leg["current_source"])
        words.append(f"Current on the leg {current}.")
    words.append(clearance_words(leg["least_clearance"]))
    words += _keel_words(row.leg_keel)
    return " ".join(words)


def _keel_words(keel: Document | None) -> list[str]:
    """Return the water under the keel of a leg or turn in words, nothing where none is known."""
    if keel is None:
        return []
    if keel["net_ukc_m"] is None:
        return [f"UKC at rest {_metres(keel['static_ukc_m'])}; under way not known."]
    words = f"UKC {_metres(keel['net_ukc_m'])}"
    if keel["required_ukc_m"] is None:
        return [f"{words}; none is required."]
    met = {True: "met", False: "NOT MET", None: "not judged"}[keel["met"]]
    tide = keel["tide_needed_m"]
    needed = "" if tide is None else f" Tide needed {_metres(tide)}."
    speed = keel["limiting_speed_kn"]
    most = "" if speed is None else f" Limiting speed {speed:.1f} kn."
    return [f"{words}; required {_metres(keel['required_ukc_m'])}, {met}.{needed}{most}"]


def _metres(value: float | None) -> str:
    """Return metres to the centimetre."""
    return "not known" if value is None else f"{value:.2f} m"


_GIVEN_BY = {
    "turn": "given for this turn",
    "leg": "given for the leg",
    "stream": "of a table of streams, at the time planned",
    "plan": "of the plan",
}
_STEERED = {"rudder": "with the rudder", "rate": "by rate of turn", "radius": "by radius"}


def _current_words(set_deg: float, drift_kn: float, source: str) -> str:
    """Return a current in words, and what gives it."""
    return f"sets {round(set_deg) % 360:03d} T, {round(drift_kn, 2):g} kn, {_GIVEN_BY[source]}"


def _asked_words(row: Row) -> list[str]:
    """Return how a turn is to be steered, where the request says it, and the current in it."""
    words = []
    if row.in_turn("steering") is not None:
        words.append(f"To be steered {_STEERED[row.in_turn('steering')]}.")
    if row.in_turn("rudder_deg") is not None:
        words.append(f"Rudder planned {row.in_turn('rudder_deg'):g} deg.")
    current = None if row.turn is None else row.turn.get("current")
    if current is not None:
        said = _current_words(current["set_deg"], current["drift_kn"], current["source"])
        words.append(f"Current in the turn {said}.")
    return words


def clearance_words(least: Document | None) -> str:
    """Return the least clearance of a piece of track in words."""
    if least is None:
        return "No danger was measured near it, which is not to say that there is none."
    name = least["hazard_name"] or least["hazard_id"]
    words = f"Least measured clearance {least['clearance_m']:.0f} m, from {name}"
    if least["limit_m"] is None:
        return f"{words}; no limit is given."
    met = {True: "met", False: "NOT MET", None: "not judged"}[least["met"]]
    return f"{words}; limit {least['limit_m']:.0f} m, {met}."


def turn_words(row: Row) -> str:
    """Return the turn at a waypoint and its wheel-over in a navigator's words."""
    turn = row.turn
    if turn is None:
        return ""
    planned, place = turn["planned"], turn["planned"]["position"]
    words = []
    if place is None:
        reason = turn["reason"] or "the method chosen gives none"
        words.append(f"NO WHEEL-OVER for {turn['waypoint_id']}: {reason}.")
    else:
        at = shown(place["lat_deg"], place["lon_deg"])
        words.append(
            f"WHEEL-OVER {planned['distance_nm']:.3f} NM before {turn['waypoint_id']} at {at} "
            f"({planned['method']})."
        )
    if turn["course_change_deg"] is not None:
        words.append(
            f"Turn {abs(turn['course_change_deg']):.1f} deg to {turn['side']}, "
            f"{turn['course_in_deg']:05.1f} to {turn['course_out_deg']:05.1f} T."
        )
    if turn["radius_nm"] is not None:
        words.append(f"Radius {turn['radius_nm']:.2f} NM.")
    if turn["rate_of_turn_deg_per_min"] is not None:
        words.append(f"Rate {abs(turn['rate_of_turn_deg_per_min']):.1f} deg/min.")
    if turn["reach_m"] is not None:
        source = "assumed" if turn["reach_source"] == "default" else "the ship's"
        words.append(f"Reach {turn['reach_m']:.0f} m, {source}.")
    words += _asked_words(row)
    words += _helm_words(turn)
    words += _keel_words(row.turn_keel)
    line = turn["wheel_over_line"]
    if line is not None:
        words.append(
            f"Wheel-over line {abs(line['offset_nm']):.3f} NM to {line['offset_side']} of the "
            "new course."
        )
    if not turn["fits"]:
        words.append("THE TURN DOES NOT FIT.")
    return " ".join(words)


def _helm_words(turn: Document) -> list[str]:
    """Return the helm orders of a turn planned by simulation, else where she would end."""
    run = next(one for one in turn["wheel_overs"] if one["method"] == "simulated")
    off_m = turn["planned"]["off_track_m"]
    if run["manoeuvre"] is None or off_m is None:
        return []
    if turn["planned"]["method"] != "simulated":
        if round(abs(off_m)) == 0:
            return []
        inside = (off_m > 0.0) == (turn["course_change_deg"] > 0.0)
        side = "inside" if inside else "outside"
        return [f"As simulated this leaves her {abs(off_m):.0f} m {side} the new track."]
    orders = [_order_words(one) for one in run["manoeuvre"]["orders"]]
    told = f"{', '.join(orders)}, as simulated; the helmsman checks her as she answers."
    return [told[0].upper() + told[1:]]


def _order_words(order: Document) -> str:
    """Return one order with the heading at which it is given."""
    words = order["order"].replace("_", "-")
    if order["rate_deg_per_min"] is not None:
        rate = order["rate_deg_per_min"]
        words = f"rate of turn {_side(rate)} {abs(rate):.1f} deg/min"
    elif order["radius_nm"] is not None:
        words = f"radius {order['radius_nm']:.2f} NM"
    elif order["order"] == "steady":
        words = "steady ordered"
    elif order["rudder_deg"]:
        words = f"{words} {_side(order['rudder_deg'])} {abs(order['rudder_deg']):.0f}"
    return f"{words} at heading {order['heading_deg']:05.1f}"


def _side(signed: float) -> str:
    """Return to which side a signed number counts."""
    return "starboard" if signed > 0.0 else "port"
