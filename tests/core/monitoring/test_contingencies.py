"""Contingencies: their own routes are checked like the main one [A.893(21), contingency plans]."""

from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from tests.core.monitoring.narrows import SHIP as PAPERS
from tests.core.monitoring.narrows import beside, walls
from wheelover.core.planning import make_plan
from wheelover.core.types.bridge import Bridge
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.contingency import CheckedContingency, Contingency
from wheelover.core.types.limits import Waiver
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.types.ship import DraughtChange, ShipProfile
from wheelover.core.types.tide import Tide, TideHeight
from wheelover.core.types.watch import LegMonitoring, Stage

MAIN = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
ROADS = [(47.1, -30.0), (47.15, -29.9), (47.25, -29.9)]


def contingency(
    places: list[tuple[float, float]] | None = None, from_id: str = "W1", name: str = "c1"
) -> Contingency:
    route = zoo.route(places or ROADS)
    renamed = tuple(replace(one, id=f"c{one.id}") for one in route.waypoints)
    return Contingency(
        id=name, kind="anchorage", from_id=from_id, route=replace(route, waypoints=renamed)
    )


def planned(
    *contingencies: Contingency,
    chart: Chart = zoo.NO_CHART,
    conditions: Conditions | None = None,
    leg: LegWishes | None = None,
    limits: Limits | None = None,
    draughts: tuple[DraughtChange, ...] = (),
) -> Plan:
    return make_plan(
        zoo.route(MAIN, leg=leg), replace(zoo.SHIP, draughts=draughts), chart,
        conditions or Conditions(), limits or Limits(min_clearance_m=500.0),
        Bridge(contingencies=contingencies),
    )  # fmt: skip


def only(plan: Plan) -> CheckedContingency:
    (one,) = plan.bridge.contingencies
    return one


def codes(plan: Plan) -> set[str]:
    return {one.code for one in plan.findings}


def test_its_plan_is_that_of_its_route_alone() -> None:
    """The same route planned by itself gives the same legs, turns and clearances."""
    rock = zoo.chart((47.2, -29.905))
    one = only(planned(contingency(), chart=rock))
    alone = make_plan(
        one.contingency.route, zoo.SHIP, rock, Conditions(), Limits(min_clearance_m=500.0)
    )
    assert one.plan.legs == alone.legs
    assert one.plan.turns == alone.turns
    assert one.plan.clearances.least == alone.clearances.least


def test_a_danger_on_its_track_is_a_finding_of_the_main_plan() -> None:
    plan = planned(contingency(), chart=zoo.chart((47.2, -29.9)))
    (finding,) = [one for one in plan.findings if one.code == "contingency_must_resolve"]
    assert (finding.grade, finding.about) == ("must_resolve", "c1")
    assert "crosses h0" in finding.message
    clear = planned(contingency(), chart=zoo.chart((47.2, -28.0)))
    assert "contingency_must_resolve" not in codes(clear)


def test_what_was_not_checked_of_it_is_never_met() -> None:
    row = next(one for one in planned(contingency()).checks if one.check == "contingencies")
    assert row.result == "not_checked"
    assert "contingency c1" in (row.not_checked or "")
    none = next(one for one in planned().checks if one.check == "contingencies")
    assert none.result == "not_checked"
    assert "no contingency is given" in (none.reason or "")


def test_checks_of_the_passage_are_not_due_on_it() -> None:
    checks = {one.check for one in only(planned(contingency())).plan.checks}
    assert not checks & {"berth_to_berth", "action_points", "contingencies"}
    assert {"leg_clearance", "leg_depth", "leg_land", "turn_clearance"} <= checks


def test_she_leaves_where_its_route_begins_at_the_time_of_the_plan() -> None:
    """6 NM along the first leg at 12 kn: 30 minutes."""
    one = only(planned(contingency()))
    assert one.leaves is not None
    assert one.leaves.leg_to_id == "W1"
    assert one.leaves.at_s == pytest.approx(1800.0, abs=2.0)
    assert one.off_m == pytest.approx(0.0, abs=1.0)


def test_an_eta_that_is_past_as_she_leaves_must_be_resolved_and_does_not_stop_the_plan() -> None:
    """She departs at 10 000 s and leaves 30 minutes later, at 11 800 s."""
    made = contingency()

    def with_eta(eta_s: float) -> Plan:
        last = replace(made.route.waypoints[-1], eta_s=eta_s)
        route = replace(made.route, waypoints=(*made.route.waypoints[:-1], last))
        return planned(replace(made, route=route), conditions=Conditions(departure_s=10_000.0))

    past = with_eta(11_000.0)
    assert only(past).past_eta_ids == ("cW2",)
    (finding,) = [one for one in past.findings if one.code == "contingency_eta_past"]
    assert (finding.grade, finding.about) == ("must_resolve", "c1")
    assert "cW2" in finding.message
    assert "contingency_eta_past" not in codes(with_eta(15_000.0))


