"""Papers in, responses out: what is said beside a response, and when there is none."""

from dataclasses import replace

import numpy as np
import pytest

from tests.core.trial_ships import circle, ship_of, trial_set, zig_zag_trial
from wheelover.core.manoeuvre.estimate_response import circle_of
from wheelover.core.manoeuvre.fit import compared, members
from wheelover.core.manoeuvre.fit_numbers import computed, trials_of
from wheelover.core.manoeuvre.fit_papers import by_depth, fitted_responses
from wheelover.core.manoeuvre.known_ships import COASTER_84, CONTAINER_SHIP_280, KCS, KVLCC2
from wheelover.core.types.fitted import FittedResponse
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.trials import (
    OwnTurn,
    OwnTurnRow,
    ShipPapers,
    Stopping,
    TrialSet,
    TrialShip,
    WantedUse,
)
from wheelover.core.units import kn_from_m_per_s

SHIP = ship_of(COASTER_84)
CIRCLE = circle(COASTER_84, 35.0)


def _one(
    trials: TrialSet, ship: TrialShip = SHIP, wanted: WantedUse | None = None
) -> FittedResponse:
    papers = ShipPapers(ship=ship, sets=(trials,), wanted=wanted or WantedUse())
    (found,) = fitted_responses(papers)
    return found


def _codes(found: FittedResponse, *, refusing: bool = False) -> set[str]:
    return {one.code for one in found.statements if one.refuses or not refusing}


def _width(found: FittedResponse) -> float:
    assert found.uncertain is not None
    return float(np.sqrt(np.array(found.uncertain.covariance)[0, 0]))


def test_a_response_says_what_its_data_cannot_tell() -> None:
    found = _one(trial_set(CIRCLE))
    assert found.origin == "fitted"
    assert found.response is not None
    wanted = {"small_helm", "checking", "smallest_helm", "one_side", "point_assumed"}
    assert wanted | {"deep_water_only", "this_loading_only", "trial_conditions"} <= _codes(found)
    assert "speed_in_the_turn" not in _codes(found)
    bare = replace(CIRCLE, points=())
    assert "speed_in_the_turn" in _codes(_one(trial_set(bare)))
    more = trial_set(CIRCLE, circle(COASTER_84, -35.0), zig_zags=(zig_zag_trial(COASTER_84, 20.0),))
    told = _codes(_one(replace(more, reference_from_bow_m=42.0)))
    assert not told & {"small_helm", "checking", "one_side", "point_assumed", "hard_over"}
    assert "sides" in told
    assert "hard_over" in _codes(_one(trial_set(circle(COASTER_84, 15.0))))


def test_comparisons_are_in_figures_and_words() -> None:
    found = _one(trial_set(CIRCLE))
    rows = {(row.quantity, row.heading_change_deg): row for row in found.comparisons}
    assert len(rows) == 12
    advance = rows["advance", 90.0]
    assert advance.given == CIRCLE.advance_m
    percent = 100.0 * (advance.computed / advance.given - 1.0)
    assert advance.difference_percent == pytest.approx(percent)
    sense = "long" if percent > 0.0 else "short"
    expected = (
        "advance to starboard as given"
        if abs(percent) < 0.5
        else f"advance to starboard {abs(percent):.0f} % {sense}"
    )
    assert advance.words == expected
    assert rows["final_diameter", None].unit == "m"


def test_sides_that_differ_are_named() -> None:
    """The container ship turns more tightly to port, as her published model does."""
    trials = trial_set(circle(CONTAINER_SHIP_280, 35.0), circle(CONTAINER_SHIP_280, -35.0))
    found = _one(trials, ship_of(CONTAINER_SHIP_280))
    (words,) = [one.message for one in found.statements if one.code == "sides"]
    assert "circles to starboard are" in words
    assert "wider than to the other side" in words


def test_numbers_that_contradict_are_named() -> None:
    advance_m = (CIRCLE.advance_m or 0.0) * 2.0
    found = _one(trial_set(replace(CIRCLE, advance_m=advance_m)))
    (words,) = [one.message for one in found.statements if one.code == "numbers_contradict"]
    assert "advance to starboard" in words
    assert not [one for one in _one(trial_set(CIRCLE)).statements if "contradict" in one.code]
    beyond = [one for one in found.checks if one.by == "given" and not one.met]
    assert [check.criterion for check in beyond] == ["5.3.1 advance"]


