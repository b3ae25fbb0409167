"""Fits: they meet what they were given, and what they say of turns they were not given.

The truth is the force model of a ship; every figure here is model against model, in deep water.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.trial_ships import (
    FEEDER_140,
    GAS_CARRIER_280,
    circle,
    evidence,
    fitted,
    misses,
    ship_of,
    trial_set,
    zig_zag_trial,
)
from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.fit import (
    compared,
    fit,
    member_responses,
    members,
    response_of,
    responses_from,
    scores,
)
from wheelover.core.manoeuvre.fit_numbers import computed, trials_of
from wheelover.core.manoeuvre.known_ships import COASTER_84, CONTAINER_SHIP_280, KVLCC2
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.types.fitted import STRUCTURAL_FLOOR_LENGTHS, THETA, Uncertain
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import Current, HelmOrder
from wheelover.core.types.ship import Response
from wheelover.core.types.trials import (
    CircleTrial,
    CourseChange,
    OwnTurn,
    OwnTurnRow,
    RoundPoint,
    TrialSet,
    TrialShip,
)
from wheelover.core.units import m_per_s_from_kn

TRUTH = {
    "k_per_s": 0.055,
    "t_s": 110.0,
    "at_speed_kn": 15.0,
    "alpha_s2": 14_000.0,
    "drift_lengths": 0.45,
    "race_exponent": 1.0,
    "speed_recovery": 0.075,
    "speed_loss": 0.7,
    "drift_lag": 0.5,
}
GOALS = {
    # Per cent; of the speeds that of the last circle is meant, as the papers give it.
    "advance": 3.0,
    "transfer": 6.0,
    "tactical_diameter": 3.0,
    "final_diameter": 6.0,
    "time": 5.0,
    "speed": 8.0,
}
THREE = (KVLCC2, CONTAINER_SHIP_280, COASTER_84)
NAMED = {"ids": lambda model: model.name.split(",")[0]}


@pytest.mark.parametrize("model", THREE, **NAMED)
def test_a_fit_meets_the_circle_it_was_given(model: ForceModel) -> None:
    ship, trials = ship_of(model), trial_set(circle(model, 35.0))
    for number, off in misses(ship, trials, fitted(ship, trials)):
        assert abs(off) < GOALS[number.quantity], (number.quantity, number.heading_change_deg, off)


@pytest.mark.parametrize("model", THREE, **NAMED)
def test_a_fit_meets_circle_and_zig_zag(model: ForceModel) -> None:
    """Overshoots within 2.5 degrees, about the scatter of such trials: they weigh little."""
    ship = ship_of(model)
    trials = trial_set(circle(model, 35.0), zig_zags=(zig_zag_trial(model, 20.0),))
    for number, off in misses(ship, trials, fitted(ship, trials)):
        goal = GOALS.get(number.quantity)
        if goal is not None:
            assert abs(off) < goal, (number.quantity, number.heading_change_deg, off)
        elif number.quantity == "first_overshoot":
            assert abs(off) < 2.5


PREDICTED = (
    # Circles from that at 35 degrees alone: largest miss of advance, transfer and tactical
    # diameter in per cent, at 20 and at 10 degrees. Recorded as measured, rounded up.
    (FEEDER_140, 10.0, 10.0),
    # Transfer at 10 degrees is 10.3 % too large: ten per cent are missed by a hair.
    (GAS_CARRIER_280, 10.0, 10.5),
    (CONTAINER_SHIP_280, 10.0, 10.0),
    (COASTER_84, 10.0, 10.0),
    # Full tankers turn more tightly at small helm than others: not met, and said so.
    (KVLCC2, 10.0, 15.0),
)


@pytest.mark.parametrize(("model", "at_20", "at_10"), PREDICTED)
def test_what_hard_over_says_of_less_helm(model: ForceModel, at_20: float, at_10: float) -> None:
    """The first two are ships that were not looked at when the priors were set."""
    ship = ship_of(model)
    uncertain = fitted(ship, trial_set(circle(model, 35.0)))
    for rudder_deg, most in ((20.0, at_20), (10.0, at_10)):
        for number, off in misses(ship, trial_set(circle(model, rudder_deg)), uncertain):
            if number.quantity in ("advance", "transfer", "tactical_diameter"):
                assert abs(off) < most, (number.quantity, rudder_deg, off)


def _ship_in_lengths(
    length_m: float, speed_kn: float, *rows: tuple[float, float, float, float]
) -> tuple[TrialShip, TrialSet]:
    """Return a ship whose circles are printed in lengths."""
    circles = tuple(
        CircleTrial(
            side="starboard",
            rudder_deg=rudder_deg,
            speed_kn=speed_kn,
            advance_m=advance * length_m,
            transfer_m=transfer * length_m,
            tactical_diameter_m=diameter * length_m,
        )
        for rudder_deg, advance, transfer, diameter in rows
    )
    return TrialShip(name="printed", loa_m=length_m), trial_set(*circles)


def test_a_second_circle_helps_where_it_was_needed() -> None:
    ship = ship_of(KVLCC2)
    small = trial_set(circle(KVLCC2, 10.0))
    one, two = (
        fitted(ship, trial_set(*(circle(KVLCC2, rudder_deg) for rudder_deg in rudders)))
        for rudders in ((35.0,), (35.0, 15.0))
    )
    worst = [max(abs(off) for _, off in misses(ship, small, fit)) for fit in (one, two)]
    assert worst[1] < 0.7 * worst[0]


def test_mariner_has_the_ratio_of_gain_and_lag_that_is_published() -> None:
    """Linear K 0.185 and T 107.3 s at 15 kn: K'/T' 0.75; 10/10 gives 0.86, 20/20 0.69 [C].

    Recorded turns of the linear ship at up to 5 degrees of helm give K and T themselves.
    """
    length_m, speed_kn = 160.93, 15.0
    length_s = length_m / m_per_s_from_kn(speed_kn)
    linear = Response(k_per_s=0.185, t_s=107.3, at_speed_kn=speed_kn)
    assert (linear.k_per_s * length_s, linear.t_s / length_s) == pytest.approx(
        (3.86, 5.15), abs=0.01
    )
    turns = tuple(_recorded(linear, length_m, speed_kn, rudder_deg) for rudder_deg in (5.0, -2.0))
    ship = TrialShip(name="Mariner", loa_m=length_m)
    found = response_of(fitted(ship, replace(trial_set(), own_turns=turns)))
    assert found.k_per_s / found.t_s == pytest.approx(0.185 / 107.3, rel=0.1)
    assert found.k_per_s == pytest.approx(0.185, rel=0.35)
    assert found.t_s == pytest.approx(107.3, rel=0.35)


def _recorded(response: Response, length_m: float, speed_kn: float, rudder_deg: float) -> OwnTurn:
    """Return a turn of 60 degrees or of 300 s as a recorder writes it, in a current."""
    model = ship_model(response, length_m, speed_kn, abs(rudder_deg))
    orders = (
        HelmOrder(rudder_deg=rudder_deg, at_s=20.0),
        HelmOrder(rudder_deg=-rudder_deg, at_heading_change_deg=4.0 * rudder_deg),
        HelmOrder(rudder_deg=0.0, at_heading_change_deg=3.0 * rudder_deg),
    )
    motion = run_orders(
        model,
        orders,
        [5.0 * step for step in range(80)],
        heading_deg=350.0,
        rudder_rate_deg_per_s=2.33,
        current=Current(set_deg=60.0, drift_m_per_s=0.8),
    )
    return OwnTurn(
        name=f"{rudder_deg:g}",
        speed_kn=speed_kn,
        rows=tuple(
            OwnTurnRow(time_s=t, heading_deg=h, rudder_deg=d, east_m=e, north_m=n)
            for t, h, d, e, n in zip(
                motion.time_s.tolist(),
                motion.heading_deg.tolist(),
                motion.rudder_deg.tolist(),
                motion.east_m.tolist(),
                motion.north_m.tolist(),
                strict=True,
            )
        ),
    )


def test_recorded_turns_tell_small_helm_in_any_current() -> None:
    """Turns of a known response at 10 degrees, recorded in 1.6 kn of current, give it back."""
    truth = Response(**TRUTH)
    turns = tuple(_recorded(truth, 280.0, 15.0, rudder_deg) for rudder_deg in (10.0, -15.0, 20.0))
    ship = TrialShip(name="her", loa_m=280.0)
    uncertain = fitted(ship, replace(trial_set(), own_turns=turns))
    unit = _ship_in_lengths(280.0, 15.0, (10.0, 1.0, 1.0, 1.0), (20.0, 1.0, 1.0, 1.0))[1]
    length_s = 280.0 / m_per_s_from_kn(15.0)
    exact = np.array(
        [
            *([0.055 * length_s], [110.0 / length_s], [14_000.0 / length_s**2], [1.0]),
            *([0.075], [0.7], [0.45], [0.5]),
        ]
    )
    numbers = trials_of(ship, unit)
    assert compared(numbers, uncertain) == pytest.approx(computed(numbers, exact)[:, 0], rel=0.03)


def test_a_recorder_on_the_bridge_is_not_taken_for_midships() -> None:
    """Places of a point 100 m abaft midships fit as those of midships, where its place is said."""
    turn = _recorded(Response(**TRUTH), 280.0, 15.0, 20.0)
    first = math.radians(turn.rows[0].heading_deg)

    def shifted(row: OwnTurnRow) -> OwnTurnRow:
        heading = math.radians(row.heading_deg)
        return replace(
            row,
            east_m=(row.east_m or 0.0) - 100.0 * (math.sin(heading) - math.sin(first)),
            north_m=(row.north_m or 0.0) - 100.0 * (math.cos(heading) - math.cos(first)),
        )

    aft = replace(turn, rows=tuple(shifted(row) for row in turn.rows))
    ship = TrialShip(name="her", loa_m=280.0)
    said = fitted(ship, replace(trial_set(), own_turns=(aft,), reference_from_bow_m=240.0))
    amidships = fitted(ship, replace(trial_set(), own_turns=(turn,)))
    assert said.theta == pytest.approx(amidships.theta, abs=2e-2)
    unsaid = fitted(ship, replace(trial_set(), own_turns=(aft,)))
    assert unsaid.theta != pytest.approx(amidships.theta, abs=1e-1)


@pytest.mark.parametrize("side", ["port", "starboard"])
def test_port_and_starboard_are_mirror_images(side: str) -> None:
    """The same numbers to either side give the same response: sides have no sign of their own."""
    trials = trial_set(replace(circle(COASTER_84, 35.0), side=side))
    ship = ship_of(COASTER_84)
    assert fitted(ship, trials).theta == fitted(ship, trial_set(circle(COASTER_84, 35.0))).theta


@settings(max_examples=5, deadline=None, derandomize=True, database=None)
@given(by=st.floats(0.3, 3.0))
def test_a_larger_ship_turns_alike_in_lengths(by: float) -> None:
    """All lengths times a number, speeds times its root (Froude): the same fit, times longer."""
    ship, plain = ship_of(COASTER_84), circle(COASTER_84, 35.0)
    root = by**0.5

    def longer(value: float | None) -> float | None:
        return None if value is None else value * by

    larger = replace(
        plain,
        speed_kn=plain.speed_kn * root,
        advance_m=longer(plain.advance_m),
        transfer_m=longer(plain.transfer_m),
        tactical_diameter_m=longer(plain.tactical_diameter_m),
        final_diameter_m=longer(plain.final_diameter_m),
        points=tuple(
            RoundPoint(
                heading_change_deg=point.heading_change_deg,
                time_s=(point.time_s or 0.0) * root,
                speed_kn=(point.speed_kn or 0.0) * root,
            )
            for point in plain.points
        ),
    )
    her = replace(
        ship, loa_m=ship.loa_m * by, rudder_rate_deg_per_s=ship.rudder_rate_deg_per_s / root
    )
    small, large = fitted(ship, trial_set(plain)), fitted(her, trial_set(larger))
    assert large.theta == pytest.approx(small.theta, abs=1e-3)
    assert response_of(large).t_s == pytest.approx(response_of(small).t_s * root, rel=2e-3)


def test_members_are_spread_as_the_fit_is_uncertain_and_are_the_same_every_time() -> None:
    ship = ship_of(COASTER_84)
    uncertain = fitted(ship, trial_set(circle(COASTER_84, 35.0)))
    ships = members(uncertain, 200)
    np.testing.assert_array_equal(ships, members(uncertain, 200))
    theta = np.log(ships)
    theta[3] = ships[3]
    theta[5] = np.log(ships[5]) - np.log(ships[4])
    assert theta.mean(axis=1) == pytest.approx(np.array(uncertain.theta), abs=1e-9)
    assert np.cov(theta, bias=True) == pytest.approx(np.array(uncertain.covariance), abs=1e-9)
    responses = member_responses(uncertain, 20)
    assert len({one.k_per_s for one in responses}) == 20
    assert responses[0].at_speed_kn == uncertain.at_speed_kn


def test_scores_are_normal() -> None:
    """Shares within one and two deviations, of all eight together: 68 and 95 %."""
    found = scores(512)
    assert np.mean(np.abs(found) < 1.0) == pytest.approx(0.683, abs=0.01)
    assert np.mean(np.abs(found) < 2.0) == pytest.approx(0.954, abs=0.01)
    assert np.max(np.abs(np.corrcoef(found) - np.eye(8))) < 1e-9
    with pytest.raises(OutOfDomain, match="17 or more"):
        scores(16)


@pytest.mark.parametrize("model", [*THREE, FEEDER_140, GAS_CARRIER_280], **NAMED)
def test_the_band_holds_what_was_not_given(model: ForceModel) -> None:
    """A 90 % band on advance and tactical diameter at 20 and 10 degrees from hard over alone, with
    the floor for what no response of this form can follow.
    """
    floor_m = STRUCTURAL_FLOOR_LENGTHS * model.length_m
    ship = ship_of(model)
    uncertain = fitted(ship, trial_set(circle(model, 35.0)))
    other = trials_of(ship, trial_set(circle(model, 20.0), circle(model, 10.0)))
    spread = computed(other, members(uncertain, 200))
    for number, row in zip(other.numbers, spread, strict=True):
        if number.quantity in ("advance", "tactical_diameter"):
            low, high = np.percentile(row, [5.0, 95.0])
            assert low - floor_m < number.value < high + floor_m, (
                number.quantity,
                number.rudder_deg,
            )


def test_more_data_make_the_band_narrower_and_a_ratio_wider() -> None:
    ship, one = ship_of(COASTER_84), trial_set(circle(COASTER_84, 35.0))
    two = trial_set(circle(COASTER_84, 35.0), circle(COASTER_84, 15.0))

    def spread(uncertain: Uncertain) -> float:
        return float(np.linalg.slogdet(np.array(uncertain.covariance))[1])

    alone = fitted(ship, one)
    wide = fit(evidence(ship, one), scatter_ratio=2.0)
    assert spread(fitted(ship, two)) < spread(alone) < spread(wide)
    assert wide.theta == alone.theta
    twice = np.array(fit(evidence(ship, one), band_ratio=2.0).covariance)
    assert twice == pytest.approx(4.0 * np.array(alone.covariance))
    assert len(alone.theta) == len(THETA)


def test_a_course_change_curve_is_met() -> None:
    """Distances that a known response makes, given as a curve, come out of the fit within 5 %."""
    ship = TrialShip(name="her", loa_m=280.0)
    theta = np.array(fitted(ship_of(COASTER_84), trial_set(circle(COASTER_84, 35.0))).theta)
    truth = responses_from(theta[:, None])
    curve = tuple(
        CourseChange(
            side="starboard", rudder_deg=15.0, change_deg=deg, speed_kn=15.0, distance_m=1.0
        )
        for deg in (30.0, 60.0, 90.0)
    )
    exact = computed(trials_of(ship, replace(trial_set(), course_changes=curve)), truth)[:, 0]
    known = tuple(
        replace(one, distance_m=float(value)) for one, value in zip(curve, exact, strict=True)
    )
    trials = replace(trial_set(), course_changes=known)
    assert all(abs(off) < 5.0 for _, off in misses(ship, trials, fitted(ship, trials)))


def test_nothing_given_is_refused() -> None:
    with pytest.raises(OutOfDomain, match="none of the numbers"):
        fitted(ship_of(COASTER_84), trial_set())
