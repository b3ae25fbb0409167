"""Routeing measures, restricted and special areas along legs."""

from typing import Any

import pytest
from shapely.geometry import LineString, box

from tests.core.charted.made import WHOLE, Object, cell, depth_area, quality, square
from tests.core.charted.plans import LIMITS, found, plan_over, row
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import LimitSet, WaterLimits
from wheelover.core.types.plan import Finding, Plan

GOOD = (depth_area(), quality(2))
LANE = square(0.5, 50.5, 0.05)


def over(*objects: Object, **other: Any) -> Plan:
    """Return the plan of a leg due east through some areas."""
    return plan_over([cell(*objects, *GOOD)], **other)


def one_of(plan: Plan) -> Finding:
    """Return the one finding of the routeing check."""
    names = (
        *("against_flow", "against_recommended", "lane_crossed", "separation_crossed"),
        *("separation_entered", "inshore_zone", "area_not_to_enter", "restricted_entered"),
        *("special_entered", "routeing_entered", "area_near"),
    )
    (finding,) = found(plan, *names)
    return finding


@pytest.mark.parametrize(
    ("flow_deg", "code", "grade"),
    [
        (90.0, None, "met"),
        (46.0, None, "met"),
        (134.0, None, "met"),
        (0.0, "lane_crossed", "note"),
        (175.0, "lane_crossed", "note"),
        (155.0, "lane_crossed", "must_explain"),
        (40.0, "lane_crossed", "must_explain"),
        (270.0, "against_flow", "must_resolve"),
        (226.0, "against_flow", "must_resolve"),
        (314.0, "against_flow", "must_resolve"),
        (224.0, "lane_crossed", "must_explain"),
    ],
)
def test_traffic_lanes(flow_deg: float, code: str | None, grade: str) -> None:
    plan = over(("TSSLPT", LANE, {"ORIENT": flow_deg}))
    if code is None:
        assert row(plan, "leg_routeing").result == "met"
        return
    finding = one_of(plan)
    assert (finding.code, finding.grade) == (code, grade)
    assert finding.about == "XX5TEST1/TSSLPT.1.0.1"
    assert finding.unit == "deg"
    assert "from 9.5" in finding.message or "from 9.6" in finding.message


def test_a_lane_without_a_direction_is_not_checked() -> None:
    plan = over(("TSSLPT", LANE, {"OBJNAM": "Lane"}))
    assert "direction of flow is not charted for Lane" in str(row(plan, "leg_routeing").reason)


def test_recommended_directions_and_two_way_routes() -> None:
    against = one_of(over(("DWRTPT", LANE, {"ORIENT": 270.0})))
    assert (against.code, against.grade) == ("against_recommended", "must_explain")
    two_way = over(("DWRTPT", LANE, {"ORIENT": 270.0, "TRAFIC": 4}))
    assert row(two_way, "leg_routeing").result == "met"
    assert row(over(("FAIRWY", LANE, {})), "leg_routeing").result == "met"


@pytest.mark.parametrize(
    ("flow_deg", "code", "grade"),
    [
        (0.0, "separation_crossed", "note"),
        (180.0, "separation_crossed", "note"),
        (30.0, "separation_crossed", "must_explain"),
        (80.0, "separation_entered", "must_resolve"),
        (270.0, "separation_entered", "must_resolve"),
        (None, "separation_entered", "must_explain"),
    ],
)
def test_separation_zones(flow_deg: float | None, code: str, grade: str) -> None:
    lane: tuple[Object, ...] = ()
    if flow_deg is not None:
        # Beside the zone and not on the leg.
        lane = (("TSSLPT", box(0.45, 50.56, 0.55, 50.6), {"ORIENT": flow_deg}),)
    finding = one_of(over(("TSEZNE", LANE, {}), *lane))
    assert (finding.code, finding.grade) == (code, grade)


