"""Weather and water on the one hand, the company's margins on the other."""

from dataclasses import dataclass

from wheelover.core.errors import Fault, InvalidConditions


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Current and tide. ``set_deg`` is where the current goes to.

    Raises
    ------
    InvalidConditions
        When a set is given without its drift, or a drift without its set.
    """

    set_deg: float | None = None
    drift_kn: float | None = None
    tide_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse half a current."""
        if (self.set_deg is None) != (self.drift_kn is None):
            missing = "drift_kn" if self.drift_kn is None else "set_deg"
            message = f"a current needs both set_deg and drift_kn; {missing} is missing"
            fault = Fault(pointer=f"/conditions/{missing}", message=message)
            raise InvalidConditions(message, (fault,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Margins that the plan is held against; a company's or the navigator's own."""

    min_clearance_m: float | None = None
    min_ukc_m: float | None = None
