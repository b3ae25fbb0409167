"""The turn from the planned track onto a contingency's first leg, held against sums by hand.

The tangent length of a turn is R tan(change / 2) and its arc R times the change: plane geometry, as
in every text on planned turns (Bowditch; from memory). The wheel-over lies the reach before it.
"""

import math
from dataclasses import replace

import pytest

from tests import zoo
from tests.core.monitoring.narrows import beside
from wheelover.core.planning import make_plan
from wheelover.core.types.bridge import Bridge
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.contingency import CheckedContingency, Contingency
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedTurn
from wheelover.render.contingencies import contingency_features, contingency_rows
from wheelover.render.document import plan_document

MAIN = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
SHIP = replace(zoo.SHIP, reach_m=200.0)
RADIUS_M = 926.0


def leaving(
    along_m: float,
    change_deg: float,
    *,
    aside_m: float = 0.0,
    chart: Chart = zoo.NO_CHART,
    ship: ShipProfile | None = SHIP,
    from_id: str = "W1",
    conditions: Conditions | None = None,
    min_clearance_m: float = 150.0,
) -> Plan:
    """Return a plan whose contingency leaves the leg north so far along, and then runs 8 km."""
    start, ahead = beside(along_m, aside_m), math.radians(change_deg)
    end = beside(along_m + 8000.0 * math.cos(ahead), aside_m + 8000.0 * math.sin(ahead))
    route = zoo.route([start, end])
    renamed = tuple(replace(one, id=f"c{one.id}") for one in route.waypoints)
    made = Contingency(
        id="c1", kind="anchorage", from_id=from_id, route=replace(route, waypoints=renamed)
    )
    return make_plan(
        zoo.route(MAIN, leg=LegWishes(line="rhumb", speed_kn=12.0)), ship, chart,
        conditions or Conditions(), Limits(min_clearance_m=min_clearance_m),
        Bridge(contingencies=(made,)),
    )  # fmt: skip


def only(plan: Plan) -> CheckedContingency:
    (one,) = plan.bridge.contingencies
    return one


def turn_of(one: CheckedContingency) -> PlannedTurn:
    assert one.leaving.plan is not None
    return one.leaving.plan.turns[0]


def found(plan: Plan) -> dict[str, str]:
    return {one.code: one.message for one in plan.findings if one.code.startswith("contingency")}


def why(plan: Plan) -> str:
    row = next(one for one in plan.checks if one.check == "contingencies")
    return row.not_checked or ""


@pytest.mark.parametrize("change_deg", [45.0, -60.0, 100.0])
def test_its_wheel_over_lies_the_tangent_and_the_reach_before_the_place(change_deg: float) -> None:
    one = only(leaving(15_000.0, change_deg))
    turn = turn_of(one)
    assert turn.arc is not None
    assert one.leaving.wheel_over_m is not None
    assert one.leaving.decide is not None
    tangent_m = RADIUS_M * math.tan(math.radians(abs(change_deg)) / 2.0)
    # The sphere of the earth moves a tangent of a kilometre by less than a metre.
    assert turn.course_change_deg == pytest.approx(change_deg, abs=0.1)
    assert one.leaving.wheel_over_m == pytest.approx(tangent_m + 200.0, abs=3.0)
    assert turn.arc.arc_m == pytest.approx(RADIUS_M * math.radians(abs(change_deg)), abs=3.0)
    assert one.leaving.decide.along_m == pytest.approx(15_000.0 - tangent_m - 200.0, abs=3.0)
    assert "decided at that place, it is past" in one.leaving.notes[0]


def test_she_turns_with_the_speed_and_the_time_of_the_leg_she_leaves() -> None:
    one = only(leaving(15_000.0, 45.0, conditions=Conditions(departure_s=10_000.0)))
    turn = turn_of(one)
    assert turn.approach_speed_kn == 12.0
    assert one.leaving.decide is not None
    assert one.leaves is not None
    assert one.leaves.at_s is not None
    # 12 kn are 6.1733 m/s.
    assert one.leaves.at_s == pytest.approx(15_000.0 / 6.17333, abs=1.0)
    gone_m = one.leaves.along_m - one.leaving.decide.along_m
    assert one.leaves.at_s - (one.leaving.decide.at_s or 0.0) == pytest.approx(
        gone_m / 6.17333, abs=1.0
    )


