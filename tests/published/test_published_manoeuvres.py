"""The force model against published manoeuvres. Sources stand beside each row in SOURCES.md.

"Experiment" and "calculated" are the columns of Yasukawa and Yoshimura 2015, Tables 4 and 5, read
in public copies; "ours" is what this service computes. Values marked [C] were computed
elsewhere from the same published coefficients and printed rounded.
"""

from dataclasses import replace
from functools import partial

import pytest

from wheelover.core.manoeuvre.known_ships import COASTER_84, KCS, KVLCC2, KVLCC2_MODEL
from wheelover.core.manoeuvre.mmg import balanced_revolutions_per_s
from wheelover.core.manoeuvre.run_forces import run_force_model
from wheelover.core.manoeuvre.standard import turning_circle, zig_zag
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.standard_manoeuvres import TurningCircle

MODEL_RATE_DEG_PER_S = 15.8
SHIP_RATE_DEG_PER_S = 2.34

CIRCLES = (
    # rudder, (advance, tactical diameter) in lengths: experiment, calculated, ours
    (35.0, (3.25, 3.34), (3.31, 3.36), (3.291, 3.329)),
    (-35.0, (3.11, 3.08), (3.26, 3.26), (3.312, 3.327)),
)
ZIG_ZAGS = (
    # rudder and heading, overshoots in degrees: experiment, calculated, ours
    (10.0, (8.2, 21.9), (5.2, 15.8), (5.23, 15.79)),
    (-10.0, (9.5, 15.0), (7.6, 10.2), (7.61, 9.96)),
    (20.0, (13.7,), (10.9,), (10.91,)),
    (-20.0, (15.1,), (14.5,), (14.56,)),
)


def _circle(model: ForceModel, rudder_deg: float, rate_deg_per_s: float) -> TurningCircle:
    run = partial(run_force_model, model, heading_deg=0.0, rudder_rate_deg_per_s=rate_deg_per_s)
    return turning_circle(
        run, rudder_deg=rudder_deg, length_m=model.length_m, speed_m_per_s=model.speed_m_per_s
    )


def _lengths(model: ForceModel, circle: TurningCircle) -> tuple[float, float, float]:
    return (
        circle.advance_m / model.length_m,
        circle.transfer_m / model.length_m,
        circle.tactical_diameter_m / model.length_m,
    )


def _overshoots_deg(model: ForceModel, angle_deg: float, rate_deg_per_s: float) -> list[float]:
    run = partial(run_force_model, model, heading_deg=0.0, rudder_rate_deg_per_s=rate_deg_per_s)
    found = zig_zag(
        run,
        rudder_deg=angle_deg,
        heading_change_deg=abs(angle_deg),
        length_m=model.length_m,
        speed_m_per_s=model.speed_m_per_s,
    )
    return [swing.overshoot_deg for swing in found.swings]


@pytest.mark.parametrize(("rudder_deg", "experiment", "calculated", "ours"), CIRCLES)
def test_turning_circles_of_the_tanker_model(
    rudder_deg: float,
    experiment: tuple[float, float],
    calculated: tuple[float, float],
    ours: tuple[float, float],
) -> None:
    """F1: 2.5 % of the calculated column, 10 % of the model test, and as recorded."""
    advance, _, diameter = _lengths(
        KVLCC2_MODEL, _circle(KVLCC2_MODEL, rudder_deg, MODEL_RATE_DEG_PER_S)
    )
    for found, test, paper, record in zip(
        (advance, diameter), experiment, calculated, ours, strict=True
    ):
        assert found == pytest.approx(paper, rel=0.025)
        assert found == pytest.approx(test, rel=0.10)
        assert found == pytest.approx(record, abs=1e-3)


@pytest.mark.parametrize(("angle_deg", "experiment", "calculated", "ours"), ZIG_ZAGS)
def test_zig_zags_of_the_tanker_model(
    angle_deg: float,
    experiment: tuple[float, ...],
    calculated: tuple[float, ...],
    ours: tuple[float, ...],
) -> None:
    """F2: 0.3 degrees of the calculated column and as recorded; the first 3.5 of the model test, of
    which every overshoot falls short: she is not as easily checked as the model says.
    """
    found = _overshoots_deg(KVLCC2_MODEL, angle_deg, MODEL_RATE_DEG_PER_S)[: len(ours)]
    assert found == pytest.approx(list(calculated), abs=0.3)
    assert found == pytest.approx(list(ours), abs=0.01)
    assert found[0] == pytest.approx(experiment[0], abs=3.5)
    assert all(one < test for one, test in zip(found, experiment, strict=True))


