"""The wind in a turn: leeway on both legs, and the rudder that she carries."""

from dataclasses import dataclass

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import heading_for_course_deg
from wheelover.core.manoeuvre.wind import (
    ShipInWind,
    flows_together,
    in_wind,
    leeway_flow,
    ship_in_wind,
)
from wheelover.core.turns.models_reach import too_windy
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.manoeuvre import NO_CURRENT, Current, InWind, Wind
from wheelover.core.types.ship import ShipProfile
from wheelover.core.units import m_per_s_from_kn


@dataclass(frozen=True, slots=True, kw_only=True)
class WindInTurn:
    """What the wind does in a turn.

    ``leeway`` is the leeway of the turn as a current. Without ``leg_in`` and ``leg_out`` nothing
    is applied and ``not_applied`` says why; ``beyond`` says that she cannot be computed in such a
    wind at all.
    """

    leg_in: InWind | None = None
    leg_out: InWind | None = None
    leeway: Current = NO_CURRENT
    not_applied: str | None = None
    beyond: str | None = None

    @property
    def carried_deg(self) -> float:
        """Return the rudder carried through the turn, that of the inbound leg."""
        return 0.0 if self.leg_in is None else self.leg_in.helm_deg


CALM = WindInTurn()
"""No wind that counts."""


def wind_of(conditions: Conditions) -> Wind | None:
    """Return the true wind of the conditions, None where it is calm or not given.

    Parameters
    ----------
    conditions : Conditions
        With the wind.
    """
    if conditions.wind_from_deg is None or not conditions.wind_kn:
        return None
    speed_m_per_s = m_per_s_from_kn(conditions.wind_kn)
    return Wind(from_deg=conditions.wind_from_deg, speed_m_per_s=speed_m_per_s)


def why_not_applied(ship: ShipProfile | None, conditions: Conditions) -> str | None:
    """Return why a wind that is given is not applied, None where it is, or there is none.

    Parameters
    ----------
    ship : ShipProfile or None
        With her windage.
    conditions : Conditions
        With the wind.
    """
    if conditions.wind_kn is None:
        if not conditions.wind_force_bft:
            return None
        return "the wind is not applied: its direction and speed are not given"
    if ship is None or wind_of(conditions) is None:
        return None
    try:
        # Whether she can be had does not hang on the speed.
        ship_in_wind(ship, 1.0)
    except OutOfDomain as error:
        return f"the wind is not applied: {error}"
    return None


def wind_in_turn(
    ship: ShipProfile | None,
    conditions: Conditions,
    courses_deg: tuple[float, float],
    speed_kn: float | None,
    current: Current,
) -> WindInTurn:
    """Return what the wind does in a turn.

    Parameters
    ----------
    ship : ShipProfile or None
        With her windage.
    conditions : Conditions
        With the wind.
    courses_deg : tuple of float
        Courses over the ground, in and out.
    speed_kn : float or None
        Approach speed through the water.
    current : Current
        The current, for which her headings allow too.

    Notes
    -----
    Leeway is that of the headings that the current alone asks for, and its velocity is the vector
    mean of both legs, held throughout: each leg's heading allows for this mean. In truth it changes
    with her heading in the turn, as the rudder does that she carries: beside a run in which both
    follow it, 20 kn of wind on a ship in ballast at 12 kn leave her within 0.1 lengths of the track
    at changes up to 60 degrees, 0.2 at 90 and 0.4 at 120 (tests/core/test_wind.py).
    """
    wind = wind_of(conditions)
    not_applied = why_not_applied(ship, conditions)
    if wind is None or ship is None or speed_kn is None or not_applied is not None:
        return WindInTurn(not_applied=not_applied)
    if too_windy(conditions) is not None or speed_kn <= 0.0:
        return CALM
    speed_m_per_s = m_per_s_from_kn(speed_kn)
    try:
        headings_deg = [
            heading_for_course_deg(course_deg, speed_m_per_s, current) for course_deg in courses_deg
        ]
    except OutOfDomain:
        # The courses cannot be made good in this current: the manoeuvre says so.
        return CALM
    windy = ship_in_wind(ship, speed_m_per_s)
    try:
        leg_in, leg_out = (in_wind(windy, one, current, wind) for one in headings_deg)
    except OutOfDomain as error:
        return WindInTurn(beyond=str(error))
    flows = [
        leeway_flow(found, heading_deg, 0.5 * speed_m_per_s)
        for found, heading_deg in zip((leg_in, leg_out), headings_deg, strict=True)
    ]
    return WindInTurn(leg_in=leg_in, leg_out=leg_out, leeway=flows_together(*flows))


def leeway_on_course(ship: ShipInWind, course_deg: float, current: Current, wind: Wind) -> Current:
    """Return leeway as a current on a leg, on the heading that makes good its course.

    Parameters
    ----------
    ship : ShipInWind
        The ship at her speed on the leg.
    course_deg : float
        Course over the ground.
    current : Current
        The current on the leg.
    wind : Wind
        The true wind.

    Raises
    ------
    OutOfDomain
        When the course cannot be made good, or the leeway cannot be computed.
    """
    speed_m_per_s = ship.forces.speed_m_per_s
    heading_deg = heading_for_course_deg(course_deg, speed_m_per_s, current)
    return leeway_flow(in_wind(ship, heading_deg, current, wind), heading_deg, speed_m_per_s)
