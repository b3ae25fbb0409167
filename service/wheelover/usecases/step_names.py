"""What a step of a draft is called: said from what changed, so that undo can name it."""

from typing import Any

from wheelover.render.difference.words import WORDS, moved_said, number, word_and_unit
from wheelover.usecases.step_bridge import bridge_said
from wheelover.usecases.step_monitoring import monitoring_said

Document = dict[str, Any]

_LONGEST = 280
_MOST_NAMED = 3
_OF_SCHEDULE = ("eta_utc", "stay_min", "arrive_from_utc", "arrive_to_utc")
_OF_TURN = ("steering", "rudder_deg", "set_deg", "drift_kn", "cue_ids")


def step_name(before: Document, after: Document) -> str:
    """Return what changed between the inputs of a draft, in a navigator's words.

    Parameters
    ----------
    before, after : dict
        Plan requests.

    Examples
    --------
    >>> a = {"route": {"name": "x", "waypoints": [{"id": "A", "lat_deg": 0.0, "lon_deg": 0.0}]}}
    >>> b = {"route": {"name": "x", "waypoints": [{"id": "A", "lat_deg": 0.1, "lon_deg": 0.0}]}}
    >>> step_name(a, b)
    'Moved WPT 01 5.97 NM 000 T'
    """
    said = _selected(before, after) or _route(before["route"], after["route"])
    said = [*_amended(before, after), *said, *_rest(before, after)]
    if not said:
        return "Changed"
    named = "; ".join(said[:_MOST_NAMED])
    more = len(said) - _MOST_NAMED
    return f"{named}{f'; and {more} more' if more > 0 else ''}"[:_LONGEST]


def _route(before: Document, after: Document) -> list[str]:
    """Return what changed in the route."""
    said = []
    if not {one["id"] for one in before["waypoints"]} & {one["id"] for one in after["waypoints"]}:
        return [f"Route replaced by {after['name'][:60]!r}"]
    if before["name"] != after["name"]:
        said.append(f"Route named {after['name'][:60]!r}")
    old = {one["id"]: (index, one) for index, one in enumerate(before["waypoints"])}
    new = {one["id"]: (index, one) for index, one in enumerate(after["waypoints"])}
    said += [f"Inserted WPT {number(new[i][0])}" for i in new if i not in old]
    said += [f"Removed WPT {number(old[i][0])}" for i in old if i not in new]
    kept = [i for i in new if i in old]
    if kept != [i for i in old if i in new]:
        said.append("Order of the waypoints changed")
    for one in kept:
        said += _waypoint(old[one][1], new[one][1], number(new[one][0]))
    return [*said, *monitoring_said({one: old[one][1] for one in old}, new)]


def _selected(before: Document, after: Document) -> list[str]:
    """Return that an alternative was selected, where the route is what an alternative was."""
    if before["route"] == after["route"]:
        return []
    routes = [one["route"] for one in before.get("alternatives") or []]
    return [f"Selected {after['route']['name'][:60]!r}"] if after["route"] in routes else []


def _amended(before: Document, after: Document) -> list[str]:
    """Return that a plan was amended under way, and why."""
    if before.get("amendment") == after.get("amendment"):
        return []
    amendment = after.get("amendment")
    if amendment is None:
        return ["Amendment taken out"]
    by_pilot = " by the pilot's intentions" if amendment["kind"] == "pilot" else " under way"
    return [f"Amended{by_pilot}: {amendment['reason'][:120]}"]


def _alternatives(before: Document, after: Document) -> list[str]:
    """Return which alternatives were kept, taken away or changed; a swap is said as selected."""
    old = {one["id"]: one for one in before.get("alternatives") or []}
    new = {one["id"]: one for one in after.get("alternatives") or []}
    swapped = bool(_selected(before, after))
    kept = [one for i, one in new.items() if i not in old]
    gone = [one for i, one in old.items() if i not in new]
    if swapped:
        kept = [one for one in kept if one["route"] != before["route"]]
        gone = [one for one in gone if one["route"] != after["route"]]
    said = [f"Alternative kept: {_name(one)}" for one in kept]
    said += [f"Alternative taken away: {_name(one)}" for one in gone]
    for i in [i for i in new if i in old]:
        said += _alternative(old[i], new[i])
    return said