REFUSED = (
    ({"steered_by": "pods"}, {}, "pods"),
    ({"steered_by": "rudder_and_thrusters"}, {}, "rudder_and_thrusters"),
    ({}, {"speed_kn": 4.0}, "slow"),
    ({}, {"depth_m": 14.0}, "shallow_water"),
    ({}, {"depth_m": 14.0, "draught_m": 10.0}, "shallow_water"),
)


@pytest.mark.parametrize(("ship", "wanted", "code"), REFUSED)
def test_outside_its_limits_there_is_no_response(
    ship: dict[str, str], wanted: dict[str, float], code: str
) -> None:
    found = _one(trial_set(CIRCLE), replace(SHIP, **ship), WantedUse(**wanted))  # type: ignore[arg-type]
    assert found.response is None
    assert found.uncertain is None
    assert found.comparisons == ()
    assert _codes(found, refusing=True) == {code}


def test_trials_under_five_knots_are_no_evidence() -> None:
    found = _one(trial_set(replace(CIRCLE, speed_kn=4.5)))
    assert _codes(found, refusing=True) == {"slow"}


def test_another_speed_is_extrapolated() -> None:
    assert "other_speed" not in _codes(_one(trial_set(CIRCLE), wanted=WantedUse(speed_kn=9.0)))
    assert "other_speed" in _codes(_one(trial_set(CIRCLE), wanted=WantedUse(speed_kn=7.0)))


def test_own_trials_of_such_depth_are_good_for_it() -> None:
    wanted = WantedUse(depth_m=13.0)
    shallow = replace(trial_set(CIRCLE), depth_m=13.0)
    found = _one(shallow, wanted=wanted)
    assert found.response is not None
    assert "data_of_shallow_water" in _codes(found)
    assert _one(trial_set(CIRCLE), wanted=wanted).response is None
    near = _one(trial_set(CIRCLE), wanted=WantedUse(depth_m=20.0))
    assert near.response is not None
    assert "shallow_water" in _codes(near)


def test_two_propellers_need_trials_and_make_the_band_twice_as_wide() -> None:
    twin = replace(SHIP, propeller_count=2)
    found, plain = _one(trial_set(CIRCLE), twin), _one(trial_set(CIRCLE))
    assert found.response is not None
    assert plain.response is not None
    assert replace(found.response, covariance=None) == replace(plain.response, covariance=None)
    assert found.uncertain is not None
    assert found.uncertain.band_ratio == 2.0
    assert _width(found) == pytest.approx(2.0 * _width(plain))
    (none,) = fitted_responses(ShipPapers(ship=replace(_dimensions(KCS, 0.651), propeller_count=2)))
    assert none.response is None
    assert _codes(none, refusing=True) == {"twin_screw"}


def test_another_loading_makes_the_band_wider() -> None:
    found = _one(trial_set(CIRCLE), wanted=WantedUse(draught_m=6.0))
    assert "other_loading" in _codes(found)
    assert _width(found) > _width(_one(trial_set(CIRCLE), wanted=WantedUse(draught_m=10.5)))


def test_each_depth_and_each_loading_has_its_own() -> None:
    shallow = replace(circle(COASTER_84, 20.0), depth_m=14.0)
    laden = replace(trial_set(CIRCLE, shallow), stoppings=(_stop("full astern", 800.0),))
    parts = list(by_depth(laden))
    assert [part.depth_m for part in parts] == [None, 14.0]
    assert [len(part.circles) for part in parts] == [1, 1]
    assert [len(part.stoppings) for part in parts] == [1, 0]
    ballast = replace(trial_set(circle(COASTER_84, 20.0)), loading="ballast", draught_fore_m=5.0)
    found = fitted_responses(ShipPapers(ship=SHIP, sets=(laden, ballast)))
    assert [(one.loading, one.depth_m) for one in found] == [
        ("laden", None),
        ("laden", 14.0),
        ("ballast", None),
    ]
    assert [one.draught_m for one in found] == [10.0, 10.0, 7.5]


