"""The swing of floating marks that state no uncertainty of position."""

from dataclasses import replace

import numpy as np

from tests import zoo
from tests.core.test_margins import NORTH, _beside
from wheelover.core.swing import UNKNOWN_DEPTH_SWING_M, with_swing
from wheelover.core.types.chart import Chart, Hazards


def _marks() -> Hazards:
    marks = _beside((500.0, "buoy"), (500.0, "buoy"), (500.0, "beacon"), (500.0, "light float"))
    return replace(
        marks,
        depth_m=np.array([20.0, np.nan, 20.0, 0.0]),
        uncertainty_given=np.array([False, False, False, False]),
    )


def test_three_depths_or_the_default_are_taken_off() -> None:
    swung = with_swing(_marks())
    assert swung.position_uncertainty_m.tolist() == [
        60.0, UNKNOWN_DEPTH_SWING_M, 0.0, UNKNOWN_DEPTH_SWING_M,
    ]  # fmt: skip
    assert not swung.uncertainty_given.any()


def test_what_was_stated_stays_and_the_same_dangers_give_the_same() -> None:
    given = replace(
        _marks(),
        uncertainty_given=np.ones(4, dtype=np.bool_),
        position_uncertainty_m=np.array([5.0, 0.0, 0.0, 1.0]),
    )
    assert with_swing(given) is given
    marks = _marks()
    assert with_swing(marks) is with_swing(marks)
    assert with_swing(with_swing(marks)) is with_swing(marks)
    assert with_swing(zoo.points([])).count == 0


def test_the_plan_says_what_is_assumed() -> None:
    chart = Chart(loaded=True, hazards=with_swing(_marks()))
    plan = zoo.plan(zoo.route(NORTH), a_chart=chart)
    rows = {one.input: one for one in plan.basis}
    assert rows["swing of floating marks"].source == "default"
    assert (rows["swing of floating marks"].note or "").startswith("3 marks")
    assert (rows["position uncertainty of dangers"].note or "").startswith("1 dangers")
    (row,) = [one for one in plan.checks if one.check == "dangers_loaded"]
    assert "the swing of 3 floating marks is assumed" in (row.not_checked or "")
    clearances = {one.hazard_index: one.clearance_m for one in plan.clearances.rows}
    assert np.round([clearances[0], clearances[2]], 2).tolist() == [440.0, 500.0]