def test_a_danger_in_the_bend_is_a_finding_that_neither_route_has() -> None:
    """Inside the bend, 80 m from the middle of the arc: R / cos(change / 2) - R from the place."""
    gap_m = RADIUS_M / math.cos(math.radians(45.0)) - RADIUS_M
    aside_m = (gap_m + 80.0) * math.sin(math.radians(45.0))
    rock = zoo.chart(beside(15_000.0 - aside_m, aside_m))
    plan = leaving(15_000.0, 90.0, chart=rock)
    turn = only(plan).leaving.plan
    assert turn is not None
    least = next(one for one in turn.clearances.least if one.piece.kind == "turn")
    assert least.clearance_m == pytest.approx(80.0, abs=3.0)
    assert "contingency_must_resolve" not in found(plan)
    assert "h0" in found(plan)["contingency_turn_must_resolve"]
    assert not [one for one in plan.findings if one.code == "clearance_limit" and one.about == "h0"]
    away = leaving(15_000.0, 90.0, chart=zoo.chart(beside(15_000.0 - 3000.0, 3000.0)))
    assert "contingency_turn_must_resolve" not in found(away)


def test_the_hull_is_swept_through_it_and_a_late_helm_is_looked_at() -> None:
    ship = replace(SHIP, response=zoo.QUICK_RESPONSE)
    turn = only(leaving(15_000.0, 60.0, ship=ship, chart=zoo.chart((47.5, -30.5)))).leaving.plan
    assert turn is not None
    assert turn.swept_turns[0].turn_index == 0
    assert turn.late_helms[0].turn_index == 0
    assert {"turn_swept", "turn_late_helm", "turn_land", "turn_clearance"} <= {
        one.check for one in turn.checks if one.subject.kind == "turn" and one.subject.index == 0
    }


def test_a_wheel_over_that_is_passed_before_the_leg_begins_must_be_resolved() -> None:
    """90 degrees want 926 + 200 m; she has 700 m of the leg."""
    plan = leaving(700.0, 90.0)
    one = only(plan)
    assert one.leaving.late_m == pytest.approx(1126.0 - 700.0, abs=3.0)
    assert one.leaving.decide is None
    assert (
        f"is past {math.ceil(one.leaving.late_m or 0.0)} m before she steadies"
        in (found(plan)["contingency_wheel_over_past"])
    )
    assert "contingency_wheel_over_past" not in found(leaving(1200.0, 90.0))


def test_behind_a_turn_the_leg_begins_where_she_steadies() -> None:
    """The second leg is joined a tangent length behind W1: 926 m for 90 degrees."""
    lat, lon = 47.3, -30.0 + 0.5 * 1000.0 / 37_910.0
    route = zoo.route([(lat, lon), (47.35, lon)])
    made = Contingency(id="c1", kind="refuge", from_id="W2", route=route)
    plan = make_plan(
        zoo.route(MAIN, leg=LegWishes(line="rhumb", speed_kn=12.0)), SHIP, zoo.NO_CHART,
        Conditions(), Limits(), Bridge(contingencies=(made,)),
    )  # fmt: skip
    one = only(plan)
    assert one.leaving.begins is not None
    assert one.leaving.begins.along_m == pytest.approx(926.0, abs=3.0)
    assert one.leaving.late_m is not None
    early = replace(made, route=zoo.route([(47.3, -29.993), (47.35, -29.993)]))
    plan = make_plan(
        zoo.route(MAIN), SHIP, zoo.NO_CHART, Conditions(), Limits(),
        Bridge(contingencies=(early,)),
    )  # fmt: skip
    assert "before she steadies on the leg to W2" in why(plan)


def test_where_the_main_wheel_over_comes_first_she_decides_by_then() -> None:
    """Leaving by 20 degrees at W1 itself: its wheel-over lies nearer to W1 than the turn's."""
    one = only(leaving(33_350.0, 20.0))
    assert one.leaving.decide is not None
    assert one.leaving.wheel_over_m is not None
    # 90 degrees at W1 want 926 + 200 m.
    assert one.leaving.decide.before_m == pytest.approx(1126.0, abs=3.0)
    assert "the turn at W1 comes before that" in one.leaving.notes[1]


