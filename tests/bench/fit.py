"""What a fit is given, what it makes of it, and what it says of turns it was not given.

``python -m tests.bench.fit``: for three ships whose force model is known, the circle at 35 degrees
and a 20/20 zig-zag go in; the circles at 20 and 10 degrees and the 10/10 zig-zag are predicted.
"""

import statistics
import time

from tests.core.trial_ships import circle as circle_trial
from tests.core.trial_ships import evidence, misses, ship_of, trial_set, zig_zag_trial
from wheelover.core.manoeuvre.fit import fit
from wheelover.core.manoeuvre.fit_numbers import Number
from wheelover.core.manoeuvre.known_ships import COASTER_84, CONTAINER_SHIP_280, KVLCC2
from wheelover.core.types.fitted import Uncertain
from wheelover.core.types.force_model import ForceModel

SHIPS = (KVLCC2, CONTAINER_SHIP_280, COASTER_84)
_ROUNDS = 5


def given_and_predicted(
    model: ForceModel,
) -> tuple[Uncertain, list[tuple[Number, float]], list[tuple[Number, float]]]:
    """Return a fit, its misses of what it was given, and of what it was not."""
    ship = ship_of(model)
    given = trial_set(circle_trial(model, 35.0), zig_zags=(zig_zag_trial(model, 20.0),))
    other = trial_set(
        *(circle_trial(model, rudder_deg) for rudder_deg in (20.0, 10.0)),
        zig_zags=(zig_zag_trial(model, 10.0),),
    )
    found = fit(evidence(ship, given))
    return found, misses(ship, given, found), misses(ship, other, found)


def median_time_s(model: ForceModel) -> float:
    """Return the median time of a fit to a circle and a zig-zag."""
    known = evidence(
        ship_of(model),
        trial_set(circle_trial(model, 35.0), zig_zags=(zig_zag_trial(model, 20.0),)),
    )
    times_s = []
    for _ in range(_ROUNDS):
        start_s = time.perf_counter()
        fit(known)
        times_s.append(time.perf_counter() - start_s)
    return statistics.median(times_s)


def _print_rows(title: str, rows: list[tuple[Number, float]]) -> None:
    """Print numbers beside what the fit is off them."""
    print(f"  {title}")
    for number, off in rows:
        value = number.value * (1.0 if number.unit == "deg" else 1.0 + off / 100.0)
        value += off if number.unit == "deg" else 0.0
        at = f" at {number.heading_change_deg:g}" if number.unit in ("s", "kn") else ""
        unit = "deg" if number.unit == "deg" else "%"
        print(
            f"    {number.trial:28s} {number.quantity + at:24s} {number.value:9.1f} {value:9.1f} "
            f"{number.unit:3s} {off:+6.1f} {unit}"
        )


def main() -> None:
    """Print the tables."""
    for model in SHIPS:
        _, given, predicted = given_and_predicted(model)
        print(f"\n{model.name}: fitted in {1e3 * median_time_s(model):.0f} ms")
        _print_rows("given", given)
        _print_rows("predicted", predicted)


if __name__ == "__main__":
    main()
