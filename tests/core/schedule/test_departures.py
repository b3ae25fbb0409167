"""A plan at other departures: the same as the plan made anew for that departure."""

from dataclasses import replace

import pytest

from tests import zoo as common
from tests.core.depth import passages as zoo
from wheelover.core.times.departures import Retimed, departed, retimed
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.departures import Departed
from wheelover.core.types.plan import Plan
from wheelover.core.types.sky import DaylightNeed
from wheelover.core.types.stream import Stream, StreamAt

HOUR_S = 3600.0
TABLE = zoo.tide((0.0, 0.2), (6.0, 3.4), (12.0, 0.3), (18.0, 3.3))
TIDAL = replace(zoo.CALM, tides=(TABLE,))
REQUIRED = Limits(min_ukc_m=1.2)


def _made(conditions: Conditions = TIDAL, limits: Limits = REQUIRED) -> tuple[Plan, Retimed]:
    plan = zoo.plan(zoo.depth(13.2), conditions=conditions, limits=limits)
    return plan, retimed(plan, zoo.TANKER, conditions, limits)


def _outcomes(found: Departed) -> list[str]:
    return [one.outcome for one in found.gates]


@pytest.mark.parametrize("shift_h", [0.0, 2.0, 3.0, 5.0, 8.0, 11.0, 16.0, 30.0])
def test_a_gate_is_what_the_plan_made_for_that_departure_says(shift_h: float) -> None:
    _, base = _made()
    departure_s = zoo.DEPARTURE_S + shift_h * HOUR_S
    found = departed(base, departure_s)
    anew, _ = _made(replace(TIDAL, departure_s=departure_s))
    words = {True: "holds", False: "fails", None: "not_known"}
    expected = {one.piece: words[one.met] for one in anew.depths.sums}
    assert {one.gate.piece: one.outcome for one in found.gates} == expected
    assert found.arrival_s == pytest.approx(
        (anew.schedule.departure_s or 0.0) + (anew.schedule.duration_s or 0.0)
    )


def test_moving_it_by_hours_makes_gates_fail_and_hold() -> None:
    plan, base = _made()
    assert plan.schedule.departure_s == zoo.DEPARTURE_S
    at = [
        set(_outcomes(departed(base, zoo.DEPARTURE_S + hours * HOUR_S)))
        for hours in (0.0, 5.0, 11.0, 40.0)
    ]
    assert "fails" in at[0]
    assert at[1] == {"holds"}
    assert "fails" in at[2]
    assert at[3] == {"not_known"}


def test_windows_and_given_etas_stay_and_the_speed_makes_them() -> None:
    conditions = Conditions(departure_s=zoo.DEPARTURE_S)
    route = zoo.corner(zoo.depth(13.2))
    *first, last = route.waypoints
    eta_s = zoo.DEPARTURE_S + 6.0 * HOUR_S
    held = replace(last, eta_s=eta_s, arrive_to_s=eta_s + 60.0)
    route = replace(route, waypoints=(*first, held))
    ship = replace(zoo.TANKER, max_speed_kn=14.0)
    plan = common.plan(route, ship=ship, conditions=conditions, limits=REQUIRED)
    base = retimed(plan, ship, conditions, REQUIRED)
    later = departed(base, zoo.DEPARTURE_S + 1.0 * HOUR_S)
    assert later.arrival_s == pytest.approx(eta_s, abs=0.1)
    assert [one.result for one in later.windows] == ["met"]
    hasty = departed(base, zoo.DEPARTURE_S + 4.5 * HOUR_S)
    assert any("14 is her most" in one for one in hasty.problems)
    after = departed(base, eta_s + 60.0)
    assert after.arrival_s is None
    assert "not later than the departure" in (after.reason or "")


def test_what_hangs_on_another_speed_is_not_said_to_hold() -> None:
    route = zoo.corner(zoo.depth(13.2))
    *first, last = route.waypoints
    route = replace(route, waypoints=(*first, replace(last, eta_s=zoo.DEPARTURE_S + 8.0 * HOUR_S)))
    plan = common.plan(route, ship=zoo.TANKER, conditions=TIDAL, limits=REQUIRED)
    base = retimed(plan, zoo.TANKER, TIDAL, REQUIRED)
    found = departed(base, zoo.DEPARTURE_S + 2.0 * HOUR_S)
    assert set(_outcomes(found)) == {"not_known"}
    assert all("another speed" in (one.reason or "") for one in found.gates)


def test_streams_of_that_time_count_and_beyond_their_table_it_is_said() -> None:
    rows = tuple(
        StreamAt(at_s=zoo.DEPARTURE_S + hours * HOUR_S, set_deg=0.0, drift_kn=drift_kn)
        for hours, drift_kn in ((0.0, 0.0), (5.0, 2.0), (12.0, 2.0))
    )
    conditions = replace(TIDAL, streams=(Stream(station="Zoo bank", rows=rows),))
    _, base = _made(conditions)
    now, later = (departed(base, zoo.DEPARTURE_S + hours * HOUR_S) for hours in (0.0, 5.0))
    assert (later.duration_s or 0.0) < (now.duration_s or 0.0) - 60.0
    beyond = departed(base, zoo.DEPARTURE_S + 11.9 * HOUR_S)
    assert any("does not cover" in one for one in beyond.problems)


def test_without_a_table_of_tides_there_is_no_gate() -> None:
    _, base = _made(zoo.CALM)
    assert departed(base, zoo.DEPARTURE_S).gates == ()


def test_needs_of_daylight_are_those_of_the_plan_made_for_that_departure() -> None:
    needs = (
        DaylightNeed(waypoint_id="W1", part="wheel_over", reason="unlit mark"),
        DaylightNeed(waypoint_id="W2", part="waypoint", reason="pilot by boat"),
    )
    limits = replace(REQUIRED, daylight_needs=needs)
    _, base = _made(TIDAL, limits)
    seen = set()
    for hours in (-6.0, 0.0, 3.0, 8.0, 17.0):
        departure_s = zoo.DEPARTURE_S + hours * HOUR_S
        anew, _ = _made(replace(TIDAL, departure_s=departure_s), limits)
        dark = {one.subject.id for one in anew.findings if one.code.startswith("daylight_at")}
        found = departed(base, departure_s).daylight
        assert {one.need.waypoint_id for one in found if one.outcome == "fails"} == dark
        seen |= {one.outcome for one in found}
    assert seen == {"holds", "fails"}
