"""Check a waypoint where it is dragged to, against the plan as it stands, which is kept."""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock
from typing import Any

from wheelover.core.errors import Fault, InvalidRoute
from wheelover.core.moved import Base, base_of, moved_waypoint
from wheelover.core.types.route import Position
from wheelover.render.moved import moved_document
from wheelover.usecases.plan_route import PlanInputs, inputs_sha256


@dataclass(slots=True)
class _Kept:
    """A plan as it stands, once one question has laid and checked it; others wait for that."""

    lock: Lock = field(default_factory=Lock)
    base: Base | None = None


_MOST = 2
"""One may hold a million dangers with all that was measured of them."""

_BASES: OrderedDict[str, _Kept] = OrderedDict()
_LOCK = Lock()


def check_moved(
    inputs: PlanInputs, waypoint_id: str, place: Position, before_laying: Callable[[], None]
) -> dict[str, Any]:
    """Return what the legs and turns about a waypoint clear where it is moved to.

    The plan as it stands is checked once and kept; each place after that costs what is near it.

    Parameters
    ----------
    inputs : PlanInputs
        What the plan is made from, with the waypoint where it was.
    waypoint_id : str
        The waypoint.
    place : Position
        Where it is now.
    before_laying : callable
        Called before the plan as it stands is laid and checked, where it is not kept; what it
        raises leaves that undone.

    Raises
    ------
    InvalidRoute
        When the route has no such waypoint.
    """
    ids = [one.id for one in inputs.route.waypoints]
    if waypoint_id not in ids:
        message = f"the route has no waypoint {waypoint_id!r}"
        raise InvalidRoute(message, (Fault(pointer="/waypoint_id", message=message),))
    base = _base(inputs, before_laying)
    moved = moved_waypoint(base, ids.index(waypoint_id), place)
    return {"waypoint_id": waypoint_id, **moved_document(moved, base.chart)}


def _base(inputs: PlanInputs, before_laying: Callable[[], None]) -> Base:
    """Return the plan as it stands, checked now or a moment ago."""
    sha256 = inputs_sha256(inputs.as_given, inputs.loaded)
    with _LOCK:
        kept = _BASES.setdefault(sha256, _Kept())
        _BASES.move_to_end(sha256)
        while len(_BASES) > _MOST:
            _BASES.popitem(last=False)
    with kept.lock:
        if kept.base is None:
            before_laying()
            kept.base = base_of(
                inputs.route, inputs.ship, inputs.chart, inputs.conditions, inputs.limits
            )
        return kept.base
