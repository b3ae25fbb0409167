"""The request to plan a route."""

import re
from datetime import datetime
from typing import Annotated, Any

from pydantic import AfterValidator, Field

from wheelover.api.schemas.hazards import HazardsIn, no_hazards
from wheelover.api.schemas.route import RouteIn
from wheelover.api.schemas.ship import ShipIn
from wheelover.api.schemas.strict import ClearanceLimit, Direction, Strict, Word
from wheelover.core.errors import Fault, NotFound
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.usecases.plan_route import PlanInputs

_UTC = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?Z", re.ASCII)


def _utc(text: str) -> str:
    """Refuse what is no RFC 3339 time in UTC."""
    if not _UTC.fullmatch(text):
        raise ValueError("a UTC time like 2026-11-25T14:02:00Z is needed")
    datetime.fromisoformat(text[:19])
    return text


class ConditionsIn(Strict):
    """Current and tide."""

    set_deg: Direction | None = None
    drift_kn: Annotated[float, Field(ge=0.0, le=30.0, description="Knots")] | None = None
    tide_m: Annotated[float, Field(ge=-20.0, le=20.0, description="Metres")] | None = None


class LimitsIn(Strict):
    """Margins the plan is held against."""

    min_clearance_m: ClearanceLimit | None = None
    min_ukc_m: Annotated[float, Field(ge=-100.0, le=1000.0, description="Metres")] | None = None


class PlanRequest(Strict):
    """Everything a plan is computed from."""

    route: RouteIn
    ship: ShipIn | None = None
    hazards: HazardsIn | None = None
    hazard_set_ids: Annotated[list[Word], Field(max_length=1000)] | None = None
    check_land: bool | None = None
    conditions: ConditionsIn | None = None
    limits: LimitsIn | None = None
    departure_utc: Annotated[str, AfterValidator(_utc)] | None = None
    demonstration: bool = False

    def to_core(self, as_given: dict[str, Any]) -> PlanInputs:
        """Return the inputs of the plan.

        Raises
        ------
        NotFound
            For a hazard set, of which none is stored by this version.
        InvalidInput
            For what no plan can be made from.
        """
        if self.hazard_set_ids:
            message = f"no hazard set {self.hazard_set_ids[0]!r} is stored"
            raise NotFound(message, (Fault(pointer="/hazard_set_ids/0", message=message),))
        return PlanInputs(
            route=self.route.to_core(),
            ship=None if self.ship is None else self.ship.to_core(),
            chart=no_hazards() if self.hazards is None else self.hazards.to_core(),
            conditions=Conditions(**(self.conditions or ConditionsIn()).model_dump()),
            limits=Limits(**(self.limits or LimitsIn()).model_dump()),
            as_given=as_given,
            demonstration=self.demonstration,
        )
