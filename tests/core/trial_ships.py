"""Ships with a force model as if their papers were known: the truth that a fit is held against."""

from functools import partial

from wheelover.core.manoeuvre.estimate_forces import Dimensions, estimated_forces
from wheelover.core.manoeuvre.estimate_response import circle_of
from wheelover.core.manoeuvre.fit import Evidence, compared, fit
from wheelover.core.manoeuvre.fit_numbers import Number, Trials, trials_of
from wheelover.core.manoeuvre.fit_own_turns import OwnTurns
from wheelover.core.manoeuvre.run_forces import run_force_model
from wheelover.core.manoeuvre.standard import zig_zag
from wheelover.core.types.fitted import Uncertain
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.trials import CircleTrial, TrialSet, TrialShip, ZigZagTrial
from wheelover.core.units import kn_from_m_per_s, m_per_s_from_kn

FEEDER_140 = estimated_forces(
    Dimensions(
        name="feeder, 140 m",
        length_m=140.0,
        beam_m=23.0,
        draught_m=8.2,
        block_coefficient=0.67,
    ),
    speed_m_per_s=m_per_s_from_kn(16.0),
)
GAS_CARRIER_280 = estimated_forces(
    Dimensions(
        name="gas carrier, 280 m",
        length_m=280.0,
        beam_m=43.4,
        draught_m=11.5,
        block_coefficient=0.75,
    ),
    speed_m_per_s=m_per_s_from_kn(19.0),
)
"""Two ships that nobody looked at when the priors were set."""


def ship_of(model: ForceModel) -> TrialShip:
    """Return a ship of the model's length."""
    return TrialShip(name=model.name, loa_m=model.length_m, lpp_m=model.length_m)


def circle(model: ForceModel, rudder_deg: float) -> CircleTrial:
    """Return a turning circle, all its numbers."""
    return circle_of(model, ship_of(model), rudder_deg)


def zig_zag_trial(model: ForceModel, angle_deg: float) -> ZigZagTrial:
    """Return a zig-zag."""
    run = partial(run_force_model, model, heading_deg=0.0, rudder_rate_deg_per_s=2.33)
    found = zig_zag(
        run,
        rudder_deg=angle_deg,
        heading_change_deg=abs(angle_deg),
        length_m=model.length_m,
        speed_m_per_s=model.speed_m_per_s,
    )
    return ZigZagTrial(
        side="starboard" if angle_deg > 0.0 else "port",
        rudder_deg=abs(angle_deg),
        heading_change_deg=abs(angle_deg),
        speed_kn=float(kn_from_m_per_s(model.speed_m_per_s)),
        first_overshoot_deg=found.swings[0].overshoot_deg,
        second_overshoot_deg=found.swings[1].overshoot_deg,
    )


def trial_set(*circles: CircleTrial, zig_zags: tuple[ZigZagTrial, ...] = ()) -> TrialSet:
    """Return trials in deep water."""
    return TrialSet(
        loading="laden",
        draught_fore_m=10.0,
        draught_aft_m=10.0,
        circles=circles,
        zig_zags=zig_zags,
    )


def evidence(ship: TrialShip, trials: TrialSet) -> Evidence:
    """Return trials as a fit takes them."""
    numbers = trials_of(ship, trials)
    return Evidence(
        trials=numbers,
        own_turns=OwnTurns(length_m=ship.loa_m, ahead_m=numbers.ahead_m, turns=trials.own_turns),
        at_speed_kn=numbers.numbers[0].speed_kn if numbers.numbers else 15.0,
    )


def fitted(ship: TrialShip, trials: TrialSet) -> Uncertain:
    """Return the fit of trials."""
    return fit(evidence(ship, trials))


def misses(ship: TrialShip, trials: TrialSet, uncertain: Uncertain) -> list[tuple[Number, float]]:
    """Return every number with what a fit is off it: per cent, of an angle degrees."""
    numbers: Trials = trials_of(ship, trials)
    found = compared(numbers, uncertain)
    return [
        (one, float(value - one.value) * (1.0 if one.unit == "deg" else 100.0 / one.value))
        for one, value in zip(numbers.numbers, found, strict=True)
    ]
