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
    reach 180 degrees those of her loading count, where none is known to be of it those of all;
    in each those with the most rudder, and of what is left the greatest advance and diameter. A
    circle grows little with the speed, but one of less rudder is wider, and so is one in shallow
    water [ShallowTurns]_.
    """
    if ship is None:
        return "no ship is given"
    whole = [one for one in ship.turn_tables if _has_advance(one) and _aside_m(one) is not None]
    if whole:
        return tuple(_of_tables(whole, ship.loading))
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


def _of_tables(tables: list[TurnTable], loading: str | None) -> list[TurnRound]:
    """Return what her turning tables say for each side: of her loading, else the most of all."""
    of_hers = [one for one in tables if loading is not None and one.loading == loading]
    return [_of_side(side, of_hers or tables, _not_hers(tables, of_hers)) for side in _SIDES]


def _not_hers(tables: list[TurnTable], of_hers: list[TurnTable]) -> tuple[str, ...]:
    """Return what to say where no table is known to be of the loading that she is in."""
    if of_hers:
        return ()
    loadings = sorted({one.loading for one in tables if one.loading is not None})
    told = f", of those in {', '.join(loadings)}" if loadings else ""
    return (f"no turning circle is known to be of her loading: the widest{told} counts",)


def _of_side(side: Side, tables: list[TurnTable], said: tuple[str, ...]) -> TurnRound:
    """Return the greatest advance and diameter of the tables that count for a side."""
    counts: list[TurnTable] = []
    for loading in dict.fromkeys(one.loading for one in tables):
        group = [one for one in tables if one.loading == loading]
        own = [one for one in group if one.side == side]
        either = own or [one for one in group if one.side is None] or group
        most_deg = max(one.rudder_deg for one in either)
        counts += [one for one in either if one.rudder_deg == most_deg]
    others = sorted({one.side for one in counts if one.side is not None and one.side != side})
    mirrored = tuple(f"her circle to {other} is taken for {side} too" for other in others)
    return TurnRound(
        side=side,
        ahead_m=max(row.advance_m for one in counts for row in one.rows),
        aside_m=max(
            max(_aside_m(one) or 0.0, *(row.transfer_m for row in one.rows)) for one in counts
        ),
        source=" and ".join(dict.fromkeys(_source(one) for one in counts)),
        notes=(*mirrored, *said, _DEEP),
    )


def _source(table: TurnTable) -> str:
    """Return what a table is called."""
    told = f" ({table.source})" if table.source else ""
    return (
        f"her turning circle, {table.rudder_deg:g} deg of rudder from {table.speed_kn:g} kn{told}"
    )


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
