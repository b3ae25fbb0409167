"""The inputs of a plan that starts where the ship is: what is carried there and what is left."""

from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from typing import Any

from wheelover.core.depth.draughts import change_in_force
from wheelover.core.geo import rhumb
from wheelover.core.types.ship import DraughtChange
from wheelover.core.units import NM_M
from wheelover.core.utc import seconds_from_utc

Document = dict[str, Any]

_READ_ON_LEG = {
    "charted_depth_m": "charted depth",
    "catzoc": "zone of confidence",
    "channel_width_m": "width of the channel",
    "canal": "canal",
}
"""What was read or granted for a leg as it lay, and for none that starts elsewhere."""


@dataclass(slots=True)
class UnderWay:
    """Inputs that start at a position.

    ``carried`` says what counts from there on instead of from a waypoint left behind, ``left`` what
    belonged to those and is dropped. Both are words for whoever amends.
    """

    inputs: Document
    start: Document
    ids: list[str]
    at: int
    carried: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)

    @property
    def start_id(self) -> str:
        """Return the id of the position."""
        return str(self.start["id"])

    @property
    def next_id(self) -> str:
        """Return the waypoint that she sails to."""
        return self.ids[self.at]

    def behind(self, waypoint_id: str | None) -> bool:
        """Return whether a waypoint is left behind."""
        return waypoint_id in self.ids[: self.at]

    def carry(self, words: str, from_id: str | None) -> None:
        """Note that something counts from the position on."""
        self.carried.append(f"{words} from {from_id} on, now from {self.start_id} on")


def under_way(
    inputs: Document,
    next_waypoint_id: str,
    lat_deg: float,
    lon_deg: float,
    at_utc: str | None,
) -> UnderWay:
    """Return the inputs of a plan from a position to a waypoint and on from there.

    Parameters
    ----------
    inputs : dict
        A plan request, which has that waypoint.
    next_waypoint_id : str
        Where she sails from the position.
    lat_deg, lon_deg : float
        The position.
    at_utc : str or None
        When she is there: the departure of what is left of the passage. None where the plan has no
        times.
    """
    route = inputs["route"]
    ids = [one["id"] for one in route["waypoints"]]
    start = {
        "id": _new_id(ids),
        "name": "Amended from here",
        "lat_deg": lat_deg,
        "lon_deg": lon_deg,
    }
    made = UnderWay(inputs=dict(inputs), start=start, ids=ids, at=ids.index(next_waypoint_id))
    if made.at:
        named = ", ".join(ids[: made.at])
        made.left.append(f"waypoint{'s' if made.at > 1 else ''} {named}")
    if at_utc is not None:
        made.inputs["departure_utc"] = at_utc
    for change in (_route, _along, _conditions, _places, _sources):
        change(made)
    return made


def _new_id(ids: list[str]) -> str:
    """Return an id for the position that no waypoint of the route has."""
    number = 1
    while f"AMEND-{number}" in ids:
        number += 1
    return f"AMEND-{number}"


def _put(made: UnderWay, member: str, rows: list[Document]) -> None:
    """Put a list in its place, none where nothing is left of it."""
    if rows:
        made.inputs[member] = rows
    else:
        made.inputs.pop(member, None)


def _kept(
    made: UnderWay, member: str, gone: Callable[[Document], bool], words: Callable[[Document], str]
) -> None:
    """Drop those of a list that belong to waypoints left behind."""
    rows = made.inputs.get(member)
    if rows:
        made.left += [words(one) for one in rows if gone(one)]
        _put(made, member, [one for one in rows if not gone(one)])


def _route(made: UnderWay) -> None:
    """Let the route start at the position: what was read for the leg there is not read for this."""
    route = made.inputs["route"]
    ahead = [dict(one) for one in route["waypoints"][made.at :]]
    first = ahead[0]
    first.pop("gap_before", None)
    if first.get("leg"):
        leg = dict(first["leg"])
        read = [words for member, words in _READ_ON_LEG.items() if leg.get(member) is not None]
        first["leg"] = {name: value for name, value in leg.items() if name not in _READ_ON_LEG}
        if not first["leg"]:
            del first["leg"]
        made.left += [f"{one} of the leg to {made.next_id}, as it lay before" for one in read]
    _drop_past(made, ahead)
    changed = {**route, "waypoints": [made.start, *ahead]}
    pieces = [one for one in route.get("carried") or () if made.behind(one.get("waypoint_id"))]
    if pieces:
        changed["carried"] = [one for one in route["carried"] if one not in pieces]
    made.inputs["route"] = changed


def _drop_past(made: UnderWay, ahead: list[Document]) -> None:
    """Drop ETAs that are past at the position: no speed makes them."""
    departure_utc = made.inputs.get("departure_utc")
    if departure_utc is None:
        return
    for one in ahead:
        eta_utc = one.get("eta_utc")
        if eta_utc and seconds_from_utc(eta_utc) <= seconds_from_utc(departure_utc):
            made.left.append(f"ETA {eta_utc} of {one['id']}, which is past")
            del one["eta_utc"]


