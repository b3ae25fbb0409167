"""The route of a request."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.strict import (
    ClearanceLimit,
    Knots,
    Label,
    Latitude,
    Longitude,
    Miles,
    Radius,
    Strict,
    Word,
)
from wheelover.core.types.route import LegWishes, Route, Waypoint, WheelOverChoice

MethodName = Literal["geometric", "rule_of_thumb", "advance_transfer", "simulated"]


class LegIn(Strict):
    """The leg that leads to a waypoint."""

    line: Literal["rhumb", "geodesic"] | None = None
    speed_kn: Knots | None = None
    xtd_port_nm: Miles | None = None
    xtd_starboard_nm: Miles | None = None
    min_clearance_m: ClearanceLimit | None = None

    def to_core(self) -> LegWishes:
        """Return it as the core takes it."""
        return LegWishes(**self.model_dump())


class WheelOverIn(Strict):
    """The planned wheel-over: a method, or a distance before the waypoint."""

    method: MethodName | None = None
    distance_nm: Miles | None = None

    @model_validator(mode="after")
    def _one_of_both(self) -> "WheelOverIn":
        """Refuse a choice that chooses nothing, or twice."""
        if (self.method is None) == (self.distance_nm is None):
            raise ValueError("give either method or distance_nm")
        return self

    def to_core(self) -> WheelOverChoice:
        """Return it as the core takes it."""
        return WheelOverChoice(method=self.method, distance_nm=self.distance_nm)


class WaypointIn(Strict):
    """A waypoint. gap_before and gap_after mark rows that were not understood."""

    id: Word
    lat_deg: Latitude
    lon_deg: Longitude
    name: Label | None = None
    turn_radius_nm: Radius | None = None
    gap_before: bool = False
    gap_after: bool = False
    wheel_over: WheelOverIn | None = None
    leg: LegIn | None = None

    def to_core(self) -> Waypoint:
        """Return it as the core takes it."""
        return Waypoint(
            id=self.id,
            lat_deg=self.lat_deg,
            lon_deg=self.lon_deg,
            name=self.name,
            turn_radius_nm=self.turn_radius_nm,
            gap_before=self.gap_before,
            gap_after=self.gap_after,
            wheel_over=None if self.wheel_over is None else self.wheel_over.to_core(),
            leg=None if self.leg is None else self.leg.to_core(),
        )


class RouteIn(Strict):
    """Waypoints in sailing order."""

    name: Label
    waypoints: Annotated[list[WaypointIn], Field(max_length=10_000)]

    def to_core(self) -> Route:
        """Return it as the core takes it."""
        return Route(name=self.name, waypoints=tuple(one.to_core() for one in self.waypoints))
