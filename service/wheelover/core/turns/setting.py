"""What every wheel-over method is given about one turn."""

from dataclasses import dataclass, replace
from typing import Literal

from wheelover.core.manoeuvre.wind import flows_together
from wheelover.core.turns.windage import CALM, WindInTurn, wind_in_turn
from wheelover.core.types.circumstances import STILL_WATER, Conditions
from wheelover.core.types.manoeuvre import NO_CURRENT, Current, SimulatedTurn, Steering
from wheelover.core.types.route import Method
from wheelover.core.types.ship import ShipProfile, TurnTable
from wheelover.core.types.track import Arc, LegLine, TableUsed
from wheelover.core.units import m_per_s_from_kn

ReachSource = Literal["ship", "default"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnSetting:
    """One turn as the methods see it. ``reason`` says why there is no arc, if there is none."""

    leg_in: LegLine
    leg_out: LegLine
    course_change_deg: float
    arc: Arc | None
    reason: str | None
    reach_m: float | None
    reach_reason: str | None
    radius_m: float | None
    approach_speed_kn: float | None
    turn_speed_kn: float | None = None
    tables: tuple[TurnTable, ...] = ()
    planned_rudder_deg: float | None = None
    loa_m: float | None = None
    ship: ShipProfile | None = None
    conditions: Conditions = STILL_WATER
    steering: Steering = "rudder"
    current: Current = NO_CURRENT
    current_given: bool = False
    wind: WindInTurn = CALM

    @property
    def flow(self) -> Current:
        """Return what carries her through the turn: the current, and leeway where it is applied."""
        if self.wind.leg_in is None:
            return self.current
        return flows_together(self.current, self.wind.leeway)


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidBack:
    """How far before the waypoint a method puts the wheel-over; where that is, is found later.

    Members as in ``WheelOver``.
    """

    method: Method
    distance_m: float
    reach_m: float | None
    working: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    table: TableUsed | None = None
    manoeuvre: SimulatedTurn | None = None


def reach_of(
    ship: ShipProfile | None, approach_speed_kn: float | None
) -> tuple[float | None, ReachSource | None, str | None]:
    """Return the reach in metres, where it comes from, and why it is missing if it is.

    Parameters
    ----------
    ship : ShipProfile or None
        The ship. Without a reach of her own it is one length overall, which is an assumption.
    approach_speed_kn : float or None
        Speed through the water on the inbound leg, knots; a reach in seconds needs it.
    """
    if ship is None:
        return None, None, "no ship is given, so her reach is not known"
    if ship.reach_m is not None:
        return ship.reach_m, "ship", None
    if ship.reach_lengths is not None:
        return ship.reach_lengths * ship.loa_m, "ship", None
    if ship.reach_s is None:
        return ship.loa_m, "default", None
    if approach_speed_kn is None:
        return None, None, "the reach is given in seconds and no speed is given to run it at"
    return ship.reach_s * m_per_s_from_kn(approach_speed_kn), "ship", None


def with_ship(
    setting: TurnSetting, ship: ShipProfile | None, conditions: Conditions
) -> TurnSetting:
    """Return the setting of a turn with the ship, what her papers say, and the conditions.

    Parameters
    ----------
    setting : TurnSetting
        The turn.
    ship : ShipProfile or None
        The ship.
    conditions : Conditions
        Current, water and wind.
    """
    speed_kn = turn_speed_kn(ship, setting.approach_speed_kn)
    if ship is None:
        return replace(setting, turn_speed_kn=speed_kn, conditions=conditions)
    return replace(
        setting,
        turn_speed_kn=speed_kn,
        ship=ship,
        conditions=conditions,
        wind=wind_in_turn(
            ship,
            conditions,
            (setting.leg_in.arrival_course_deg, setting.leg_out.course_deg),
            setting.approach_speed_kn,
            setting.current,
        ),
        tables=ship.turn_tables,
        planned_rudder_deg=ship.planned_rudder_deg,
        loa_m=ship.loa_m,
    )


def turn_speed_kn(ship: ShipProfile | None, approach_speed_kn: float | None) -> float | None:
    """Return the mean speed through the water in the turn, knots, None where none is known.

    Parameters
    ----------
    ship : ShipProfile or None
        Her ratio of speed in the turn to approach speed; without one no speed is lost, which is an
        assumption.
    approach_speed_kn : float or None
        Speed through the water on the inbound leg.
    """
    if approach_speed_kn is None:
        return None
    ratio = 1.0 if ship is None or ship.turn_speed_ratio is None else ship.turn_speed_ratio
    return approach_speed_kn * ratio
