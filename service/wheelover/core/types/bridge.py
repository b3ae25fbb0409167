"""What is planned for the bridge team beside the track, and what is found of it."""

from dataclasses import dataclass

from wheelover.core.types.monitoring import LegFixing


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """What the plan gives the bridge team beside the wishes of each leg."""


NO_BRIDGE = Bridge()
"""Nothing is given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgeFound:
    """What is computed for the bridge team: how often each leg wants a fix."""

    fixings: tuple[LegFixing, ...] = ()


NOTHING_FOUND = BridgeFound()
"""Nothing was computed."""