def test_where_no_turn_is_laid_the_reason_is_told() -> None:
    told = "of contingency c1 the turn from the leg to W1 onto its first leg, 45 degrees to "
    off = leaving(15_000.0, 45.0, aside_m=900.0)
    assert only(off).leaving.plan is None
    assert f"{told}starboard, is not checked: its route begins 0.49 NM off the leg" in why(off)
    assert "farther than 0.11 NM" in why(off)
    shipless = leaving(15_000.0, 45.0, ship=None)
    assert "is not checked" in why(shipless)
    assert (
        "leaves from the leg to gone"
        in found(leaving(15_000.0, 45.0, from_id="gone"))["contingency_leaves_nowhere"]
    )
    assert "where it leaves the track" in why(leaving(15_000.0, 45.0, from_id="gone"))
    back = leaving(15_000.0, 175.0)
    assert only(back).leaving.wheel_over_m is None
    assert "contingency_turn_must_resolve" in found(back)
    assert "is not checked" in why(back)


def test_what_of_it_was_not_checked_in_full_is_counted() -> None:
    told = why(leaving(15_000.0, 45.0))
    assert "onto its first leg, 45 degrees to starboard, " in told
    assert "of 19 checks due were not made in full" in told


def test_the_first_leg_is_checked_as_she_joins_it_from_the_leg() -> None:
    """Its route begins 150 m off, inside her length: the leg from the track passes the rock."""
    plan = leaving(15_000.0, 90.0, aside_m=150.0, chart=zoo.chart(beside(15_000.0, 4000.0)))
    one = only(plan)
    assert one.leaving.plan is not None
    assert one.leaving.plan.legs[1].path is not None
    assert one.leaving.plan.legs[1].length_m == pytest.approx(8150.0, abs=3.0)


def test_the_straight_way_on_past_the_corner_is_told() -> None:
    """Leaving 30 m before W1 by 10 degrees she runs on where the main arc has long turned away.

    R tan(45 deg) before W1 the main track leaves the leg; the leg is 0.3 degrees of a meridian.
    """
    length_m = 33_352.13
    rock = zoo.chart(beside(length_m - 400.0, 0.0))
    plan = leaving(length_m - 30.0, -10.0, chart=rock, min_clearance_m=50.0)
    one = only(plan)
    assert not [each for each in plan.findings if each.code == "clearance_not_met"]
    assert "crosses h0" in found(plan)["contingency_turn_must_resolve"]
    assert one.leaving.on_from_m == pytest.approx(length_m - RADIUS_M, abs=3.0)
    ahead_m = RADIUS_M - 30.0 - RADIUS_M * math.tan(math.radians(5.0))
    (words,) = [note for note in one.leaving.notes if note.startswith("she runs on")]
    assert float(words.split()[3]) == pytest.approx(ahead_m, abs=3.0)
    assert "and the leg she leaves" in why(plan)
    row = contingency_rows(plan, rock, plan_document)[0]["leaving"]
    assert any("crosses h0" in each["message"] for each in row["findings"])
    (line,) = [
        each["geometry"]["coordinates"]
        for each in contingency_features(plan)
        if each["properties"].get("part") == "leaving_leg"
    ]
    ends = [
        beside(along_m, 0.0)[0] for along_m in (length_m - RADIUS_M, length_m - RADIUS_M + ahead_m)
    ]
    assert [line[0][1], line[-1][1]] == pytest.approx(ends, abs=3e-5)


def test_straight_on_without_a_turn_is_told_too() -> None:
    length_m = 33_352.13
    rock = zoo.chart(beside(length_m - 400.0, 0.0))
    plan = leaving(length_m - 30.0, 0.0, chart=rock, min_clearance_m=50.0)
    assert "crosses h0" in found(plan)["contingency_turn_must_resolve"]


def test_where_the_planned_track_covers_the_leg_it_is_not_told_again() -> None:
    """The rock lies on the leg that both sail: the main plan tells it."""
    plan = leaving(15_000.0, 45.0, chart=zoo.chart(beside(5000.0, 0.0)))
    assert only(plan).leaving.on_from_m is None
    assert [one for one in plan.findings if one.code == "clearance_not_met"]
    assert "contingency_turn_must_resolve" not in found(plan)
