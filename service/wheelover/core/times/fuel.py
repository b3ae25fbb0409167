"""Fuel by leg from the ship's own table of consumption; outside the table it is not known.

Between two speeds of the table consumption is taken along a straight line. It grows more steeply
than that with speed, so between the rows the line lies above it: on the careful side.
"""

from collections.abc import Iterable, Sequence

import numpy as np

from wheelover.core.times.made_good import Run
from wheelover.core.types.route import Route
from wheelover.core.types.schedule import FuelTotal, FuelUsed, LegTime, WheelOverTime
from wheelover.core.types.ship import Consumption, ShipProfile
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import kn_from_m_per_s

DAY_S = 86_400.0
NO_TABLE = "her consumption is not given"
STAYS = "what she burns during a stay is not in the table: it has no row at 0 kn"
SAME_KN = 1e-9


def fuel_used(
    ship: ShipProfile | None,
    route: Route,
    legs: Sequence[PlannedLeg],
    times: Sequence[LegTime],
    turns: Sequence[WheelOverTime],
) -> tuple[tuple[FuelUsed, ...], tuple[FuelTotal, ...]]:
    """Return what each leg burns of each fuel, and the passage in all.

    The turn at the end of a leg counts with it, at the consumption of the leg's speed: the engine
    runs on as it was. Where the speed over the ground is given in a stream that changes, what each
    step asks for is summed. A stay burns what the table says at 0 kn.

    Parameters
    ----------
    ship : ShipProfile or None
        With her table.
    route : Route
        Says where she stays.
    legs, times, turns : sequences
        The legs with their times, and those of the turns.
    """
    if ship is None or not ship.consumption:
        return (), ()
    arcs = {one.waypoint_index: one for one in turns}
    fuels = list(dict.fromkeys(one.fuel for one in ship.consumption))
    used = []
    for fuel in fuels:
        table = sorted(
            (one for one in ship.consumption if one.fuel == fuel), key=lambda one: one.speed_kn
        )
        for leg, time in zip(legs, times, strict=True):
            stay_s = route.waypoints[leg.from_index + 1].stay_s
            used.append(_of_leg(table, time, arcs.get(leg.from_index + 1), stay_s))
    totals = tuple(_total(fuel, [one for one in used if one.fuel == fuel]) for fuel in fuels)
    return tuple(used), totals


def rate_t_per_day(table: Sequence[Consumption], speed_kn: float) -> float | None:
    """Return the consumption at a speed, None outside the table.

    Parameters
    ----------
    table : sequence of Consumption
        Of one fuel, in order of speed.
    speed_kn : float
        Through the water.

    Examples
    --------
    >>> rows = [Consumption(speed_kn=10.0, rate_t_per_day=20.0),
    ...         Consumption(speed_kn=14.0, rate_t_per_day=40.0)]
    >>> rate_t_per_day(rows, 12.0), rate_t_per_day(rows, 14.5)
    (30.0, None)
    """
    speeds = [one.speed_kn for one in table]
    if not speeds[0] - SAME_KN <= speed_kn <= speeds[-1] + SAME_KN:
        return None
    return float(np.interp(speed_kn, speeds, [one.rate_t_per_day for one in table]))


def _of_leg(
    table: Sequence[Consumption], time: LegTime, turn: WheelOverTime | None, stay_s: float
) -> FuelUsed:
    """Return what a leg burns of one fuel."""
    fuel = table[0].fuel
    plain = FuelUsed(
        leg_index=time.leg_index, fuel=fuel, rate_t_per_day=None, burnt_t=None, stay_t=None
    )
    if time.speed_kn is None or time.start_s is None or time.end_s is None:
        return _unknown(plain, time.reason or "no time is known")
    speeds_kn = (*time.steps_kn, time.speed_kn)
    outside_kn = first_outside_kn(table, speeds_kn)
    if outside_kn is not None:
        reason = f"{outside_kn:.2f} kn lies outside her table of {table_span(table)}"
        return _unknown(plain, reason, outside_kn=outside_kn)
    rates = [rate for one in speeds_kn if (rate := rate_t_per_day(table, one)) is not None]
    steps_count = len(time.steps_kn)
    rate = rates[-1] if steps_count == 0 else sum(rates[:-1]) / steps_count
    run_s = time.end_s - time.start_s
    if turn is not None and turn.arc_start_s is not None:
        if turn.arc_end_s is None:
            return _unknown(plain, turn.arc_reason or "how long the turn takes is not known")
        run_s += turn.arc_end_s - turn.arc_start_s - stay_s
    at_rest = rate_t_per_day(table, 0.0) if stay_s > 0.0 else 0.0
    return FuelUsed(
        leg_index=time.leg_index,
        fuel=fuel,
        rate_t_per_day=rate,
        burnt_t=rate * run_s / DAY_S,
        stay_t=None if at_rest is None else at_rest * stay_s / DAY_S,
        reason=STAYS if at_rest is None else None,
    )


def speeds_on(run: Run | None, speed_kn: float | None) -> tuple[float, ...]:
    """Return every speed that a leg asks for: that of each step, and the leg's own.

    Parameters
    ----------
    run : Run or None
        How the leg is run, None where that is not known.
    speed_kn : float or None
        Its greatest speed through the water, None where none is known.
    """
    steps = () if run is None else tuple(kn_from_m_per_s(one) for one in run.steps_m_per_s)
    return steps if speed_kn is None else (*steps, speed_kn)


def first_outside_kn(table: Sequence[Consumption], speeds_kn: Sequence[float]) -> float | None:
    """Return the first of some speeds that lies outside a table, None where none does.

    Parameters
    ----------
    table : sequence of Consumption
        Of one fuel, in order of speed.
    speeds_kn : sequence of float
        Through the water.
    """
    return next((one for one in speeds_kn if rate_t_per_day(table, one) is None), None)


def table_span(table: Sequence[Consumption]) -> str:
    """Return from which to which speed a table reaches, in words.

    Examples
    --------
    >>> table_span([Consumption(speed_kn=10.0, rate_t_per_day=20.0),
    ...             Consumption(speed_kn=14.0, rate_t_per_day=40.0)])
    '10 to 14 kn'
    """
    first, last = min(one.speed_kn for one in table), max(one.speed_kn for one in table)
    return f"{first:g} kn" if first == last else f"{first:g} to {last:g} kn"


def _unknown(plain: FuelUsed, reason: str, outside_kn: float | None = None) -> FuelUsed:
    """Return a leg whose fuel is not known, and why."""
    return FuelUsed(
        leg_index=plain.leg_index,
        fuel=plain.fuel,
        rate_t_per_day=None,
        burnt_t=None,
        stay_t=None,
        reason=reason,
        outside_kn=outside_kn,
    )


def _total(fuel: str | None, used: Iterable[FuelUsed]) -> FuelTotal:
    """Return what the passage burns of one fuel."""
    rows = list(used)
    known_t = sum((one.burnt_t or 0.0) + (one.stay_t or 0.0) for one in rows)
    missing = [one for one in rows if one.reason is not None]
    if not missing:
        return FuelTotal(fuel=fuel, known_t=known_t, total_t=known_t)
    legs = "1 leg" if len(missing) == 1 else f"{len(missing)} legs"
    return FuelTotal(
        fuel=fuel, known_t=known_t, total_t=None, reason=f"not known on {legs}: {missing[0].reason}"
    )
