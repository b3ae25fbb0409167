"""A stream known for a part of the way only: nothing that rests on the rest is told as certain.

That a table says nothing outside its rows is the rule that tests of streams hold it to.
"""

from dataclasses import replace

import pytest

from tests import zoo as common
from tests.core.depth import passages as zoo
from wheelover.core.times.departures import departed, retimed
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.departures import Departed
from wheelover.core.types.plan import CheckRow, Plan
from wheelover.core.types.sky import DaylightNeed
from wheelover.core.types.stream import Stream, StreamAt

HOUR_S = 3600.0
NEED = DaylightNeed(waypoint_id="W1", part="waypoint", reason="pilot by boat")
TIDE = zoo.tide((-6.0, 9.0), (0.0, 9.0), (24.0, 9.0))


def _stream(hours: float) -> Stream:
    return Stream(
        station="Zoo bank",
        rows=tuple(
            StreamAt(at_s=zoo.DEPARTURE_S + at_h * HOUR_S, set_deg=45.0, drift_kn=4.0)
            for at_h in (0.0, hours)
        ),
    )


def _made(*streams: Stream) -> tuple[Plan, Departed]:
    """Return a plan with a window and a need of daylight, and the same re-timed."""
    conditions = replace(zoo.CALM, tides=(TIDE,), streams=streams)
    limits = Limits(min_ukc_m=1.2, daylight_needs=(NEED,))
    ends = zoo.DEPARTURE_S + 20.0 * HOUR_S
    route = zoo.corner(zoo.depth(30.0), zoo.depth(30.0))
    first, *others = route.waypoints
    route = replace(route, waypoints=(first, *(replace(one, arrive_to_s=ends) for one in others)))
    ship = replace(zoo.TANKER, gyro_error_deg=0.0)
    plan = common.plan(route, ship=ship, conditions=conditions, limits=limits)
    return plan, departed(retimed(plan, ship, conditions, limits), zoo.DEPARTURE_S)


def _reasons(moved: Departed) -> list[str]:
    """Return why windows, needs of daylight and gates are what they are."""
    return [
        *(one.reason or "" for one in moved.windows),
        *(one.reason or "" for one in moved.daylight),
        *(one.reason or "" for one in moved.gates),
    ]


def _row(plan: Plan, check: str) -> CheckRow:
    return next(one for one in plan.checks if one.check == check)


def test_no_mean_stream_and_no_course_to_steer_come_of_a_table_that_ends_on_the_leg() -> None:
    plan, _ = _made(_stream(0.5))
    leg = plan.schedule.legs[0]
    assert (leg.steer_deg, leg.set_deg, leg.drift_kn) == (None, None, None)
    assert plan.sky.courses[0].to_steer is None
    assert any("Zoo bank" in one for one in plan.sky.courses[0].not_known)
    assert leg.steps[0].drift_kn == pytest.approx(4.0)
    whole, _ = _made(_stream(48.0))
    assert whole.schedule.legs[0].drift_kn == pytest.approx(4.0)
    assert whole.sky.courses[0].to_steer is not None


def test_windows_daylight_and_gates_are_not_told_as_met_on_water_that_is_not_known() -> None:
    plan, moved = _made(_stream(0.5))
    assert {one.result for one in plan.schedule.windows} == {"not_known"}
    assert {one.result for one in moved.windows} == {"not_known"}
    assert _row(plan, "daylight").result == "not_checked"
    assert [one.outcome for one in moved.daylight] == ["not_known"]
    assert {one.outcome for one in moved.gates} == {"not_known"}
    assert all("does not cover" in why for why in _reasons(moved))


def test_they_are_met_on_a_stream_that_is_known() -> None:
    plan, moved = _made(_stream(48.0))
    assert {one.result for one in plan.schedule.windows} == {"met"}
    assert _row(plan, "daylight").result == "met"
    assert [one.outcome for one in moved.daylight] == ["holds"]
    assert {one.outcome for one in moved.gates} == {"holds"}
    assert set(_reasons(moved)) == {""}
    assert moved.problems == ()


def test_without_a_current_it_is_said_what_they_rest_on() -> None:
    plan, moved = _made()
    assert any("No current is given on the legs to" in one for one in moved.problems)
    told = [*_reasons(moved), *(one.reason or "" for one in plan.schedule.windows)]
    assert all("no current is given" in why for why in told)
    assert _row(plan, "daylight").result == "not_checked"


def test_a_departure_that_is_counted_back_rests_on_the_whole_way() -> None:
    """The stream is known on the first leg and not on the second, from whose end it is counted."""
    conditions = Conditions(streams=(_stream(2.0),))
    route = zoo.corner(zoo.depth(30.0), zoo.depth(30.0))
    first, middle, last = route.waypoints
    middle = replace(middle, arrive_to_s=zoo.DEPARTURE_S + 20.0 * HOUR_S)
    last = replace(last, eta_s=zoo.DEPARTURE_S + 3.0 * HOUR_S)
    route = replace(route, waypoints=(first, middle, last))
    plan = common.plan(route, ship=zoo.TANKER, conditions=conditions)
    assert plan.schedule.departure_source == "computed"
    assert [one.covered for one in plan.schedule.legs] == [True, False]
    assert [one.result for one in plan.schedule.windows] == ["not_known"]
