"""Helm orders asked for and answered."""

from typing import Annotated, Literal

from pydantic import BaseModel, Field, model_validator

from wheelover.api.schemas.ship import Length, ResponseIn, Rudder
from wheelover.api.schemas.strict import Direction, Knots, Strict
from wheelover.core.manoeuvre.model import ShipModel, ship_model
from wheelover.core.types.manoeuvre import Current, HelmOrder
from wheelover.core.units import m_per_s_from_kn

RudderRate = Annotated[float, Field(gt=0.0, le=1000.0, description="Degrees per second")]
Delay = Annotated[float, Field(ge=0.0, le=600.0, description="Seconds")]
Moment = Annotated[float, Field(ge=0.0, le=36_000.0, description="Seconds from the start")]
Drift = Annotated[float, Field(ge=0.0, le=30.0, description="Knots")]


class _Helm(Strict):
    """The ship, her rudder and the current, as both requests give them."""

    response: ResponseIn
    loa_m: Length
    speed_kn: Knots
    rudder_rate_deg_per_s: RudderRate | None = None
    helm_delay_s: Delay = 0.0
    set_deg: Direction | None = None
    drift_kn: Drift | None = None

    @model_validator(mode="after")
    def _whole_current(self) -> "_Helm":
        """Refuse half a current."""
        if (self.set_deg is None) != (self.drift_kn is None):
            raise ValueError("set_deg and drift_kn belong together")
        return self

    def model_of_ship(self, most_rudder_deg: float) -> ShipModel:
        """Return the ship's model at her approach speed, for rudder angles up to one."""
        return ship_model(self.response.to_core(), self.loa_m, self.speed_kn, most_rudder_deg)

    def current(self) -> Current:
        """Return the current."""
        return Current(
            set_deg=self.set_deg or 0.0, drift_m_per_s=m_per_s_from_kn(self.drift_kn or 0.0)
        )


class HelmOrderIn(Strict):
    """A helm order: at a time, or when the heading has changed by so much from the start."""

    rudder_deg: Annotated[
        float, Field(ge=-90.0, le=90.0, description="Degrees, starboard positive")
    ]
    at_s: Moment | None = None
    at_heading_change_deg: (
        Annotated[float, Field(ge=-3600.0, le=3600.0, description="Degrees, starboard positive")]
        | None
    ) = None

    @model_validator(mode="after")
    def _one_moment(self) -> "HelmOrderIn":
        """Refuse an order without a moment, or with two."""
        if (self.at_s is None) == (self.at_heading_change_deg is None):
            raise ValueError("give one of at_s and at_heading_change_deg")
        return self


class ManoeuvreIn(_Helm):
    """Helm orders to be run, from steady on a heading with the rudder amidships."""

    heading_deg: Direction
    orders: Annotated[list[HelmOrderIn], Field(max_length=1000)]
    until_s: Annotated[float, Field(gt=0.0, le=36_000.0, description="Seconds")]
    step_s: Annotated[float, Field(ge=0.001, le=36_000.0, description="Seconds")] = 1.0

    def most_rudder_deg(self) -> float:
        """Return the largest rudder angle ordered."""
        return max((abs(one.rudder_deg) for one in self.orders), default=0.0)

    def helm_orders(self) -> tuple[HelmOrder, ...]:
        """Return the orders as the core takes them."""
        return tuple(HelmOrder(**one.model_dump()) for one in self.orders)


class HelmOrdersIn(_Helm):
    """A turn for which the three orders are wanted; courses are over the ground."""

    course_in_deg: Direction
    course_out_deg: Direction
    rudder_deg: Rudder
    counter_rudder_deg: Rudder | None = None

    def most_rudder_deg(self) -> float:
        """Return the larger of the rudder angles."""
        return max(self.rudder_deg, self.counter_rudder_deg or 0.0)


class TrackRow(BaseModel):
    """Where she is, over the ground, and what she does; speed is through the water."""

    t_s: float
    east_m: float
    north_m: float
    heading_deg: float
    rate_deg_per_min: float
    speed_kn: float
    rudder_deg: float


class ManoeuvreAnswer(BaseModel):
    """The way of the ship, a row for each time."""

    track: list[TrackRow]


class GivenOrderOut(BaseModel):
    """An order and where she is when it is given, from where the helm was ordered."""

    order: Literal["helm", "counter_helm", "midships"]
    at_s: float
    rudder_deg: float
    heading_deg: float
    east_m: float
    north_m: float


class HelmOrdersAnswer(BaseModel):
    """The three orders, and where the line she is steady on crosses the inbound course."""

    heading_in_deg: float
    heading_out_deg: float
    orders: list[GivenOrderOut]
    steady_at_s: float
    distance_to_new_course_m: float
    rate_max_deg_per_min: float
