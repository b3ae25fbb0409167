"""A turn tried with other values than those planned, and such a trial kept as a case."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.ship import Rudder
from wheelover.api.schemas.strict import (
    Direction,
    Knots,
    Label,
    Miles,
    Radius,
    Strict,
    WindSpeed,
    Word,
)
from wheelover.core.types.turn_card import Case, Tried


class TriedIn(Strict):
    """What a turn is tried with instead of what is planned; what is left out stays as planned."""

    speed_kn: Knots | None = None
    set_deg: Direction | None = None
    drift_kn: Annotated[float, Field(ge=0.0, le=30.0, description="Knots")] | None = None
    depth_m: Annotated[float, Field(gt=0.0, le=12_000.0, description="Metres")] | None = None
    wind_force_bft: Annotated[float, Field(ge=0.0, le=12.0)] | None = None
    rudder_deg: Rudder | None = None
    steering: Literal["rudder", "rate", "radius"] | None = None
    helm_delay_s: Annotated[float, Field(ge=0.0, le=600.0, description="Seconds")] | None = None
    turn_radius_nm: Radius | None = None
    loading: Label | None = None
    distance_nm: Miles | None = None
    wind_from_deg: Direction | None = None
    wind_kn: WindSpeed | None = None

    @model_validator(mode="after")
    def _whole_current(self) -> "TriedIn":
        """Refuse half a current, and half a wind."""
        if (self.set_deg is None) != (self.drift_kn is None):
            raise ValueError("set_deg and drift_kn belong together")
        if (self.wind_from_deg is None) != (self.wind_kn is None):
            raise ValueError("wind_from_deg and wind_kn belong together")
        return self

    def to_core(self) -> Tried:
        """Return it as the core takes it."""
        return Tried(**self.model_dump())


class CaseIn(Strict):
    """A turn tried otherwise, kept under a name to stand beside the plan."""

    name: Label
    waypoint_id: Word
    tried: TriedIn

    def to_core(self) -> Case:
        """Return it as the core takes it."""
        return Case(name=self.name, waypoint_id=self.waypoint_id, tried=self.tried.to_core())
