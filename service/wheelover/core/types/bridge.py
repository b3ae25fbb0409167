"""What is planned for the bridge team beside the track, and what is found of it."""

from dataclasses import dataclass

from wheelover.core.types.monitoring import FoundPoint, LegAbort, LegFixing, PlacedPoint
from wheelover.core.types.watch import ActionPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """What the plan gives the bridge team beside the wishes of each leg."""

    points: tuple[ActionPoint, ...] = ()


NO_BRIDGE = Bridge()
"""Nothing is given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgeFound:
    """What is computed for the bridge team.

    ``fixings`` say how often each leg wants a fix, ``points`` where the action points stand,
    ``found`` what the cells chart near the track, ``aborts`` where the plan can still be given up.
    """

    fixings: tuple[LegFixing, ...] = ()
    points: tuple[PlacedPoint, ...] = ()
    found: tuple[FoundPoint, ...] = ()
    aborts: tuple[LegAbort, ...] = ()


NOTHING_FOUND = BridgeFound()
"""Nothing was computed."""