def _alternative(before: Document, after: Document) -> list[str]:
    """Return what changed of one alternative."""
    said = []
    if before["route"]["name"] != after["route"]["name"]:
        said.append(f"Alternative {_name(before)} named {_name(after)}")
    if before.get("remark") != after.get("remark"):
        said.append(f"Remark of alternative {_name(after)} changed")
    if before["route"]["waypoints"] != after["route"]["waypoints"]:
        said.append(f"Route of alternative {_name(after)} changed")
    return said


def _name(alternative: Document) -> str:
    """Return the name of an alternative, in quotes."""
    return repr(alternative["route"]["name"][:60])


def _waypoint(before: Document, after: Document, shown: str) -> list[str]:
    """Return what changed at one waypoint."""
    said = []
    if (before["lat_deg"], before["lon_deg"]) != (after["lat_deg"], after["lon_deg"]):
        said.append(f"Moved WPT {shown} {moved_said(before, after)[2]}")
    members = ("name", "turn_radius_nm", "wheel_over", "fixed", *_OF_SCHEDULE)
    said += _members(before, after, members, f"WPT {shown}")
    leg_before, leg_after = before.get("leg") or {}, after.get("leg") or {}
    said += _members(leg_before, leg_after, tuple(WORDS), f"Leg to WPT {shown}")
    if leg_before.get("canal") != leg_after.get("canal"):
        waived = "given" if leg_after.get("canal") else "taken away"
        said.append(f"Leg to WPT {shown} canal waiver {waived}")
    turn_before, turn_after = before.get("turn") or {}, after.get("turn") or {}
    said += _members(turn_before, turn_after, _OF_TURN, f"Turn at WPT {shown}")
    for mark in ("gap_before", "gap_after"):
        if bool(before.get(mark)) != bool(after.get(mark)):
            made = "Hole" if after.get(mark) else "Hole closed"
            said.append(f"{made} {mark.removeprefix('gap_')} WPT {shown}")
    return said


def _members(before: Document, after: Document, members: tuple[str, ...], where: str) -> list[str]:
    """Return what changed in some members."""
    said = []
    for member in members:
        old, new = before.get(member), after.get(member)
        if old != new:
            word, unit = WORDS[member]
            said.append(f"{where} {word}: {_value(old)} to {_value(new)} {unit}".rstrip())
    return said


def _value(value: Any) -> str:
    """Return a value in a sentence."""
    if value is None:
        return "none"
    if isinstance(value, dict):
        method = value.get("method")
        return str(method).replace("_", " ") if method else f"{value.get('distance_nm'):.10g} NM"
    if isinstance(value, list):
        return ", ".join(map(str, value))[:60] or "none"
    return f"{value:.10g}" if isinstance(value, float) else str(value)[:60]


_MEMBERS: tuple[tuple[tuple[str, ...], str], ...] = (
    (("hazards",), "Dangers changed"),
    (("marks",), "Own marks changed"),
    (("hazard_set_ids", "hazard_set_editions"), "Hazard sets changed"),
    (("all_charts", "chart_ids", "chart_editions"), "Charts changed"),
    (("limits",), "Limits changed"),
    (("conditions",), "Conditions changed"),
    (("draughts",), "Draughts along the passage changed"),
    (("zones",), "Zone descriptions changed"),
)
"""Members of which it is only said that they changed."""


def _rest(before: Document, after: Document) -> list[str]:
    """Return what changed beside the route."""
    said = []
    if _differ(before, after, "ship", "ship_id", "ship_edition"):
        said.append(_ship(before, after))
    said += [words for members, words in _MEMBERS if _differ(before, after, *members)]
    if _differ(before, after, "limit_set", "limit_set_id", "limit_set_edition"):
        said.append(_limit_set(before, after))
    said += _waivers(before.get("waivers") or [], after.get("waivers") or [])
    if _differ(before, after, "check_land"):
        said.append("Land check asked for" if after.get("check_land") else "Land check left out")
    if _differ(before, after, "departure_utc"):
        said.append(f"Departure {after.get('departure_utc') or 'taken out'}")
    if _differ(before, after, "voyage"):
        said.append("Voyage and ports changed" if after.get("voyage") else "Voyage taken out")
    said += [*_alternatives(before, after), *bridge_said(before, after)]
    return [*said, *_cases(before.get("cases") or [], after.get("cases") or [])]


