"""The wheel-over methods, side by side. Nobody picks a winner in code."""

from collections.abc import Callable

from wheelover.core.turns.geometric import geometric
from wheelover.core.turns.setting import TurnSetting
from wheelover.core.turns.table import advance_transfer
from wheelover.core.turns.thumb import rule_of_thumb
from wheelover.core.types.track import MethodSpread, NotApplicable, WheelOver
from wheelover.core.units import m_per_s_from_kn

WheelOverMethod = Callable[[TurnSetting], WheelOver | NotApplicable]


def simulated_later(_setting: TurnSetting) -> NotApplicable:
    """Return that this version does not simulate the manoeuvre."""
    return NotApplicable(
        method="simulated", reason="this version does not compute the simulated manoeuvre"
    )


METHODS: tuple[WheelOverMethod, ...] = (
    geometric,
    rule_of_thumb,
    advance_transfer,
    simulated_later,
)
"""Every method, in the order they are shown."""


def all_methods(setting: TurnSetting) -> tuple[WheelOver | NotApplicable, ...]:
    """Return one answer of every method for a turn, in the order of ``METHODS``."""
    return tuple(method(setting) for method in METHODS)


def spread_of(
    rows: tuple[WheelOver | NotApplicable, ...], approach_speed_kn: float | None
) -> MethodSpread | None:
    """Return how far apart the methods are, None where fewer than two give a wheel-over.

    Parameters
    ----------
    rows : tuple of WheelOver or NotApplicable
        The answers of all methods.
    approach_speed_kn : float or None
        Speed through the water on the inbound leg. In a current the time over the ground differs.
    """
    found = [row for row in rows if isinstance(row, WheelOver)]
    if len(found) < 2:
        return None
    earliest = max(found, key=lambda row: row.distance_m)
    latest = min(found, key=lambda row: row.distance_m)
    distance_m = earliest.distance_m - latest.distance_m
    return MethodSpread(
        earliest=earliest.method,
        latest=latest.method,
        distance_m=distance_m,
        time_s=None
        if approach_speed_kn is None
        else distance_m / m_per_s_from_kn(approach_speed_kn),
    )