def test_the_printed_resistance_does_not_give_the_printed_circle() -> None:
    """F3: with 0.022 the revolutions are 11.86 and the circle is 5 to 10 % too small."""
    assert balanced_revolutions_per_s(KVLCC2_MODEL) == pytest.approx(10.4, abs=0.01)
    literal = replace(KVLCC2_MODEL, hull=replace(KVLCC2_MODEL.hull, resistance=0.022))
    assert balanced_revolutions_per_s(literal) == pytest.approx(11.86, abs=0.01)
    advance, _, diameter = _lengths(literal, _circle(literal, 35.0, MODEL_RATE_DEG_PER_S))
    assert (advance, diameter) == pytest.approx((3.08, 3.12), abs=0.01)
    assert _overshoots_deg(literal, 10.0, MODEL_RATE_DEG_PER_S)[:2] == pytest.approx(
        [4.9, 13.6], abs=0.06
    )


def test_the_tanker_at_full_size() -> None:
    """F4 [C]: computed elsewhere; 75.5 rev/min, circles to 1 %, overshoots 0.1 degrees."""
    assert balanced_revolutions_per_s(KVLCC2) * 60.0 == pytest.approx(75.5, abs=0.05)
    wanted = {35.0: (3.47, 1.52, 3.51), 20.0: (4.34, 2.12, 4.76), 10.0: (6.05, 3.22, 6.92)}
    for rudder_deg, numbers in wanted.items():
        found = _circle(KVLCC2, rudder_deg, SHIP_RATE_DEG_PER_S)
        assert _lengths(KVLCC2, found) == pytest.approx(numbers, rel=0.01)
    hard = _circle(KVLCC2, 35.0, SHIP_RATE_DEG_PER_S)
    assert (hard.points[0].time_s, hard.points[1].time_s) == pytest.approx((197.0, 405.0), rel=0.01)
    assert hard.final_speed_m_per_s / KVLCC2.speed_m_per_s == pytest.approx(0.285, rel=0.01)
    rates = (hard.rate_max_deg_per_min, hard.final_rate_deg_per_min)
    assert rates == pytest.approx((35.4, 20.7), rel=0.01)
    assert _overshoots_deg(KVLCC2, 10.0, SHIP_RATE_DEG_PER_S)[:2] == pytest.approx(
        [5.7, 19.4], abs=0.1
    )
    assert _overshoots_deg(KVLCC2, 20.0, SHIP_RATE_DEG_PER_S)[:2] == pytest.approx(
        [11.7, 19.7], abs=0.1
    )
    literal = replace(KVLCC2, hull=replace(KVLCC2.hull, resistance=0.022))
    found = _circle(literal, 35.0, SHIP_RATE_DEG_PER_S)
    assert _lengths(literal, found) == pytest.approx((2.98, 1.27, 3.00), rel=0.01)


def test_the_container_ship() -> None:
    """F5 [C]: computed elsewhere; circles to 1 %, overshoots 0.15 degrees."""
    wanted = {
        35.0: (3.37, 1.58, 3.59),
        -35.0: (3.25, 1.48, 3.36),
        20.0: (4.10, 2.21, 4.98),
        10.0: (5.62, 3.37, 7.35),
    }
    for rudder_deg, numbers in wanted.items():
        found = _circle(KCS, rudder_deg, SHIP_RATE_DEG_PER_S)
        assert _lengths(KCS, found) == pytest.approx(numbers, rel=0.01)
    hard, easy = (_circle(KCS, rudder_deg, SHIP_RATE_DEG_PER_S) for rudder_deg in (35.0, 10.0))
    assert hard.final_speed_m_per_s / KCS.speed_m_per_s == pytest.approx(0.50, abs=0.01)
    assert easy.final_speed_m_per_s / KCS.speed_m_per_s == pytest.approx(0.81, abs=0.01)
    assert _overshoots_deg(KCS, 10.0, SHIP_RATE_DEG_PER_S)[:2] == pytest.approx(
        [6.2, 12.3], abs=0.15
    )
    assert _overshoots_deg(KCS, 20.0, SHIP_RATE_DEG_PER_S)[0] == pytest.approx(13.9, abs=0.15)


def test_the_coaster_loses_most_of_her_speed_hard_over() -> None:
    """F6 [C]: computed elsewhere; 0.35 of the approach speed."""
    hard = _circle(COASTER_84, 35.0, SHIP_RATE_DEG_PER_S)
    assert hard.final_speed_m_per_s / COASTER_84.speed_m_per_s == pytest.approx(0.35, abs=0.005)
