"""The pilot card: the ship as she is now, for the pilot [A601]_."""

from dataclasses import dataclass
from typing import Literal

ThrusterPlace = Literal["bow", "stern"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardOrder:
    """A line of the table of engine orders; speeds and revolutions astern are negative."""

    order: str
    propeller_rpm: float | None = None
    pitch_ratio: float | None = None
    laden_speed_kn: float | None = None
    ballast_speed_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Thruster:
    """A thruster and its power."""

    place: ThrusterPlace
    power_kw: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedItem:
    """A piece of equipment, and whether somebody says that it was checked."""

    item: str
    checked: bool
    at_utc: str | None = None
    remark: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotCard:
    """What the card holds beside the members of the ship; what is None nobody has said.

    Chain is in shackles. ``critical_from_rpm`` to ``critical_to_rpm`` are revolutions to be kept
    away from, ``astern_power_ratio`` the power astern over that ahead. ``neutral_rudder_deg`` holds
    her straight, starboard positive.
    """

    call_sign: str | None = None
    imo_number: str | None = None
    bulbous_bow: bool | None = None
    chain_port_shackles_count: float | None = None
    chain_starboard_shackles_count: float | None = None
    chain_stern_shackles_count: float | None = None
    engine_type: str | None = None
    max_power_kw: float | None = None
    critical_from_rpm: float | None = None
    critical_to_rpm: float | None = None
    astern_power_ratio: float | None = None
    ahead_to_astern_s: float | None = None
    most_starts_count: int | None = None
    engine_orders: tuple[CardOrder, ...] = ()
    rudder_type: str | None = None
    hard_over_s: float | None = None
    neutral_rudder_deg: float | None = None
    thrusters: tuple[Thruster, ...] = ()
    equipment: tuple[CheckedItem, ...] = ()
    defects: str | None = None
