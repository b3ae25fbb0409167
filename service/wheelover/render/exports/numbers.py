"""The numbers that route exchange XML wants for its waypoints: whole, not negative, each once."""

import re

from wheelover.render.exports.pieces import Pieces
from wheelover.render.exports.stamp import Document

_NUMBER = re.compile(r"0|[1-9]\d{0,8}", re.ASCII)
_MOST_NUMBER = 2_000_000_000


def waypoint_numbers(inputs: Document, pieces: Pieces) -> list[int]:
    """Return a number for each waypoint.

    A waypoint keeps the number of the file it was read from, or its id where that is a number.
    The others count on from their place, never taking a number that is taken or that a kept
    schedule speaks of: a time meant for a waypoint that is gone must not pass to another.
    """
    waypoints = inputs["route"]["waypoints"]
    kept = [_own_number(one["id"], pieces) for one in waypoints]
    taken = {number for number in kept if number is not None} | _spoken_of(pieces)
    numbers: list[int] = []
    given: set[int] = set()
    for place, own in enumerate(kept, start=1):
        number = own
        if number is None or number in given:
            number = place if place not in taken else max(taken) + 1
        given.add(number)
        taken.add(number)
        numbers.append(number)
    return numbers


def _own_number(identity: str, pieces: Pieces) -> int | None:
    """Return the number a waypoint already has, None when it has none."""
    text = pieces.attribute("waypoint", "id", identity) or identity
    return int(text) if _NUMBER.fullmatch(text) and int(text) < _MOST_NUMBER else None


def _spoken_of(pieces: Pieces) -> set[int]:
    """Return the waypoint numbers that kept elements refer to."""
    found: set[int] = set()
    left = list(pieces.elements())
    while left:
        one = left.pop()
        text = one.attribute("waypointId")
        if text is not None and _NUMBER.fullmatch(text):
            found.add(int(text))
        left.extend(one.elements)
    return found