def test_a_separation_line_is_crossed_in_one_place() -> None:
    line = LineString([(0.5, 50.4), (0.5, 50.6)])
    finding = one_of(over(("TSELNE", line, {})))
    assert "crosses traffic separation line" in finding.message


@pytest.mark.parametrize(
    ("name", "attributes", "code", "grade"),
    [
        ("ISTZNE", {}, "inshore_zone", "must_explain"),
        ("RESARE", {"RESTRN": "14"}, "area_not_to_enter", "must_resolve"),
        ("RESARE", {"RESTRN": ("7",)}, "area_not_to_enter", "must_resolve"),
        ("RESARE", {"RESTRN": ("8",)}, "restricted_entered", "must_explain"),
        ("RESARE", {"CATREA": ("28",)}, "special_entered", "must_explain"),
        ("MIPARE", {}, "restricted_entered", "must_explain"),
        ("CTNARE", {}, "special_entered", "must_explain"),
        ("OSPARE", {}, "special_entered", "must_explain"),
        ("SPLARE", {}, "special_entered", "must_explain"),
        ("SUBTLN", {}, "special_entered", "must_explain"),
        ("ACHARE", {}, "special_entered", "must_explain"),
        ("OSPARE", {"RESTRN": ("7",)}, "area_not_to_enter", "must_resolve"),
        ("DMPGRD", {}, "special_entered", "note"),
        ("PRCARE", {}, "routeing_entered", "note"),
    ],
)
def test_areas_that_a_leg_enters(
    name: str, attributes: dict[str, Any], code: str, grade: str
) -> None:
    finding = one_of(over((name, LANE, attributes)))
    assert (finding.code, finding.grade) == (code, grade)


def test_what_the_chart_tells_of_an_area_stands_in_the_finding() -> None:
    finding = one_of(over(("RESARE", LANE, {"INFORM": "Slow to 10 knots", "RESTRN": ("27",)})))
    assert 'The chart says: "Slow to 10 knots".' in finding.message


def test_where_an_area_is_entered_and_left() -> None:
    plan = over(("CTNARE", LANE, {}))
    assert plan.on_chart is not None
    (passed,) = plan.on_chart.passed
    assert passed.enters_deg == pytest.approx((50.5, 0.45), abs=1e-9)
    assert passed.leaves_deg == pytest.approx((50.5, 0.55), abs=1e-9)
    assert passed.course_in_deg == pytest.approx(90.0)


def test_an_area_is_no_danger_to_the_plans_clearance() -> None:
    plan = over(("CTNARE", square(0.5, 50.502, 0.0005), {}))
    assert not found(plan, "clearance_not_met", "danger_crossed", "area_near")
    assert row(plan, "leg_routeing").result == "met"


def test_a_distance_asked_of_a_class_counts_for_it_alone() -> None:
    beside = square(0.5, 50.51, 0.001)
    asked = {"min_clearance_by_class": (("restricted", 2000.0),)}
    near = one_of(over(("RESARE", beside, {}), **asked))
    assert (near.code, near.grade, near.limit) == ("area_near", "must_explain", 2000.0)
    assert near.measured == pytest.approx(1001.0, abs=10.0)
    assert row(over(("CTNARE", beside, {}), **asked), "leg_routeing").result == "met"


def test_a_limit_set_asks_a_distance_of_areas_by_kind_of_water() -> None:
    limits = Limits(
        min_clearance_m=LIMITS.min_clearance_m,
        safety_contour_m=10.0,
        water="coastal",
        limit_set=LimitSet(
            name="ours",
            coastal=WaterLimits(
                min_clearance_m=50.0, min_clearance_by_class=(("special", 3000.0),)
            ),
        ),
    )
    beside = square(0.5, 50.52, 0.001)
    assert one_of(over(("CTNARE", beside, {}), limits=limits)).limit == 3000.0
    assert row(over(("RESARE", beside, {}), limits=limits), "leg_routeing").result == "met"