def test_a_loading_without_trials_is_estimated_beside_one_with() -> None:
    ship = replace(SHIP, beam_m=14.0, block_coefficient=0.75, speed_kn=10.0)
    laden = replace(trial_set(CIRCLE), draught_fore_m=5.5, draught_aft_m=5.5)
    ballast = TrialSet(loading="ballast", draught_fore_m=3.0, draught_aft_m=4.0)
    found = fitted_responses(ShipPapers(ship=ship, sets=(laden, ballast)))
    assert [(one.loading, one.origin, one.draught_m) for one in found] == [
        ("laden", "fitted", 5.5),
        ("ballast", "estimated", 3.5),
    ]
    assert all(one.response is not None for one in found)


def _stop(order: str, reach_m: float) -> Stopping:
    return Stopping(order=order, speed_kn=10.0, track_reach_m=reach_m)


def test_stops_are_compared_with_the_standard() -> None:
    stops = (_stop("Full astern", 1400.0), _stop("stop engine", 3000.0))
    found = _one(replace(trial_set(CIRCLE), stoppings=stops))
    rows = [check for check in found.checks if check.criterion == "5.3.4 stopping"]
    assert [(round(row.measured, 2), row.met) for row in rows] == [(16.67, False)]
    assert "stopping_kept" in _codes(found)


def test_recorded_turns_make_it_recorded() -> None:
    rows = tuple(
        OwnTurnRow(time_s=float(t), heading_deg=(t * t / 400.0) % 360.0, rudder_deg=10.0)
        for t in range(0, 120, 5)
    )
    turn = OwnTurn(name="off the cape", speed_kn=10.0, rows=rows)
    found = _one(replace(trial_set(), own_turns=(turn,)))
    assert found.origin == "recorded"
    assert [row.quantity for row in found.comparisons] == ["largest_miss_of_heading"]
    assert "off the record" in found.comparisons[0].words
    assert "smallest_helm" not in _codes(found)


def _dimensions(model: ForceModel, block_coefficient: float) -> TrialShip:
    return TrialShip(
        name=model.name,
        loa_m=model.length_m,
        lpp_m=model.length_m,
        beam_m=model.beam_m,
        draught_fore_m=model.draught_m,
        draught_aft_m=model.draught_m,
        block_coefficient=block_coefficient,
        rudder_area_m2=model.rudder.area_m2,
        speed_kn=float(kn_from_m_per_s(model.speed_m_per_s)),
    )


@pytest.mark.parametrize(("model", "block"), [(KVLCC2, 0.81), (KCS, 0.651)])
def test_an_estimate_is_marked_and_its_band_holds_the_published_ship(
    model: ForceModel, block: float
) -> None:
    """Advance within 10 %, tactical diameter 20 %, times 17 %; a 90 % band holds the first two."""
    ship = _dimensions(model, block)
    (found,) = fitted_responses(ShipPapers(ship=ship))
    assert found.origin == "estimated"
    assert "estimated" in _codes(found)
    assert found.uncertain is not None
    assert found.uncertain.scatter_ratio >= 10.0
    circles = tuple(circle_of(model, ship, rudder_deg) for rudder_deg in (35.0, 20.0, 10.0))
    truth = trials_of(ship, trial_set(*circles))
    spread = computed(truth, members(found.uncertain, 200))
    goals = {"advance": 10.0, "tactical_diameter": 20.0, "time": 17.0}
    values = compared(truth, found.uncertain)
    for number, value, row in zip(truth.numbers, values, spread, strict=True):
        off = 100.0 * (value / number.value - 1.0)
        assert abs(off) < goals.get(number.quantity, 35.0), (number.quantity, number.rudder_deg)
        if number.quantity in ("advance", "tactical_diameter"):
            low, high = np.percentile(row, [5.0, 95.0])
            assert low < number.value < high


def test_an_estimate_that_cannot_be_made_says_what_it_lacks() -> None:
    bare = TrialShip(name="her", loa_m=200.0)
    (found,) = fitted_responses(ShipPapers(ship=bare))
    assert _codes(found, refusing=True) == {"dimensions_missing"}
    (found,) = fitted_responses(ShipPapers(ship=bare, wanted=WantedUse(draught_m=9.0)))
    (words,) = [one.message for one in found.statements if one.code == "no_estimate"]
    assert "beam_m, block_coefficient, speed_kn" in words
    wide = replace(_dimensions(KCS, 0.651), beam_m=80.0)
    (found,) = fitted_responses(ShipPapers(ship=wide))
    assert _codes(found, refusing=True) == {"no_estimate"}
