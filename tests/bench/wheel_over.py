"""The simulated wheel-over beside the force model that makes the same turn, in ship lengths.

``python -m tests.bench.wheel_over``: for three ships whose force model is known, the turning
circles at 35 degrees of helm to both sides, alone and with the zig-zags 10/10 and 20/20, go into a
fit as the papers would give them. Then every turn is made twice: by the fitted model,
which gives the wheel-over, and by the force model under the same rudder or the same rate order.
What is printed is how far beside the new track the force model ends when helm is given there,
positive inside.
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from tests.bench.force_steered import force_steered_distance_m
from tests.bench.force_turn import force_turn
from tests.core.trial_ships import circle, evidence, ship_of, trial_set, zig_zag_trial
from wheelover.core.manoeuvre.fit import fit, response_of
from wheelover.core.manoeuvre.helm_orders import steady_turn
from wheelover.core.manoeuvre.known_ships import COASTER_84, CONTAINER_SHIP_280, TANKER_333
from wheelover.core.manoeuvre.model import ShipModel, ship_columns, ship_model
from wheelover.core.manoeuvre.steered import steered_turns
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import Current
from wheelover.core.units import kn_from_m_per_s, m_per_s_from_kn

SHIPS = (COASTER_84, CONTAINER_SHIP_280, TANKER_333)
RUDDERS_DEG = (10.0, 15.0, 20.0, 35.0)
CHANGES_DEG = (10.0, 20.0, 45.0, 75.0, 90.0, 120.0)
RATES = (10.0, 20.0)
"""Degrees per minute for a ship of 280 m at 15 kn; others in lengths and speeds."""

RUDDER_RATE_DEG_PER_S = 2.33
CURRENTS = tuple(
    Current(set_deg=set_deg, drift_m_per_s=m_per_s_from_kn(drift_kn))
    for drift_kn, sets in ((0.0, (0.0,)), (2.0, (0.0, 90.0, 180.0, 270.0)))
    for set_deg in sets
)
GIVEN: dict[str, tuple[float, ...]] = {"35 deg circles": (), "standard trials": (10.0, 20.0)}
"""Zig-zags beside the circles to both sides."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """One turn: how it is made, and how far inside the new track the force model ends."""

    ship: str
    given: str
    steering: str
    change_deg: float
    drift_m_per_s: float
    inside_lengths: float


def fitted_model(force: ForceModel, zig_zags_deg: tuple[float, ...]) -> ShipModel:
    """Return a ship as hard over circles to both sides, and zig-zags, let her be known."""
    trials = trial_set(
        circle(force, 35.0),
        circle(force, -35.0),
        zig_zags=tuple(zig_zag_trial(force, angle_deg) for angle_deg in zig_zags_deg),
    )
    response = response_of(fit(evidence(ship_of(force), trials)))
    speed_kn = float(kn_from_m_per_s(force.speed_m_per_s))
    return ship_model(response, force.length_m, speed_kn, 35.0)


def by_rudder(force: ForceModel, model: ShipModel, given: str) -> list[Miss]:
    """Return the misses of turns by rudder, to starboard."""
    found = []
    for rudder_deg, change_deg, current in itertools.product(RUDDERS_DEG, CHANGES_DEG, CURRENTS):
        asked = (0.0, change_deg, rudder_deg)
        simulated = steady_turn(
            model, *asked, rudder_rate_deg_per_s=RUDDER_RATE_DEG_PER_S, current=current
        )
        true_m = force_turn(force, *asked, RUDDER_RATE_DEG_PER_S, current).distance_to_new_course_m
        found.append(
            _miss(
                force,
                given,
                f"rudder {rudder_deg:g}",
                change_deg,
                current,
                simulated.distance_to_new_course_m - true_m,
            )
        )
    return found


def by_rate(force: ForceModel, model: ShipModel, given: str) -> list[Miss]:
    """Return the misses of turns by rate of turn, to starboard."""
    found = []
    scale = (280.0 / m_per_s_from_kn(15.0)) / (force.length_m / force.speed_m_per_s)
    for rate, change_deg, current in itertools.product(RATES, CHANGES_DEG, CURRENTS):
        turns = steered_turns(
            ship_columns([model]),
            0.0,
            change_deg,
            steering="rate",
            ordered=rate * scale,
            most_rudder_deg=35.0,
            rudder_rate_deg_per_s=RUDDER_RATE_DEG_PER_S,
            set_deg=current.set_deg,
            drift_m_per_s=current.drift_m_per_s,
        )
        true_m = force_steered_distance_m(
            force, model, 0.0, change_deg, rate * scale, 35.0, RUDDER_RATE_DEG_PER_S, current
        )
        late_m = float(turns.distance_to_new_course_m[0]) - true_m
        found.append(_miss(force, given, f"rate {rate:g}", change_deg, current, late_m))
    return found


def _miss(
    force: ForceModel, given: str, steering: str, change_deg: float, current: Current, late_m: float
) -> Miss:
    """Return a turn whose simulated wheel-over is so much farther back than the true one."""
    return Miss(
        ship=force.name,
        given=given,
        steering=steering,
        change_deg=change_deg,
        drift_m_per_s=current.drift_m_per_s,
        inside_lengths=late_m * math.sin(math.radians(change_deg)) / force.length_m,
    )


def misses() -> list[Miss]:
    """Return the misses of all turns."""
    found = []
    for (given, zig_zags_deg), force in itertools.product(GIVEN.items(), SHIPS):
        model = fitted_model(force, zig_zags_deg)
        found += [*by_rudder(force, model, given), *by_rate(force, model, given)]
    return found


def main() -> None:
    """Print the table."""
    rows = misses()
    keys = sorted({(row.given, row.ship, row.steering) for row in rows})
    print(
        f"{'papers':24s}{'ship':40s}{'steered by':14s}{'turns':>6s}"
        f"{'mean':>8s}{'90 %':>8s}{'worst':>8s}"
    )
    for given, ship, steering in keys:
        some = [
            row.inside_lengths
            for row in rows
            if (row.given, row.ship, row.steering) == (given, ship, steering)
        ]
        sizes = np.abs(some)
        print(
            f"{given:24s}{ship[:38]:40s}{steering:14s}{len(some):6d}{np.mean(some):+8.3f}"
            f"{np.percentile(sizes, 90):8.3f}{sizes.max():8.3f}"
        )
    for given in GIVEN:
        sizes = np.abs([row.inside_lengths for row in rows if row.given == given])
        print(
            f"{given}: {len(sizes)} turns, {100.0 * np.mean(sizes <= 0.15):.1f} % within 0.15 "
            f"lengths, worst {sizes.max():.3f}"
        )


if __name__ == "__main__":
    main()