def test_a_leg_across_180_degrees_meets_areas_on_both_sides() -> None:
    made = cell(
        ("CTNARE", box(179.8, 50.4, 180.0, 50.6), {}),
        ("CTNARE", box(-180.0, 50.4, -179.9, 50.6), {}),
        covers=WHOLE,
    )
    plan = plan_over([made], ((50.5, 179.5), (50.5, -179.5)))
    assert len(found(plan, "special_entered")) == 2


@pytest.mark.parametrize(("wide_m", "narrow"), [(31.9, True), (32.0, True), (32.1, False)])
def test_an_opening_is_held_against_the_beam(wide_m: float, narrow: bool) -> None:
    span = LineString([(0.5, 50.4), (0.5, 50.6)])
    plan = over(("BRIDGE", span, {"HORCLR": wide_m, "VERCLR": 60.0}))
    findings = found(plan, "opening_too_narrow")
    assert [(one.grade, one.measured, one.limit, one.unit) for one in findings] == (
        [("must_resolve", wide_m, 32.0, "m")] if narrow else []
    )
    assert not found(over(("BRIDGE", span, {})), "opening_too_narrow")


@pytest.mark.parametrize(
    ("restriction", "grade"), [("7", "must_resolve"), ("14", "must_resolve"), ("1", "must_explain")]
)
def test_an_area_that_only_the_arc_meets_is_found(restriction: str, grade: str) -> None:
    corner = ((50.5, 0.2), (50.5, 0.5), (50.8, 0.5))
    inside = box(0.4955, 50.5020, 0.4970, 50.5030)
    plan = plan_over([cell(("RESARE", inside, {"RESTRN": restriction}), *GOOD)], corner)
    assert found(plan, "area_not_to_enter", "restricted_entered") == []
    (finding,) = found(plan, "area_in_turn")
    assert (finding.grade, finding.subject.id) == (grade, "W1")
    assert "leads through" in finding.message
    empty = plan_over([cell(*GOOD)], corner)
    assert found(empty, "area_in_turn") == []
    assert row(empty, "turn_routeing").result == "met"


NEAR_TRACK = box(0.4, 50.502, 0.6, 50.51)
"""From 0.12 NM north of the leg on."""


@pytest.mark.parametrize(
    ("name", "attributes", "grade"),
    [
        ("RESARE", {"RESTRN": "7"}, "must_explain"),
        ("RESARE", {"RESTRN": "1"}, "must_explain"),
        ("TSEZNE", {}, "must_explain"),
        ("ISTZNE", {}, "must_explain"),
        ("TSSLPT", {"ORIENT": 270.0}, "note"),
        ("MIPARE", {}, "must_explain"),
        ("CTNARE", {}, "note"),
        ("NAVLNE", {}, None),
    ],
)
def test_areas_inside_a_cross_track_limit_are_told(
    name: str, attributes: dict[str, Any], grade: str | None
) -> None:
    plan = over((name, NEAR_TRACK, attributes), xtd_port_nm=0.2, xtd_starboard_nm=0.2)
    told = found(plan, "corridor_in_area_port")
    assert [one.grade for one in told] == ([] if grade is None else [grade])
    for one in told:
        assert one.measured == pytest.approx(0.12, abs=0.001)
    assert not found(plan, "corridor_in_area_starboard")
    narrow = over((name, NEAR_TRACK, attributes), xtd_port_nm=0.1, xtd_starboard_nm=0.2)
    assert not found(narrow, "corridor_in_area_port")


def test_an_area_that_the_leg_enters_is_not_told_twice() -> None:
    plan = over(("RESARE", LANE, {"RESTRN": "7"}), xtd_port_nm=0.2, xtd_starboard_nm=0.2)
    assert found(plan, "area_not_to_enter")
    assert not found(plan, "corridor_in_area_port", "corridor_in_area_starboard")