def _along(made: UnderWay) -> None:
    """Carry what counts from a waypoint on: her draughts and the zone description."""
    place = {one: index for index, one in enumerate(made.ids)}
    for member in ("draughts", "zones"):
        rows = made.inputs.get(member)
        if not rows:
            continue
        behind = sorted(
            (one for one in rows if made.behind(one["from_id"])),
            key=lambda one: place[one["from_id"]],
        )
        ahead = [one for one in rows if not made.behind(one["from_id"])]
        in_force = _draughts(made, behind) if member == "draughts" else _zone(made, behind)
        _put(made, member, [*in_force, *ahead])


def _draughts(made: UnderWay, behind: list[Document]) -> list[Document]:
    """Return the change of draughts that is in force at the position."""
    water = (made.inputs.get("conditions") or {}).get("water_density_kg_per_m3")
    found = change_in_force([DraughtChange(**one) for one in behind], made.start_id, water)
    if found is None:
        return []
    made.carry("draughts", " and ".join(one["from_id"] for one in behind))
    return [{name: value for name, value in asdict(found).items() if value is not None}]


def _zone(made: UnderWay, behind: list[Document]) -> list[Document]:
    """Return the zone description that is in force at the position."""
    if not behind:
        return []
    made.left += [f"zone description from {one['from_id']} on" for one in behind[:-1]]
    made.carry("zone description", behind[-1]["from_id"])
    return [{**behind[-1], "from_id": made.start_id}]


def _conditions(made: UnderWay) -> None:
    """Carry tables of tides and streams that count on the leg she is on; drop those before it."""
    conditions = made.inputs.get("conditions")
    if not conditions:
        return
    changed = dict(conditions)
    for member, word in (("tides", "tide at"), ("streams", "stream at")):
        rows = []
        for one in conditions.get(member) or ():
            if made.behind(one.get("to_id")):
                made.left.append(f"{word} {one['station']}, to {one['to_id']}")
            elif made.behind(one.get("from_id")):
                made.carry(f"{word} {one['station']}", one["from_id"])
                rows.append({**one, "from_id": made.start_id})
            else:
                rows.append(one)
        if conditions.get(member):
            changed[member] = rows
    made.inputs["conditions"] = {name: value for name, value in changed.items() if value != []}


def _places(made: UnderWay) -> None:
    """Drop what stands at a waypoint or on a leg that is left behind."""
    first = made.inputs["route"]["waypoints"][1]
    _, distance_m = rhumb.inverse(
        made.start["lat_deg"], made.start["lon_deg"], first["lat_deg"], first["lon_deg"]
    )
    to_next_nm = float(distance_m[0]) / NM_M

    def passed(one: Document) -> bool:
        on_next = one.get("leg_to_id") == made.next_id
        return on_next and (one.get("before_nm") or 0.0) > to_next_nm

    _kept(
        made,
        "daylight_needs",
        lambda one: made.behind(one["waypoint_id"]),
        lambda one: f"daylight at {one['waypoint_id']}",
    )
    _kept(
        made,
        "cases",
        lambda one: made.behind(one["waypoint_id"]),
        lambda one: f"case {one['name']!r} of the turn at {one['waypoint_id']}",
    )
    _kept(
        made,
        "points",
        lambda one: made.behind(one.get("leg_to_id")) or passed(one),
        lambda one: f"point {one['id']} on the leg to {one['leg_to_id']}",
    )
    _kept(
        made,
        "contingencies",
        lambda one: made.behind(one["from_id"]),
        lambda one: f"contingency {one['id']} of the leg to {one['from_id']}",
    )
    _kept(made, "waivers", lambda one: _waived_behind(made, one), _waived)


def _waived_behind(made: UnderWay, waiver: Document) -> bool:
    """Return whether a waiver is of a leg or turn behind, or of the next, which differ now."""
    subject = waiver.get("subject")
    return subject is not None and (subject["id"] == made.next_id or made.behind(subject["id"]))


def _waived(waiver: Document) -> str:
    """Return a waiver in words."""
    subject = waiver["subject"]
    where = "leg to" if subject["kind"] == "leg" else "turn at"
    return f"waiver of {waiver['rule']} on the {where} {subject['id']}"


def _sources(made: UnderWay) -> None:
    """Name in sources only legs that are left; one for legs behind alone is none of this plan."""
    rows = []
    for one in made.inputs.get("sources") or ():
        legs = one.get("leg_to_ids") or []
        left = [leg for leg in legs if not made.behind(leg)]
        if legs and not left:
            made.left.append(f"source {one['id']} for legs behind")
        else:
            rows.append({**one, "leg_to_ids": left} if legs else one)
    if "sources" in made.inputs:
        _put(made, "sources", rows)
