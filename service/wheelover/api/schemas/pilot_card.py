"""The pilot card, in requests and in answers."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.points import PlaceOut
from wheelover.api.schemas.strict import Strict
from wheelover.api.schemas.utc import UtcTime
from wheelover.api.schemas.words import LongWords, Words
from wheelover.core.types.pilot_card import (
    CardOrder,
    CheckedItem,
    PilotCard,
    Thruster,
    ThrusterPlace,
)
from wheelover.core.types.watch import Stage

Rpm = Annotated[float, Field(ge=-5000.0, le=5000.0, description="Revolutions a minute")]
OrderSpeed = Annotated[float, Field(ge=-60.0, le=60.0, description="Knots; astern negative")]
Shackles = Annotated[float, Field(ge=0.0, le=30.0, description="Shackles of chain")]
Kilowatts = Annotated[float, Field(gt=0.0, le=200_000.0, description="Kilowatts")]


class CardOrderIn(Strict):
    """A line of the table of engine orders; speeds and revolutions astern are negative."""

    order: Words
    propeller_rpm: Rpm | None = None
    pitch_ratio: Annotated[float, Field(ge=-3.0, le=3.0)] | None = None
    laden_speed_kn: OrderSpeed | None = None
    ballast_speed_kn: OrderSpeed | None = None


class ThrusterIn(Strict):
    """A thruster and its power."""

    place: ThrusterPlace
    power_kw: Kilowatts | None = None


class CheckedItemIn(Strict):
    """A piece of equipment, and whether it was checked."""

    item: Words
    checked: bool
    at_utc: UtcTime | None = None
    remark: LongWords | None = None


class PilotCardIn(Strict):
    """What the pilot card holds beside the members of the ship.

    ``critical_from_rpm`` to ``critical_to_rpm`` are revolutions to be kept away from,
    ``astern_power_ratio`` is the power astern over that ahead, ``hard_over_s`` the time of the
    rudder from hard over to hard over, ``neutral_rudder_deg`` holds her straight, starboard
    positive.
    """

    call_sign: Annotated[str, Field(pattern=r"^[A-Z0-9]{3,10}$")] | None = None
    imo_number: Annotated[str, Field(pattern=r"^[0-9]{7}$")] | None = None
    bulbous_bow: bool | None = None
    chain_port_shackles_count: Shackles | None = None
    chain_starboard_shackles_count: Shackles | None = None
    chain_stern_shackles_count: Shackles | None = None
    engine_type: Words | None = None
    max_power_kw: Kilowatts | None = None
    critical_from_rpm: Rpm | None = None
    critical_to_rpm: Rpm | None = None
    astern_power_ratio: Annotated[float, Field(ge=0.0, le=2.0)] | None = None
    ahead_to_astern_s: Annotated[float, Field(ge=0.0, le=3600.0, description="Seconds")] | None = (
        None
    )
    most_starts_count: Annotated[int, Field(ge=0, le=1000)] | None = None
    engine_orders: Annotated[list[CardOrderIn], Field(max_length=30)] | None = None
    rudder_type: Words | None = None
    hard_over_s: Annotated[float, Field(ge=0.0, le=600.0, description="Seconds")] | None = None
    neutral_rudder_deg: Annotated[float, Field(ge=-35.0, le=35.0)] | None = None
    thrusters: Annotated[list[ThrusterIn], Field(max_length=20)] | None = None
    equipment: Annotated[list[CheckedItemIn], Field(max_length=60)] | None = None
    defects: LongWords | None = None

    @model_validator(mode="after")
    def _number_adds_up(self) -> "PilotCardIn":
        """Refuse an IMO number whose last digit is not the one its others give."""
        number = self.imo_number
        if number is None:
            return self
        total = sum(int(digit) * weight for digit, weight in zip(number, range(7, 1, -1)))  # noqa: B905  six of seven
        if total % 10 != int(number[6]):
            raise ValueError(
                f"imo_number {number} does not add up: its last digit should be {total % 10}"
            )
        return self

    @model_validator(mode="after")
    def _critical_in_order(self) -> "PilotCardIn":
        """Refuse critical revolutions that begin above where they end."""
        low, high = self.critical_from_rpm, self.critical_to_rpm
        if low is not None and high is not None and low > high:
            raise ValueError(
                f"critical_from_rpm {low:g} is above critical_to_rpm {high:g}: give the lower first"
            )
        return self

    def to_core(self) -> PilotCard:
        """Return it as the core takes it."""
        lists = {"engine_orders", "thrusters", "equipment"}
        return PilotCard(
            **self.model_dump(exclude=lists),
            engine_orders=tuple(CardOrder(**one.model_dump()) for one in self.engine_orders or ()),
            thrusters=tuple(Thruster(**one.model_dump()) for one in self.thrusters or ()),
            equipment=tuple(CheckedItem(**one.model_dump()) for one in self.equipment or ()),
        )


class CardOrderOut(Answer):
    """A line of the table of engine orders."""

    order: str
    propeller_rpm: float | None
    pitch_ratio: float | None
    laden_speed_kn: float | None
    ballast_speed_kn: float | None


class ThrusterOut(Answer):
    """A thruster and its power."""

    place: ThrusterPlace
    power_kw: float | None


class CheckedItemOut(Answer):
    """A piece of equipment, and whether it was checked."""

    item: str
    checked: bool
    at_utc: str | None
    remark: str | None


class CardStopOut(Answer):
    """A stopping trial of her own."""

    engine_order: str | None
    speed_kn: float
    track_reach_m: float
    time_s: float | None
    source: str | None


class OrderForOut(Answer):
    """The engine order whose speed is nearest to the planned one."""

    order: str
    speed_kn: float


class ExchangeLegOut(Answer):
    """A leg of the exchange with the pilot: what is planned on it."""

    to_id: str
    stage: Stage
    course_deg: float | None
    distance_nm: float
    speed_kn: float | None
    order_laden: OrderForOut | None
    order_ballast: OrderForOut | None
    xtd_port_nm: float | None
    xtd_starboard_nm: float | None
    pilot: str | None
    tugs: str | None
    machinery: str | None
    no_return: PlaceOut | None
    abort: PlaceOut | None


class ExchangeOut(Answer):
    """What is agreed with the pilot: the legs of pilotage, at the berth and in confined waters."""

    legs: list[ExchangeLegOut]
    point_ids: list[str]
    contingency_ids: list[str]


class PilotCardOut(Answer):
    """The pilot card: the ship as she is now; ``missing`` names what nobody has said."""

    name: str
    call_sign: str | None
    imo_number: str | None
    loa_m: float
    beam_m: float
    draught_fore_m: float
    draught_midships_m: float | None
    draught_aft_m: float
    air_draught_m: float | None
    displacement_t: float | None
    loading: str | None
    bulbous_bow: bool | None
    chain_port_shackles_count: float | None
    chain_starboard_shackles_count: float | None
    chain_stern_shackles_count: float | None
    engine_type: str | None
    propulsion: Literal["single_screw", "twin_screw", "azimuthing"] | None
    max_power_kw: float | None
    critical_from_rpm: float | None
    critical_to_rpm: float | None
    astern_power_ratio: float | None
    ahead_to_astern_s: float | None
    most_starts_count: int | None
    engine_orders: list[CardOrderOut]
    rudder_type: str | None
    max_rudder_deg: float
    hard_over_s: float | None
    neutral_rudder_deg: float | None
    thrusters: list[ThrusterOut]
    stopping: list[CardStopOut]
    equipment: list[CheckedItemOut]
    defects: str | None
    missing: list[str]
    exchange: ExchangeOut
