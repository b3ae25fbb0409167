"""How long the three orders of a turn take, beside the same with ``solve_ivp`` of scipy.

``python -m tests.bench.helm_orders`` measures all in one run, one after the other on one core, and
prints medians, ratios, and how far each is from a reference of much tighter tolerance.
"""

import math
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tests import zoo
from tests.bench.peer_turn import PeerAnswer, PeerTurn
from wheelover.core.manoeuvre.helm_orders import steady_turn, steady_turns
from wheelover.core.manoeuvre.model import ShipModel, ship_columns, ship_model
from wheelover.core.types.manoeuvre import SteadyTurn
from wheelover.core.types.ship import Response

MANY = 2000
TIGHT = 1e-13

_CONTAINER_SHIP = zoo.QUICK_RESPONSE
_TANKER = replace(_CONTAINER_SHIP, k_per_s=0.045, t_s=150.0, alpha_s2=30_000.0, race_exponent=1.2)
_LINEAR = Response(k_per_s=0.05, t_s=30.0, at_speed_kn=15.0, drift_lengths=0.4)

CASES: dict[str, tuple[ShipModel, float, float, float, float | None]] = {
    "container ship, 75 degrees": (ship_model(_CONTAINER_SHIP, 200.0, 12.0), 75, 15, 20, 2.33),
    "tanker, 40 degrees": (ship_model(_TANKER, 320.0, 14.0), 40, 20, 20, 2.33),
    "linear, 90 degrees, rudder at once": (ship_model(_LINEAR, 200.0, 15.0), 90, 20, 10, None),
}
"""Ship, change of heading, helm, counter-helm, and rate of the rudder, in degrees and seconds."""


def peer(name: str, method: str, tolerance: float) -> PeerTurn:
    """Return a case as the peer takes it."""
    model, change, helm, back, rate = CASES[name]
    return PeerTurn(
        model=model,
        change_rad=math.radians(change),
        helm_rad=math.radians(helm),
        back_rad=math.radians(back),
        rate_rad_per_s=math.inf if rate is None else math.radians(rate),
        method=method,
        tolerance=tolerance,
    )


def ours(name: str) -> SteadyTurn:
    """Return the orders of a case by the service."""
    model, change, helm, back, rate = CASES[name]
    return steady_turn(
        model, 0.0, change, helm, counter_rudder_deg=back, rudder_rate_deg_per_s=rate
    )


def many(name: str, count: int) -> None:
    """Solve as many turns at once, each of another response, speed and current."""
    model, change, helm, back, rate = CASES[name]
    spread = np.linspace(0.97, 1.03, count)
    one = ship_columns((model,))
    ships = replace(
        one,
        **{
            field: getattr(one, field) * spread
            for field in ("gain_ratio", "lag_ratio", "speed_m_per_s")
        },
    )
    turns = steady_turns(
        ships, 0.0, change, helm, counter_rudder_deg=back, rudder_rate_deg_per_s=rate,
        set_deg=30.0, drift_m_per_s=spread - 0.97,
    )  # fmt: skip
    if turns.refused:
        raise SystemExit(f"{name}: {turns.refused}")


def apart(found: SteadyTurn | PeerAnswer, wanted: PeerAnswer) -> tuple[float, float]:
    """Return how far an answer is from another in metres and seconds."""
    if isinstance(found, SteadyTurn):
        times = (*(one.at_s for one in found.orders[1:]), found.steady_at_s)
    else:
        times = (found.counter_s, found.midships_s, found.steady_s)
    off_m = abs(found.distance_to_new_course_m - wanted.distance_to_new_course_m)
    pairs = zip(times, (wanted.counter_s, wanted.midships_s, wanted.steady_s), strict=True)
    return off_m, max(abs(one - other) for one, other in pairs)


def median_ms(work: Callable[[], object], rounds: int) -> float:
    """Return the median time of some work in milliseconds."""
    spent = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        spent.append(time.perf_counter() - begun)
    return statistics.median(spent) * 1e3


def main() -> int:
    """Print a table for each case; return 1 when the goals are missed."""
    missed = False
    for name in CASES:
        wanted = peer(name, "DOP853", TIGHT).solve()
        alone = median_ms(lambda name=name: ours(name), 300)
        each = median_ms(lambda name=name: many(name, MANY), 5) / MANY
        found = ours(name)
        off_m, off_s = apart(found, wanted)
        print(f"{name}: {wanted.distance_to_new_course_m:.3f} m")
        print(f"  one by one      {alone:9.4f} ms   {off_m:.1e} m {off_s:.1e} s")
        print(f"  {MANY} at once    {each:9.4f} ms   {1e3 / each:.0f} a second on one core")
        for method, tolerance in (("DOP853", 1e-9), ("DOP853", 1e-6), ("RK45", 1e-6)):
            turn = peer(name, method, tolerance)
            peer_ms = median_ms(turn.solve, 3)
            peer_m, peer_s = apart(turn.solve(), wanted)
            ratio, ratio_many = peer_ms / alone, peer_ms / each
            print(
                f"  {method:7s}{tolerance:.0e} {peer_ms:9.2f} ms   {peer_m:.1e} m {peer_s:.1e} s  "
                f"{ratio:.0f} times as long, {ratio_many:.0f} times as one of many"
            )
            missed |= ratio < 50.0 and off_m <= peer_m
        missed |= 1e3 / alone < 1000.0 or off_m > 1e-3
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