def test_tides_count_from_the_time_of_leaving() -> None:
    heights = tuple(TideHeight(at_s=3600.0 * hour, height_m=float(hour)) for hour in range(12))
    tide = Tide(station="x", heights=heights, between="linear", from_id="W0", to_id="W1")
    later = replace(tide, from_id="W1", to_id="W2")
    conditions = Conditions(tides=(tide, later), departure_s=3600.0)
    leg = LegWishes(line="rhumb", charted_depth_m=20.0)
    route = zoo.route(ROADS, leg=leg)
    made = replace(contingency(), route=route)
    keel = only(planned(made, conditions=conditions)).plan.depths.sums
    used = [term for row in keel for term in row.terms if term.name == "tide"]
    assert used
    assert "x" in str(used[0])
    untimed = only(planned(made, conditions=replace(conditions, departure_s=None)))
    assert any("time of leaving" in note for note in untimed.notes)


def test_a_leg_it_cannot_leave_must_be_resolved_and_a_gap_explained() -> None:
    assert "contingency_leaves_nowhere" in codes(planned(contingency(from_id="gone")))
    far = contingency([(47.1, -29.98), (47.15, -29.9)])
    assert "contingency_off_leg" in codes(planned(far))
    assert "contingency_off_leg" not in codes(planned(contingency()))


def test_legs_that_commit_her_want_a_contingency() -> None:
    leg = LegWishes(line="rhumb", monitoring=LegMonitoring(stage="confined"))
    assert "contingency_missing" in codes(planned(contingency(), leg=leg))
    both = (contingency(), contingency(from_id="W2", name="c2"))
    assert "contingency_missing" not in codes(planned(*both, leg=leg))


def leaving(along_m: float, stage: Stage | None, ship: ShipProfile = PAPERS) -> Plan:
    """Return the plan of a leg north, a channel from 20 km to 25 km, and a route that leaves it."""
    start, to = beside(along_m, 0.0), beside(along_m + 1500.0, 1500.0)
    leg = LegWishes(line="rhumb", speed_kn=14.0, monitoring=LegMonitoring(stage=stage))
    return make_plan(
        zoo.route(MAIN[:2], leg=leg), ship, walls(20_000.0, 300.0, 25_000.0), Conditions(),
        Limits(), Bridge(contingencies=(contingency([start, to]),)),
    )  # fmt: skip


def why(plan: Plan) -> str:
    row = next(one for one in plan.checks if one.check == "contingencies")
    return row.not_checked or ""


def test_a_route_that_she_leaves_for_after_the_point_of_no_return_is_a_finding() -> None:
    """As for the points: her circle needs 800 m ahead, so the room ends 19.2 km along."""
    late = leaving(22_000.0, "pilotage")
    (finding,) = [one for one in late.findings if one.code == "contingency_after_no_return"]
    no_return = late.bridge.aborts[0].no_return
    assert no_return is not None
    assert (finding.grade, finding.about) == ("must_explain", "c1")
    assert f"{np.ceil(22_000.0 - no_return.along_m):.0f} m after" in finding.message
    assert "contingency_after_no_return" not in codes(leaving(15_000.0, "pilotage"))
    # Behind the channel she has room again.
    assert "contingency_after_no_return" not in codes(leaving(28_000.0, "pilotage"))


def test_where_it_is_not_known_whether_she_is_committed_is_said() -> None:
    assert "before the point of no return" in why(leaving(22_000.0, "pilotage", zoo.SHIP))
    assert "the stage of the leg to W1 is not given" in why(leaving(22_000.0, None))
    assert "point of no return" not in why(leaving(15_000.0, "pilotage"))


def test_waivers_of_the_plan_do_not_count_for_it() -> None:
    waiver = Waiver(id="w", rule="min_clearance_m", reason="r", by_name="n")
    one = only(planned(contingency(), limits=Limits(waivers=(waiver,))))
    assert any("waivers" in note for note in one.notes)


def test_the_water_of_the_leg_she_leaves_counts_with_draughts_from_before() -> None:
    deeper = DraughtChange(from_id="W0", reason="r", draught_fore_m=11.0, draught_aft_m=11.5)
    river = DraughtChange(from_id="W1", reason="r", water_density_kg_per_m3=1000.0)
    leg = LegWishes(line="rhumb", charted_depth_m=20.0)
    made = replace(contingency(from_id="W2"), route=zoo.route(ROADS, leg=leg))
    keel = only(planned(made, draughts=(deeper, river))).plan.depths.sums
    # Of 11.5 m, at most a fortieth more in fresh water: 0.29 m.
    assert {
        (one.value_m, two.value_m)
        for row in keel
        for one in row.terms
        for two in row.terms
        if (one.name, two.name) == ("draught", "density")
    } == {(-11.5, -0.29)}


def test_she_has_the_draught_of_the_leg_she_leaves() -> None:
    deeper = DraughtChange(from_id="W0", reason="r", draught_fore_m=11.0, draught_aft_m=11.5)
    after = DraughtChange(from_id="W1", reason="r", draught_fore_m=9.0, draught_aft_m=9.5)
    leg = LegWishes(line="rhumb", charted_depth_m=20.0)
    made = replace(contingency(), route=zoo.route(ROADS, leg=leg))
    keel = only(planned(made, draughts=(deeper, after))).plan.depths.sums
    draughts = {term.value_m for row in keel for term in row.terms if term.name == "draught"}
    assert {abs(one) for one in draughts if one is not None} == {11.5}
