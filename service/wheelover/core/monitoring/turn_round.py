"""The water she needs to turn round: of her own turning circle, else of her response."""

from functools import lru_cache

import numpy as np

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.types.manoeuvre import HelmOrder
from wheelover.core.types.monitoring import TurnRound
from wheelover.core.types.ship import Response, ShipProfile, TurnTable
from wheelover.core.types.track import Side
from wheelover.core.units import m_per_s_from_kn

_ROUND_DEG = 180.0
_NEAR_90_DEG = 15.0
_STEP_S = 4.0
_MOST_LENGTHS = 40.0
_DEEP = "her circle is that of deep water; in shallow water it is wider"
_SIDES: tuple[Side, ...] = ("starboard", "port")


def turns_round(ship: ShipProfile | None, speed_kn: float | None) -> tuple[TurnRound, ...] | str:
    """Return the water that she needs to turn round to either side, or why it is not known.

    Parameters
    ----------
    ship : ShipProfile or None
        Her turning tables and response.
    speed_kn : float or None
        Her speed through the water.

    Returns
    -------
    tuple of TurnRound, or str
        One for each side that is known.

    Notes
    -----
    Advance and tactical diameter count from where the order is given [MSC137]_. Of the tables that
    reach 180 degrees the one with the most rudder is taken; a circle grows little with the speed,
    but one of less rudder is wider, and so is one in shallow water [ShallowTurns]_.
    """
    if ship is None:
        return "no ship is given"
    whole = [one for one in ship.turn_tables if _has_advance(one) and _aside_m(one) is not None]
    if whole:
        return tuple(_of_tables(whole))
    if ship.response is None:
        return "neither a turning circle of 180 degrees nor a response of the ship is given"
    if speed_kn is None:
        return "no speed is given on the leg"
    try:
        ahead_m, aside_m = _of_response(
            ship.response, ship.loa_m, speed_kn, ship.max_rudder_deg, ship.rudder_rate_deg_per_s,
            ship.helm_delay_s,
        )  # fmt: skip
    except OutOfDomain as error:
        return str(error)
    notes = () if ship.response.at_depth_m is not None else (_DEEP,)
    return tuple(
        TurnRound(
            side=side,
            ahead_m=ahead_m,
            aside_m=aside_m,
            source=f"her response, {ship.max_rudder_deg:g} deg of rudder from {speed_kn:g} kn",
            notes=notes,
        )
        for side in _SIDES
    )


def _has_advance(table: TurnTable) -> bool:
    """Return whether a table has a row near 90 degrees, where the advance is greatest."""
    return any(abs(one.heading_change_deg - 90.0) <= _NEAR_90_DEG for one in table.rows)


def _aside_m(table: TurnTable) -> float | None:
    """Return the tactical diameter of a table, None where it does not go so far."""
    if table.tactical_diameter_m is not None:
        return table.tactical_diameter_m
    beyond = [one.transfer_m for one in table.rows if one.heading_change_deg >= _ROUND_DEG - 0.5]
    return max(beyond, default=None)


def _of_tables(tables: list[TurnTable]) -> list[TurnRound]:
    """Return what her turning tables say for each side."""
    found = []
    for side in _SIDES:
        own = [one for one in tables if one.side == side]
        either = own or [one for one in tables if one.side is None] or tables
        table = max(either, key=lambda one: (one.rudder_deg, one.speed_kn))
        other = table.side is not None and table.side != side
        mirrored = (f"her circle to {table.side} is taken for {side} too",) if other else ()
        found.append(
            TurnRound(
                side=side,
                ahead_m=max(one.advance_m for one in table.rows),
                aside_m=max(_aside_m(table) or 0.0, *(one.transfer_m for one in table.rows)),
                source=f"her turning circle, {table.rudder_deg:g} deg of rudder from "
                f"{table.speed_kn:g} kn" + (f" ({table.source})" if table.source else ""),
                notes=(*mirrored, _DEEP),
            )
        )
    return found


@lru_cache(maxsize=64)
def _of_response(
    response: Response, loa_m: float, speed_kn: float, rudder_deg: float,
    rudder_rate_deg_per_s: float, helm_delay_s: float,
) -> tuple[float, float]:  # fmt: skip
    """Return how far ahead and aside she comes before she has turned round."""
    model = ship_model(response, loa_m, speed_kn, rudder_deg)
    most_s = _MOST_LENGTHS * loa_m / m_per_s_from_kn(speed_kn)
    times_s = np.arange(0.0, most_s, _STEP_S).tolist()
    motion = run_orders(
        model, (HelmOrder(rudder_deg=rudder_deg, at_s=0.0),), times_s, heading_deg=0.0,
        rudder_rate_deg_per_s=rudder_rate_deg_per_s, helm_delay_s=helm_delay_s,
    )  # fmt: skip
    turned_deg = np.degrees(np.unwrap(np.radians(motion.heading_deg)))
    turned_deg -= turned_deg[0]
    if not bool(np.any(turned_deg >= _ROUND_DEG)):
        raise OutOfDomain(
            f"with {rudder_deg:g} degrees of rudder she does not turn round within "
            f"{_MOST_LENGTHS:.0f} lengths"
        )
    last = int(np.argmax(turned_deg >= _ROUND_DEG)) + 1
    return float(np.max(motion.north_m[:last])), float(np.max(motion.east_m[: last + 1]))
