"""What things are called in a sentence, and where they lie."""

from typing import Any

from wheelover.render.difference.change import About, Where
from wheelover.render.difference.pairs import Numbering
from wheelover.render.difference.words import number

Document = dict[str, Any]


def waypoint_name(about: About) -> str:
    """Return a waypoint or the turn at it by its number now, or the one it had.

    Examples
    --------
    >>> waypoint_name(About(kind="waypoint", id="B", index_was=6, index_now=7))
    'WPT 08'
    """
    return f"WPT {number(_index(about))}"


def turn_name(waypoint: About) -> str:
    """Return the turn at a waypoint."""
    return f"Turn {number(_index(waypoint))}"


def leg_name(waypoint: About) -> str:
    """Return the leg that leads to a waypoint.

    Examples
    --------
    >>> leg_name(About(kind="waypoint", id="B", index_was=6, index_now=6))
    'Leg 06-07'
    """
    index = _index(waypoint)
    return f"Leg {number(index - 1)}-{number(index)}"


def _index(about: About) -> int:
    """Return the number of a thing now, or the one it had."""
    if about.index_now is not None:
        return about.index_now
    return about.index_was or 0


def subject_name(numbering: Numbering, kind: str, one: str | None) -> str:
    """Return the subject of a finding or a check as it is called in a sentence."""
    if one is None:
        return "plan"
    if kind in ("waypoint", "leg", "turn"):
        about = numbering.about("waypoint", one)
        name = {"waypoint": waypoint_name, "leg": leg_name, "turn": turn_name}[kind](about)
        return name if kind == "waypoint" else name[0].lower() + name[1:]
    return f"{kind} {one}"


class Places:
    """Where the waypoints and dangers of both documents lie, by id."""

    def __init__(self, was: Document, now: Document) -> None:
        self.waypoints = (_waypoints(was), _waypoints(now))

    def of(self, one: str | None) -> Where:
        """Return where a waypoint was and is; None where it is not."""
        if one is None:
            return None, None
        return self.waypoints[0].get(one), self.waypoints[1].get(one)


def _waypoints(document: Document) -> dict[str, Document]:
    """Return the positions of the waypoints of a document."""
    return {
        one["id"]: {"lat_deg": one["lat_deg"], "lon_deg": one["lon_deg"]}
        for one in document["inputs"]["route"]["waypoints"]
    }
