"""What a paper is made from, and what every part of it asks for."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from wheelover.render.exports.stamp import Document, Remarks, Stamp

Told = Callable[[str, int, int], None]
"""Is told what is being made, how many of it are done, and of how many."""


def nobody(_words: str, _done_count: int, _of_count: int) -> None:
    """Tell nobody."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """What a paper says beside the plan: when it was made, and her runs through the turns.

    ``runs`` holds by waypoint her run as JSON values (render/turn_card.py), or the reason why there
    is none. The time is an argument: the same arguments give the same bytes.
    """

    printed_utc: str | None = None
    runs: Mapping[str, Document | str] = field(default_factory=dict)
    told: Told = nobody


@dataclass(frozen=True, slots=True, kw_only=True)
class Matter:
    """A plan as it is printed: request, result, and which plan it is."""

    inputs: Document
    result: Document
    stamp: Stamp
    said: Remarks
    printing: Printing

    @property
    def waypoints(self) -> list[Document]:
        """Return the waypoints of the request."""
        found: list[Document] = self.inputs["route"]["waypoints"]
        return found

    @property
    def ship(self) -> Document:
        """Return the ship, empty where none is given."""
        found: Document = self.inputs.get("ship") or {}
        return found

    def rows(self, member: str) -> list[Document]:
        """Return a list of the result, empty where an earlier engine knew none of it."""
        found: list[Document] = self.result.get(member) or []
        return found

    def part(self, member: str) -> Document:
        """Return a member of the result that is an object, empty where there is none."""
        found: Document = self.result.get(member) or {}
        return found

    def name_of(self, waypoint_id: str) -> str:
        """Return a waypoint's id with its name."""
        for one in self.waypoints:
            if one["id"] == waypoint_id:
                return f"{waypoint_id} {one['name']}" if one.get("name") else waypoint_id
        return waypoint_id


def inside(value: Any, *members: str) -> Any:
    """Return a member of a member of a value, None where one of them is not there.

    Examples
    --------
    >>> inside({"a": {"b": 1}}, "a", "b"), inside({"a": None}, "a", "b")
    (1, None)
    """
    for member in members:
        if not isinstance(value, dict):
            return None
        value = value.get(member)
    return value