def _limit_set(before: Document, after: Document) -> str:
    """Return what changed of the limit set."""
    if after.get("limit_set_id") and before.get("limit_set_id") == after["limit_set_id"]:
        return f"Limit set moved to edition {after.get('limit_set_edition')}"
    given = after.get("limit_set_id") or after.get("limit_set")
    if not given:
        return "Limit set taken out"
    had = before.get("limit_set_id") or before.get("limit_set")
    return "Limit set changed" if had else "Limit set chosen"


def _waivers(before: list[Document], after: list[Document]) -> list[str]:
    """Return which rules were waived, and which waivers were taken away."""
    said = [f"Waived {_waived(one)}" for one in after if one not in before]
    return said + [f"Waiver taken away: {_waived(one)}" for one in before if one not in after]


def _waived(waiver: Document) -> str:
    """Return which rule is waived where, and by whom."""
    subject = waiver.get("subject")
    where = "" if subject is None else f" at {subject['kind']} {subject['id'][:40]}"
    danger = f" for {waiver['danger_id'][:40]}" if waiver.get("danger_id") else ""
    return f"{waiver['rule'][:60]}{where}{danger} by {waiver['by']['name']}"


def limit_set_words(before: Document, after: Document) -> str:
    """Return which rules differ between two editions of a limit set, both values of each.

    Examples
    --------
    >>> limit_set_words({"open": {"min_ukc_m": 2.0}}, {"open": {"min_ukc_m": 3.0}})
    'open water, least under-keel clearance: 2 to 3 m'
    """
    said = []
    for water in ("open", "coastal", "confined"):
        old, new = before.get(water) or {}, after.get(water) or {}
        for member in dict.fromkeys([*old, *new]):
            if member == "min_clearance_by_class":
                continue
            said += _rule(f"{water} water", member, old.get(member), new.get(member))
        by_class = [one.get("min_clearance_by_class") or {} for one in (old, new)]
        for name in dict.fromkeys([*by_class[0], *by_class[1]]):
            where = f"{water} water, {name}"
            said += _rule(where, "min_clearance_m", by_class[0].get(name), by_class[1].get(name))
    return "; ".join(said)[:_LONGEST]


def _rule(where: str, member: str, old: Any, new: Any) -> list[str]:
    """Return what changed of one rule."""
    if old == new:
        return []
    word, unit = word_and_unit(member)
    return [f"{where}, {word}: {_value(old)} to {_value(new)} {unit}".rstrip()]


def _cases(before: list[Document], after: list[Document]) -> list[str]:
    """Return which cases were kept and which were taken away, by their names."""
    said = [f"Case kept: {one['name'][:60]!r}" for one in after if one not in before]
    return said + [f"Case taken away: {one['name'][:60]!r}" for one in before if one not in after]


def _differ(before: Document, after: Document, *members: str) -> bool:
    """Return whether any of some members is another."""
    return any(before.get(member) != after.get(member) for member in members)


def ship_words(before: Document, after: Document) -> str:
    """Return what differs between two editions of a ship, both values of each member.

    Examples
    --------
    >>> ship_words({"beam_m": 28.0}, {"beam_m": 29.0, "lpp_m": 180.0})
    'beam: 28 to 29 m; length between perpendiculars: none to 180 m'
    """
    said = []
    for member in dict.fromkeys([*before, *after]):
        old, new = before.get(member), after.get(member)
        if old == new:
            continue
        word, unit = word_and_unit(member)
        plain = not isinstance(old, (dict, list)) and not isinstance(new, (dict, list))
        values = f": {_value(old)} to {_value(new)} {unit}".rstrip() if plain else " changed"
        said.append(f"{word}{values}")
    return "; ".join(said)[:_LONGEST]


def _ship(before: Document, after: Document) -> str:
    """Return what changed of the ship, by its member where it is only one."""
    old, new = before.get("ship"), after.get("ship")
    if before.get("ship_id") and before.get("ship_id") == after.get("ship_id"):
        return f"Ship moved to edition {after.get('ship_edition')}"
    if not old and not new:
        return "Ship chosen" if after.get("ship_id") else "Ship taken out"
    if old and new:
        changed = [name for name in {**old, **new} if old.get(name) != new.get(name)]
        if len(changed) == 1 and changed[0] in WORDS:
            return _members(old, new, (changed[0],), "Ship")[0]
        if changed == ["response"]:
            return "Ship's response to the helm changed"
    return "Ship changed" if new or after.get("ship_id") else "Ship taken out"
