"""The schedule of a plan in route exchange XML, beside the schedules of other systems.

What was given stands in ``manual``, what was computed in ``calculated``. Speeds are over the
ground, as the format has them.
"""

from typing import Any

from wheelover.formats.exchange_schedule import OWN_NAME, sum_of
from wheelover.formats.own_extension import MANUFACTURER, SCHEDULE
from wheelover.formats.xml_text import make
from wheelover.formats.xml_tree import Element
from wheelover.render.exports.pieces import Pieces
from wheelover.render.exports.rows import plain
from wheelover.render.exports.stamp import Document

_ELEMENT = {"1.0": "sheduleElement"}
"""The spelling of version 1.0; later versions have the letter that is missing in it."""


def element_name(version: str) -> str:
    """Return how a version spells the element of a schedule."""
    return _ELEMENT.get(version, "scheduleElement")


def own_schedule(
    uri: str,
    version: str,
    inputs: Document,
    result: Document,
    numbers: dict[str, int],
    pieces: Pieces,
) -> list[Element]:
    """Return our schedule, none where nothing is given and nothing computed.

    Parameters
    ----------
    uri, version : str
        Namespace and version of the file.
    inputs, result : dict
        The plan.
    numbers : dict
        The number of each waypoint in the file, by its id.
    pieces : Pieces
        What the file held that the route was read from.
    """
    name = element_name(version)
    parts = []
    for kind, rows in (
        ("manual", _manual(inputs, numbers)),
        ("calculated", _calculated(result, numbers)),
    ):
        elements = [make((uri, name), one) for one in rows]
        if elements:
            parts.append(make((uri, kind), {}, *elements))
    if not parts:
        return []
    attributes: dict[str, str | None] = {"id": str(_free_id(pieces)), "name": OWN_NAME}
    bare = make((uri, "schedule"), attributes, *parts)
    mark = make(SCHEDULE, {"sum": sum_of(bare)})
    own = make(
        (uri, "extension"),
        {"manufacturer": MANUFACTURER, "name": "schedule", "version": "1"},
        mark,
    )
    return [make((uri, "schedule"), attributes, *parts, make((uri, "extensions"), {}, own))]


def _free_id(pieces: Pieces) -> int:
    """Return a number that no kept schedule has."""
    taken = {
        schedule.attribute("id")
        for one in pieces.elements()
        if one.local == "schedules"
        for schedule in one.elements
    }
    return next(number for number in range(1, 100_000) if str(number) not in taken)


def _manual(inputs: Document, numbers: dict[str, int]) -> list[dict[str, str | None]]:
    """Return what is given of the times of each waypoint, where anything is."""
    rows = []
    waypoints = inputs["route"]["waypoints"]
    for place, one in enumerate(waypoints):
        leg = one.get("leg") or {}
        departs = inputs.get("departure_utc") if place == 0 else None
        given: dict[str, str | None] = {
            "etd": departs,
            "eta": one.get("eta_utc"),
            "stay": _minutes(one.get("stay_min")),
            "speed": plain(leg.get("speed_over_ground_kn")),
        }
        if any(value is not None for value in given.values()):
            rows.append({"waypointId": str(numbers[one["id"]]), **given})
    return rows


def _minutes(minutes: float | None) -> str | None:
    """Return minutes as a duration (ISO 8601).

    Examples
    --------
    >>> _minutes(90.0), _minutes(0.5), _minutes(None)
    ('PT90M', 'PT30S', None)
    """
    if minutes is None:
        return None
    if float(minutes).is_integer():
        return f"PT{int(minutes)}M"
    return f"PT{plain(minutes * 60.0, 3)}S"


def _calculated(result: Document, numbers: dict[str, int]) -> list[dict[str, str | None]]:
    """Return what the plan computed of the times of each waypoint."""
    schedule = result.get("schedule") or {}
    legs = {one["to_id"]: one for one in schedule.get("legs") or []}
    found = []
    for row in schedule.get("rows") or []:
        leg: dict[str, Any] = legs.get(row["waypoint_id"], {})
        stay_s = row.get("stay_s")
        said: dict[str, str | None] = {
            "eta": row.get("eta_utc"),
            "etd": row.get("etd_utc"),
            "stay": f"PT{plain(stay_s)}S" if stay_s else None,
            "speed": plain(leg.get("speed_over_ground_kn")),
            "currentSpeed": plain(leg.get("drift_kn")),
            "currentDirection": plain(leg.get("set_deg")),
        }
        if any(value is not None for value in said.values()):
            found.append({"waypointId": str(numbers[row["waypoint_id"]]), **said})
    return found
