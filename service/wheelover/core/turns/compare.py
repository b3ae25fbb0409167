"""The wheel-over methods, side by side. Nobody picks a winner in code."""

from collections.abc import Callable

from wheelover.core.turns.geometric import geometric
from wheelover.core.turns.setting import TurnSetting
from wheelover.core.types.route import Method
from wheelover.core.types.track import NotApplicable, WheelOver

WheelOverMethod = Callable[[TurnSetting], WheelOver | NotApplicable]


def _not_in_this_version(method: Method, what: str) -> WheelOverMethod:
    """Return a method that says that this version does not compute it."""

    def method_without_code(_setting: TurnSetting) -> NotApplicable:
        return NotApplicable(method=method, reason=f"this version does not compute {what}")

    return method_without_code


METHODS: tuple[WheelOverMethod, ...] = (
    geometric,
    _not_in_this_version("rule_of_thumb", "the speed over radius rule"),
    _not_in_this_version("advance_transfer", "wheel-overs from the ship's turning tables"),
    _not_in_this_version("simulated", "the simulated manoeuvre"),
)
"""Every method, in the order they are shown."""


def all_methods(setting: TurnSetting) -> tuple[WheelOver | NotApplicable, ...]:
    """Return one answer of every method for a turn, in the order of ``METHODS``."""
    return tuple(method(setting) for method in METHODS)
